"""How files are read: anew, or as an earlier run read the very same bytes."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Protocol, TypeVar

from orchardcal.errors import Problems

T = TypeVar("T")


class Reader(Protocol):
    def __call__(
        self,
        kind: type[T],
        read: Callable[[Problems], T | None],
        paths: Sequence[Path],
        given: object,
        problems: Problems,
    ) -> T | None:
        """What `read` makes of files; its problems are added to `problems`.

        kind: of what it makes, which tells it from all else made of the same files. paths: every
        file it reads. given: all else it depends on.
        """


def read_anew(
    kind: type[T],
    read: Callable[[Problems], T | None],
    paths: Sequence[Path],
    given: object,
    problems: Problems,
) -> T | None:
    """What `read` makes of files now."""
    del kind, paths, given
    return read(problems)
