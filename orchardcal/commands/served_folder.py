"""The folder being served and the addresses that open it, each as it is at the moment."""

from __future__ import annotations

import os
import threading
from collections import OrderedDict
from dataclasses import dataclass
from pathlib import Path
from stat import S_ISREG

from orchardcal.journal.access import AccessBook, Guard
from orchardcal.journal.store import Store
from orchardcal.outputs.http_answer import ServedFile, is_whole, served

LARGEST_BYTES = 32_000_000  # of one file: more than any plan of ours
KEPT_BYTES = 128_000_000  # of all files held in memory
TRIES = 3

Mark = tuple[int, int, int, int]


class NotReady(Exception):
    """What is asked for is there but cannot be trusted at this moment."""


@dataclass(frozen=True)
class _Kept:
    mark: Mark
    file: ServedFile


class ServedFolder:
    """The files of a folder by path, read anew whenever they have changed.

    A file is read through one open handle, so it is one version from first byte to last even
    while a new one is moved into its place. Where another program writes into a file in place,
    the last whole version goes on being served; where there is none, NotReady is raised.
    """

    def __init__(self, folder: Path) -> None:
        self._folder = folder
        self._kept: OrderedDict[str, _Kept] = OrderedDict()
        self._size = 0
        self._lock = threading.Lock()

    def file(self, path: str) -> ServedFile | None:
        """The file at a checked path below the folder, None if there is none."""
        place = self._folder / path
        mark = _mark_of(place)
        if mark is None:
            with self._lock:
                self._drop(path)
            return None
        with self._lock:
            kept = self._kept.get(path)
            if kept is not None:
                self._kept.move_to_end(path)
        if kept is not None and kept.mark == mark:
            return kept.file
        read = self._read(path, place)
        if read is not None:
            with self._lock:
                self._keep(path, read)
            return read.file
        if kept is not None:
            return kept.file
        raise NotReady(f"{path} is being written")

    def _read(self, path: str, place: Path) -> _Kept | None:
        """The file as one whole version, None if it is not to be had."""
        for _ in range(TRIES):
            try:
                if not place.resolve(strict=True).is_relative_to(self._folder.resolve()):
                    return None
                with place.open("rb") as handle:
                    before = os.fstat(handle.fileno())
                    content = handle.read(LARGEST_BYTES + 1)
                    after = os.fstat(handle.fileno())
            except OSError:
                continue
            settled = _mark(before) == _mark(after) and len(content) == after.st_size
            if settled and is_whole(path, content):
                return _Kept(_mark(after), served(path, content, after.st_mtime))
        return None

    def _keep(self, path: str, read: _Kept) -> None:
        self._drop(path)
        self._kept[path] = read
        self._size += len(read.file.content)
        while self._size > KEPT_BYTES and len(self._kept) > 1:
            self._drop(next(iter(self._kept)))

    def _drop(self, path: str) -> None:
        gone = self._kept.pop(path, None)
        if gone is not None:
            self._size -= len(gone.file.content)


class GuardAtTheDoor:
    """The private addresses of a programme, read anew whenever its store has changed."""

    def __init__(self, store_path: Path) -> None:
        self._path = store_path
        self._marks: tuple[Mark | None, ...] | None = None
        self._guard = Guard(())
        self._lock = threading.Lock()

    def now(self) -> Guard:
        """The addresses that hold now; raises StoreTrouble where that cannot be known."""
        marks = self._seen()
        if marks == self._marks:
            return self._guard
        with self._lock:
            marks = self._seen()  # before reading: what changes meanwhile is read next time
            if marks != self._marks:
                with Store.open(self._path, create=False) as store:
                    self._guard = Guard(AccessBook(store).addresses())
                self._marks = marks
            return self._guard

    def _seen(self) -> tuple[Mark | None, ...]:
        log = self._path.with_name(self._path.name + "-wal")
        return tuple(_mark_of(path) for path in (self._path, log))


def _mark_of(path: Path) -> Mark | None:
    """What changes when a file does; None if there is no such file."""
    try:
        found = path.stat()
    except (OSError, ValueError):
        return None
    return _mark(found) if S_ISREG(found.st_mode) else None


def _mark(found: os.stat_result) -> Mark:
    return found.st_dev, found.st_ino, found.st_mtime_ns, found.st_size
