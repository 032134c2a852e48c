"""Files as earlier runs read them, found again by their bytes."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TypeVar

from orchardcal.commands.content_digest import SharedDigests, content_digest
from orchardcal.commands.kept_results import KeptResults
from orchardcal.errors import Problems

T = TypeVar("T")


class KeptReading:
    """A `sites.reader.Reader` that keeps what it read without any problem.

    The key is the bytes of all files read and what else the reading depends on; only that a time
    zone is known to this system is not asked again. Sites that share a station's record share it
    in memory as well.
    """

    def __init__(self, kept: KeptResults) -> None:
        self._kept = kept
        self._read: dict[str, object] = {}
        self._digests = SharedDigests()

    def __call__(
        self,
        kind: type[T],
        read: Callable[[Problems], T | None],
        paths: Sequence[Path],
        given: object,
        problems: Problems,
    ) -> T | None:
        contents = _contents(paths)
        key = self._kept.key(kind.__qualname__, (contents, self._digest(given)))
        if contents is None or not key:
            return read(problems)
        result = self._read.get(key) or self._kept.found(key, kind)
        if not isinstance(result, kind):
            found = Problems()
            result = read(found)
            problems.found.extend(found.found)
            # Another program may have written to a file in between.
            if result is None or found or _contents(paths) != contents:
                return result
            self._kept.keep(key, result)
        self._read[key] = result
        return result

    def _digest(self, given: object) -> str:
        """Of what is the same for many sites, such as the names of all species, only once."""
        parts = given if isinstance(given, tuple) else (given,)
        return content_digest([self._digests.of(part) for part in parts])


def _contents(paths: Sequence[Path]) -> list[bytes] | None:
    """The bytes of each file; None where one cannot be read, which is for its reader to tell."""
    try:
        return [path.read_bytes() for path in paths]
    except OSError:
        return None
