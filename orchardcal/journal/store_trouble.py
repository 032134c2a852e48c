"""What can be wrong with a store, found before it is touched, and said so that it can be mended."""

from __future__ import annotations

import os
import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from orchardcal.errors import StoreTrouble
from orchardcal.journal.tables import APPLICATION_ID, STEPS

BUSY_S = 30.0  # how long to wait for someone else to finish writing


def damaged(path: Path, what: str) -> StoreTrouble:
    return StoreTrouble(
        f"{path} is damaged ({what}); it was not touched\n"
        f"    Move {path.name}, and {path.name}-wal and {path.name}-shm if they are there, out of"
        " the folder. Put the last export of the journal (orchardcal journal --export) in the"
        " folder as journal.csv, then run any command: the journal is made anew from it."
    )


def refuse_stray_log(path: Path) -> None:
    """A write-ahead log without its store must not meet a new store: it would be played into it."""
    log = path.with_name(path.name + "-wal")
    if log.exists() and not path.exists() and log.stat().st_size:
        raise StoreTrouble(
            f"{log} is there, but not {path.name}, to which it belongs\n"
            f"    Bring {path.name} back beside it, or move {log.name} out of the folder."
        )


def read_only(path: Path) -> str:
    """The address for SQLite to look at a store without writing to it, from whatever folder.

    But where a rollback journal is left, the making of a store was killed: SQLite has to roll it
    back before anyone can read, which takes the right to write.
    """
    if path.with_name(path.name + "-journal").exists():
        return path.absolute().as_uri() + "?mode=rw"
    address = path.absolute().as_uri() + "?mode=ro"
    no_log = not path.with_name(path.name + "-wal").exists()
    return address if _writable(path) or not no_log else address + "&immutable=1"


def for_reading(path: Path) -> str:
    """The address to read a sound store: whoever closes it last tidies the log away, if allowed."""
    return path.absolute().as_uri() + "?mode=rw" if _writable(path) else read_only(path)


def _writable(path: Path) -> bool:
    return os.access(path.parent, os.W_OK) and os.access(path, os.W_OK)


def inspect(path: Path) -> int:
    """The version of a store that is sound and ours; 0 if its making has only begun."""
    if not path.is_file():
        raise StoreTrouble(f"{path} is not a file\n    Move it away: the journal is kept there.")
    connection = sqlite3.connect(read_only(path), uri=True, timeout=BUSY_S, isolation_level=None)
    try:
        connection.execute("BEGIN")  # one state of the file: someone may be making it just now
        ours = connection.execute("PRAGMA application_id").fetchone()[0] == APPLICATION_ID
        version = int(connection.execute("PRAGMA user_version").fetchone()[0])
        tables = {name for (name,) in connection.execute("SELECT name FROM sqlite_master")}
        if not ours and not tables and version == 0:
            return 0
        if not ours:
            raise StoreTrouble(
                f"{path} holds something else than a journal; it was not touched\n"
                "    Move it out of the folder: the journal is kept under this name."
            )
        if version > len(STEPS):
            raise StoreTrouble(
                f"{path} was written by a newer orchardcal (version {version}; this one knows"
                f" {len(STEPS)}); it was not touched\n    Install the newer orchardcal here too."
            )
        first = connection.execute("PRAGMA quick_check(1)").fetchone()[0]
        if first != "ok":
            raise damaged(path, str(first).replace("*** in database main ***\n", ""))
        if not {"entries", "published"} <= tables:
            raise damaged(path, "its tables are missing")
        return version
    finally:
        connection.close()


@contextmanager
def as_trouble(path: Path) -> Iterator[None]:
    """Turns what SQLite and the disk say into StoreTrouble; a bug of ours stays a bug."""
    try:
        yield
    except sqlite3.DatabaseError as error:
        trouble = _trouble(path, error)
        if trouble is None:
            raise
        raise trouble from error


def _trouble(path: Path, error: sqlite3.DatabaseError) -> StoreTrouble | None:
    name = getattr(error, "sqlite_errorname", "")
    if name.startswith(("SQLITE_CORRUPT", "SQLITE_NOTADB")):
        return damaged(path, str(error))
    if name.startswith(("SQLITE_BUSY", "SQLITE_LOCKED")):
        return StoreTrouble(
            f"{path}: another command has been writing for {BUSY_S:.0f} s; nothing was recorded\n"
            "    Wait until it has ended, then run this again."
        )
    if name.startswith("SQLITE_FULL"):
        return StoreTrouble(
            f"{path}: the disk is full; nothing was recorded\n    Make room, then run this again."
        )
    if name.startswith(("SQLITE_READONLY", "SQLITE_CANTOPEN", "SQLITE_PERM", "SQLITE_IOERR")):
        return StoreTrouble(
            f"{path} cannot be opened or written ({error}); nothing was recorded\n"
            f"    See that {path.parent} is there and that you may write in it."
        )
    return None
