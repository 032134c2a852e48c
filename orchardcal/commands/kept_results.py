"""Results kept from earlier runs on this computer, found again by the content they were made from.

A result is found only by a digest of all it was made from and of what made it: the values given,
every file of this package, the Python and library versions, the time-zone rules, the machine.
Change any and the key is another: there is no stale result to be found, only one to be made anew.
The as-of day is among the values: the first run of another day makes everything anew.

Only the user's own cache folder is used. Results are pickles, which may run code when read; so
the folder must belong to the user and be writable by nobody else, and so must each file. Whoever
can write there can change the program itself as well.
"""

from __future__ import annotations

import importlib.metadata
import os
import pickle
import platform
import stat
import sys
import tempfile
import zlib
import zoneinfo
from collections.abc import Callable
from functools import cache
from hashlib import sha256
from pathlib import Path
from typing import TypeVar

from orchardcal.commands.content_digest import content_digest

T = TypeVar("T")
PACKAGE = Path(__file__).resolve().parent.parent
LIBRARIES = (
    *("numpy", "holidays", "astral", "python-dateutil", "tzdata", "tzfpy"),  # of plans
    *("Babel", "segno"),  # of pages
)
MOST_BYTES = 1_000_000_000  # a site takes about 0.08 MB for each day it is planned on
QUICKLY = 1  # zlib's least work: pages shrink to a seventh all the same
CHECKSUM_BYTES = 32
OTHERS_MAY_WRITE = stat.S_IWGRP | stat.S_IWOTH


class KeptResults:
    """Results in a folder, one file each, named by its key.

    folder: None to keep nothing. afresh: whether to make every result anew, what is kept or not.
    A folder that cannot be used, a file that is damaged, cut short or another's: the result is
    made, as if none had been kept. Files come into place whole, so several runs may share them.
    """

    def __init__(self, folder: Path | None, afresh: bool = False) -> None:
        self._folder = folder if folder is not None and _own_folder(folder) else None
        self._afresh = afresh
        self._made_by = made_by() if self._folder else ""
        self._new = False

    def key(self, work: str, given: object) -> str:
        """The key of what `work` makes of the values given. Raises TypeError as content_digest."""
        return content_digest((work, given, self._made_by)) if self._folder else ""

    def has(self, key: str) -> bool:
        """Whether a result seems to be kept under a key; only reading it tells for sure."""
        return self._folder is not None and not self._afresh and (self._folder / key).is_file()

    def found(self, key: str, kind: type[T]) -> T | None:
        """The result kept under a key, None if there is none."""
        content = self.found_bytes(key)
        if content is None:
            return None
        result = pickle.loads(content)
        return result if isinstance(result, kind) else None

    def found_bytes(self, key: str) -> bytes | None:
        """The bytes kept under a key, None if there are none."""
        if self._folder is None or self._afresh:
            return None
        path = self._folder / key
        try:
            content = _own_bytes(path)
            checksum, result = content[:CHECKSUM_BYTES], content[CHECKSUM_BYTES:]
            if checksum != _checksum(key, result):
                return None
            os.utime(path)  # used last: the last to leave
        except OSError:
            return None
        return result

    def keep(self, key: str, result: object) -> None:
        """Keeps a result for later runs, if that can be."""
        if self._folder is not None:
            self.keep_bytes(key, pickle.dumps(result, pickle.HIGHEST_PROTOCOL))

    def keep_bytes(self, key: str, result: bytes) -> None:
        """Keeps bytes likewise."""
        if self._folder is None:
            return
        try:
            handle, aside = tempfile.mkstemp(prefix="new-", dir=self._folder)  # mode 0600
            with os.fdopen(handle, "wb") as file:
                file.write(_checksum(key, result) + result)
            Path(aside).replace(self._folder / key)
        except OSError:
            return
        self._new = True

    def found_or_made(self, work: str, given: object, kind: type[T], make: Callable[[], T]) -> T:
        """The result kept of these values, or made and kept."""
        key = self.key(work, given)
        result = self.found(key, kind)
        if result is None:
            result = make()
            self.keep(key, result)
        return result

    def tidy(self, most_bytes: int = MOST_BYTES) -> None:
        """Removes the results used longest ago until the rest fit, if any were added."""
        if self._folder is None or not self._new:
            return
        try:
            files = [(path, path.stat()) for path in self._folder.iterdir()]
            total = 0
            for path, about in sorted(files, key=lambda each: -each[1].st_mtime_ns):
                total += about.st_size
                if total > most_bytes:
                    path.unlink(missing_ok=True)
        except OSError:
            return  # another run tidies too


def cache_folder() -> Path | None:
    """Where this user's results are kept; None where there is no home.

    $XDG_CACHE_HOME where set (XDG Base Directory Specification 0.8: an absolute path, else
    ignored), or the folder each system has for it.
    """
    given = os.environ.get("XDG_CACHE_HOME", "")
    try:
        if Path(given).is_absolute():
            base = Path(given)
        elif sys.platform == "win32":
            base = Path(os.environ.get("LOCALAPPDATA") or Path.home() / "AppData" / "Local")
        elif sys.platform == "darwin":
            base = Path.home() / "Library" / "Caches"
        else:
            base = Path.home() / ".cache"
    except RuntimeError:
        return None
    return base / "orchardcal" / "results"


def made_by(package: Path = PACKAGE) -> str:
    """A digest of what makes the results: this package's files, Python, libraries, the machine."""
    paths = sorted(
        path
        for path in package.rglob("*")
        if path.suffix != ".pyc" and "__pycache__" not in path.parts and path.is_file()
    )
    files = [(path.relative_to(package).as_posix(), path.read_bytes()) for path in paths]
    versions = [(name, importlib.metadata.version(name)) for name in LIBRARIES]
    return content_digest((files, versions, sys.version, sys.platform, platform.machine()))


@cache
def zone_rules(timezone: str) -> bytes:
    """The rules of a time zone as this system has them; b"" where only the tzdata package has.

    Those of the package are known by its version.
    """
    for folder in zoneinfo.TZPATH:
        path = Path(folder, timezone)
        if path.is_file():
            return path.read_bytes()
    return b""


def packed(result: object) -> bytes:
    """Much text in few bytes, to keep or to hand from one process to another."""
    return zlib.compress(pickle.dumps(result, pickle.HIGHEST_PROTOCOL), QUICKLY)


def unpacked(result: bytes, kind: type[T]) -> T:
    """What `packed` made bytes of. Raises TypeError if it is of another kind."""
    found = pickle.loads(zlib.decompress(result))
    if not isinstance(found, kind):
        raise TypeError(f"{type(found).__name__} in place of {kind.__name__}")
    return found


def _checksum(key: str, result: bytes) -> bytes:
    return sha256(key.encode() + result).digest()


def _own_folder(folder: Path) -> bool:
    """Whether results can be kept in a folder, made if need be: the user's, and no one else's."""
    try:
        folder.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
        folder.mkdir(mode=0o700, exist_ok=True)
        return _own(folder.lstat()) and stat.S_ISDIR(folder.lstat().st_mode)
    except OSError:
        return False


def _own_bytes(path: Path) -> bytes:
    """The content of the user's own file; b"" if it is another's or no plain file."""
    with path.open("rb") as file:
        about = os.fstat(file.fileno())
        return file.read() if _own(about) and stat.S_ISREG(about.st_mode) else b""


def _own(about: os.stat_result) -> bool:
    """On Windows, folders in a user's profile are that user's by their access lists."""
    if sys.platform == "win32":
        return True
    return about.st_uid == os.geteuid() and not about.st_mode & OTHERS_MAY_WRITE
