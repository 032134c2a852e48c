"""What many sites come to, laid aside on disk until all are planned."""

from __future__ import annotations

import os
import pickle
import tempfile
from collections.abc import Collection, Iterable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import date
from itertools import chain
from typing import NamedTuple

from orchardcal.errors import BadFiles, Problem, Spot
from orchardcal.journal.published import Published
from orchardcal.outputs.feed import tzids_in


@dataclass(frozen=True, slots=True)
class Place:
    """Where a piece lies: its first byte, and how many there are."""

    first: int
    size: int


class LaidAside:
    """Pieces of bytes in a temporary file of its own, to be had again in any order.

    Raises BadFiles where there is no room for it.
    """

    def __init__(self) -> None:
        with _no_room_told():
            self._file = tempfile.TemporaryFile()  # noqa: SIM115 - closed by close
        self._end = 0
        self._unwritten = False  # whether something added may still be in memory

    def close(self) -> None:
        """The file is gone."""
        self._file.close()

    def add(self, piece: bytes) -> Place:
        """Lays a piece at the end."""
        with _no_room_told():
            self._file.seek(self._end)
            self._file.write(piece)
        place = Place(self._end, len(piece))
        self._end += len(piece)
        self._unwritten = True
        return place

    def piece(self, place: Place) -> bytes:
        """A piece as it was added."""
        if self._unwritten:
            with _no_room_told():
                self._file.flush()
            self._unwritten = False
        if hasattr(os, "pread"):
            return os.pread(self._file.fileno(), place.size, place.first)
        self._file.seek(place.first)
        return self._file.read(place.size)


@contextmanager
def _no_room_told() -> Iterator[None]:
    """What the disk says of the temporary file, as a message that can be mended."""
    try:
        yield
    except OSError as error:
        what = f"cannot be written: {error.strerror or error}"
        hint = "Make room there, or set TMPDIR to another folder. Nothing was changed."
        place = Spot(os.environ.get("TMPDIR", "the folder for temporary files"))
        raise BadFiles([Problem(place, what, hint)]) from error


class LaidRow(NamedTuple):
    """What feeds must know of a published event whose bytes are laid aside: see Published."""

    uid: str
    site: str
    care: str
    first: date
    last: date
    status: str
    revised: str
    audiences: tuple[str, ...]
    crew: str
    first_byte: int
    size: int


class LaidRows:
    """Published rows, laid aside; an `outputs.feed.Vevents`."""

    def __init__(self, aside: LaidAside) -> None:
        self._aside = aside
        self._tzids: dict[str, set[str]] = {}
        self._whole: list[Place] = []
        self.shown: list[LaidRow] = []

    def add(self, rows: Sequence[Published], rest: bool) -> None:
        """Lays the rows of one site aside. rest: nobody will ask for them as a whole."""
        shown = [row for row in rows if row.shown]
        first = self._aside.add(b"".join([row.vevent for row in shown])).first
        for row in shown:
            size = len(row.vevent)
            laid = LaidRow(
                row.uid,
                row.site,
                row.care,
                row.first,
                row.last,
                row.status,
                row.revised,
                row.audiences,
                row.crew,
                first,
                size,
            )
            self.shown.append(laid)
            first += size
        if shown:
            self._tzids.setdefault(shown[0].site, set()).update(tzids_in(shown))
        if not rest:
            self._whole.append(self._aside.add(pickle.dumps(rows, pickle.HIGHEST_PROTOCOL)))

    def whole(self) -> Iterator[Published]:
        """The rows that do not rest, with all they hold."""
        pieces = map(self._aside.piece, self._whole)
        return chain.from_iterable(map(pickle.loads, pieces))

    def bytes_of(self, rows: Iterable[LaidRow]) -> Iterator[bytes]:
        """Neighbours, such as all of a site, are read at once."""
        first = end = 0
        for row in rows:
            if row.first_byte != end:
                yield self._aside.piece(Place(first, end - first))
                first = row.first_byte
            end = row.first_byte + row.size
        yield self._aside.piece(Place(first, end - first))

    def size(self, rows: Iterable[LaidRow]) -> int:
        return sum([row.size for row in rows])

    def tzids(self, site: str) -> Collection[str]:
        return self._tzids.get(site, ())
