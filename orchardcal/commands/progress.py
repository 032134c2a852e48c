"""A progress bar over long work where a person looks on; silent when piped."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager

import click

LEAST = 5  # of fewer things each is told by its result soon enough


@contextmanager
def progress_of(things: int, label: str) -> Iterator[Callable[..., None]]:
    """What to call when one of so many things is done, or with the number that are."""
    if things < LEAST or not sys.stderr.isatty():
        yield lambda done=1: None
        return
    with click.progressbar(length=things, label=label, file=sys.stderr) as bar:
        yield lambda done=1: bar.update(done)
