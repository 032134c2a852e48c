"""Files written whole or not at all: aside first, then moved into place."""

from __future__ import annotations

import filecmp
import os
import signal
import tempfile
import threading
from collections.abc import Callable, Collection, Iterable, Iterator, Mapping
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager, suppress
from itertools import islice, repeat
from pathlib import Path

from orchardcal.errors import BadFiles, Problem, Spot

Content = bytes | Iterable[bytes]
AT_ONCE = 16  # files that wait for the disk together


def write_all(
    folder: Path,
    files: Mapping[str, Content] | Iterable[tuple[str, Content]],
    then: Callable[[], object] = lambda: None,
) -> set[str]:
    """Writes every file below a folder, by its path with "/"; returns the paths.

    files: may be made one after another, while others are written, and long ones piece by piece.
    All are written aside before
    the first is moved into place, so that a full disk, a folder without leave to write or an
    interrupt changes nothing. A file that holds these very bytes is left alone. then: what belongs
    to the files in their places; an interrupt waits for it as well.
    """
    pairs = iter(files.items() if isinstance(files, Mapping) else files)
    names: set[str] = set()
    aside: list[tuple[Path, Path]] = []
    made: list[Path] = []
    try:
        made += _new_folders(folder)
        with ThreadPoolExecutor(AT_ONCE) as threads:
            while batch := list(islice(pairs, AT_ONCE)):
                names.update(name for name, _ in batch)
                for parent in {(folder / name).parent for name, _ in batch}:
                    made += _new_folders(parent)
                whole = [(name, each) for name, each in batch if isinstance(each, bytes)]
                paths = [folder / name for name, _ in whole]
                contents = [content for _, content in whole]
                written = threads.map(_write_aside, paths, contents, repeat(aside))
                for name, each in batch:
                    if not isinstance(each, bytes):  # its pieces are had by this thread alone
                        _write_pieces_aside(folder / name, each, aside)
                list(written)
        with _uninterrupted():
            for temporary, path in aside:
                temporary.replace(path)
            then()
    except BaseException as error:
        for temporary, _ in aside:
            temporary.unlink(missing_ok=True)
        for new in reversed(made):
            with suppress(OSError):  # another program has put something there
                new.rmdir()
        if not isinstance(error, OSError):
            raise
        raise BadFiles(
            [
                Problem(
                    Spot(str(folder)),
                    f"cannot be written: {error.strerror or error}",
                    "Name another folder, or make this one writable. Nothing was changed.",
                )
            ]
        ) from error
    return names


def remove_others(folder: Path, pattern: str, files: Collection[str]) -> None:
    """Takes away what an earlier run wrote below a folder and this one did not, such as pages of
    days that were moved: a page left behind would still announce them.

    pattern: of the paths meant, as Path.glob takes it. files: the paths that stay.
    """
    for path in sorted(folder.glob(pattern)):
        if path.relative_to(folder).as_posix() not in files and path.is_file():
            path.unlink()


def _holds(path: Path, content: bytes) -> bool:
    return path.is_file() and path.stat().st_size == len(content) and path.read_bytes() == content


def _write_aside(path: Path, content: bytes, aside: list[tuple[Path, Path]]) -> None:
    """Writes a new file beside the old one, and to the list of both, unless they are the same."""
    if not _holds(path, content):
        _write_new(path, [content], aside)


def _write_pieces_aside(
    path: Path, pieces: Iterable[bytes], aside: list[tuple[Path, Path]]
) -> None:
    """The same for a file too long to be held: it is written, then compared."""
    temporary = _write_new(path, pieces, aside)
    if path.is_file() and filecmp.cmp(temporary, path, shallow=False):
        aside.remove((temporary, path))
        temporary.unlink()


def _new_folders(folder: Path) -> list[Path]:
    """Makes a folder and those above it; those that were not there, the topmost first."""
    missing = [each for each in (folder, *folder.parents) if not each.exists()]
    folder.mkdir(parents=True, exist_ok=True)
    return missing[::-1]


def _write_new(path: Path, pieces: Iterable[bytes], aside: list[tuple[Path, Path]]) -> Path:
    handle, name = tempfile.mkstemp(prefix=f".{path.name}.", dir=path.parent)
    aside.append((Path(name), path))
    with os.fdopen(handle, "wb") as file:
        file.writelines(pieces)
        file.flush()
        os.fsync(file.fileno())
    Path(name).chmod(0o644)
    return Path(name)


@contextmanager
def _uninterrupted() -> Iterator[None]:
    """Ctrl-C waits until the files are in place: they are then all new, or all old."""
    if threading.current_thread() is not threading.main_thread():
        yield  # a signal never comes here
        return
    asked: list[int] = []
    before = signal.signal(signal.SIGINT, lambda number, frame: asked.append(number))
    try:
        yield
    finally:
        signal.signal(signal.SIGINT, before)
    if asked:
        raise KeyboardInterrupt
