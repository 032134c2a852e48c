"""A progress bar over long work where a person looks on; silent when piped."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import TypeVar

import click

from orchardcal.errors import Problems
from orchardcal.sites.reader import Reader
from orchardcal.sites.site import Site

LEAST = 5  # of fewer things each is told by its result soon enough
MANY_SITES = 300  # fewer are read in a second
T = TypeVar("T")


@contextmanager
def progress_of(things: int, label: str, least: int = LEAST) -> Iterator[Callable[..., None]]:
    """What to call when one of so many things is done, or with the number that are."""
    if things < least or not sys.stderr.isatty():
        yield lambda done=1: None
        return
    with click.progressbar(length=things, label=label, file=sys.stderr) as bar:
        yield lambda done=1: bar.update(done)


@contextmanager
def reading_of(folder: Path, reader: Reader) -> Iterator[Reader]:
    """A reader of a programme folder that tells of each site it has read."""
    sites = sum(1 for _ in folder.glob("*/site.toml"))
    with progress_of(sites, "Reading", MANY_SITES) as progress:

        def read_and_tell(
            kind: type[T],
            read: Callable[[Problems], T | None],
            paths: Sequence[Path],
            given: object,
            problems: Problems,
        ) -> T | None:
            result = reader(kind, read, paths, given, problems)
            if issubclass(kind, Site):
                progress()
            return result

        yield read_and_tell
