"""Files written whole or not at all: aside first, then moved into place."""

from __future__ import annotations

import os
import tempfile
from collections.abc import Collection, Mapping
from pathlib import Path

from orchardcal.errors import BadFiles, Problem, Spot


def write_all(folder: Path, files: Mapping[str, bytes]) -> None:
    """Writes every file below a folder, by its path with "/".

    All are written aside before the first is moved into place, so that a full disk or a folder
    without leave to write changes nothing. A file that holds these very bytes is left alone.
    """
    aside: list[tuple[Path, Path]] = []
    try:
        folder.mkdir(parents=True, exist_ok=True)
        for name, content in files.items():
            if not _holds(folder / name, content):
                aside.append((_written_aside(folder / name, content), folder / name))
    except OSError as error:
        for temporary, _ in aside:
            temporary.unlink(missing_ok=True)
        raise BadFiles(
            [
                Problem(
                    Spot(str(folder)),
                    f"cannot be written: {error.strerror or error}",
                    "Name another folder, or make this one writable. Nothing was changed.",
                )
            ]
        ) from error
    for temporary, path in aside:
        temporary.replace(path)


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


def _written_aside(path: Path, content: bytes) -> Path:
    path.parent.mkdir(parents=True, exist_ok=True)
    handle, name = tempfile.mkstemp(prefix=f".{path.name}.", dir=path.parent)
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
        Path(name).chmod(0o644)
    except BaseException:
        Path(name).unlink(missing_ok=True)
        raise
    return Path(name)
