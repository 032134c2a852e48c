"""The store of the journal: one SQLite file that several people may write at the same time."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Collection, Iterable, Iterator
from contextlib import contextmanager, suppress
from dataclasses import fields
from datetime import date
from pathlib import Path
from typing import Any

from orchardcal.errors import Problems, StoreTrouble
from orchardcal.journal.entries import Entry
from orchardcal.journal.journal_csv import csv_text, entries_from_csv
from orchardcal.journal.published import Published
from orchardcal.journal.store_trouble import (
    BUSY_S,
    as_trouble,
    damaged,
    for_reading,
    inspect,
    refuse_stray_log,
)
from orchardcal.journal.tables import STEPS
from orchardcal.journal.transaction import transaction

STORE_NAME = "journal.sqlite"
CSV_NAME = "journal.csv"  # a journal that travelled; read when there is no store yet

ENTRY_COLUMNS = tuple(field.name for field in fields(Entry))
PUBLISHED_COLUMNS = tuple(field.name for field in fields(Published))
LISTS, DAYS = {"plantings", "audiences"}, {"day", "until", "first", "last", "missed", "planned"}


class Store:
    """The journal of one programme folder. Entries are added, never changed.

    What `add` or `publish` has returned from survives a crash of the program or the machine:
    write-ahead log, synchronous=FULL, one transaction per call.
    """

    def __init__(self, connection: sqlite3.Connection, path: Path) -> None:
        self._connection = connection
        self._path = path

    @classmethod
    @contextmanager
    def open(cls, path: Path, create: bool = True) -> Iterator[Store]:
        """The store at `path` (the file, not its folder).

        create: make it if it is missing, from the journal.csv beside it where there is one,
        whole or not at all. Without, nothing is made or changed: what is there is read into
        memory, and writing is refused.

        Raises StoreTrouble if it is damaged, newer, foreign, locked or unwritable, BadFiles if
        it has to be made from a journal.csv that cannot be read.
        """
        with as_trouble(path):
            refuse_stray_log(path)
            connection = _on_disk(path) if create else _in_memory(path)
        try:
            yield cls(connection, path)
        finally:
            with as_trouble(path):
                connection.close()

    @property
    def connection(self) -> sqlite3.Connection:
        """For the ledger of mails, which keeps its tables in the same file."""
        return self._connection

    @property
    def path(self) -> Path:
        return self._path

    def add(self, entries: Iterable[Entry]) -> int:
        """Adds entries, all or none; how many were not yet there.

        An entry whose id is there with other content is StoreTrouble, and nothing is added.
        """
        with as_trouble(self._path), transaction(self._connection):
            return sum(self._added(entry) for entry in entries)

    def _added(self, entry: Entry) -> int:
        there = self._rows("SELECT * FROM entries WHERE id = ?", (entry.id,))
        if not there:
            _insert(self._connection, "entries", ENTRY_COLUMNS, entry)
            return 1
        if _entry(there[0]) != entry:
            raise StoreTrouble(
                f"{self._path}: an entry with the id {entry.id} and other content is there"
                " already; nothing was added\n    Leave the id of the new entry empty."
            )
        return 0

    def entries(self, site: str | None = None) -> tuple[Entry, ...]:
        """Every entry, or one site's, in recorded order; undone ones and undoings included."""
        where, values = ("", ()) if site is None else ("WHERE site = ?", (site,))
        query = f"SELECT * FROM entries {where} ORDER BY recorded, position"
        with as_trouble(self._path):
            rows = self._rows(query, values)
        try:
            return tuple(_entry(row) for row in rows)
        except (ValueError, TypeError) as error:
            raise damaged(self._path, f"an entry cannot be read: {error}") from error

    def published(self, site: str | None = None) -> tuple[Published, ...]:
        """What subscribers last saw, all of it or of one site, ordered by day, site and UID."""
        where, values = ("", ()) if site is None else ("WHERE site = ?", (site,))
        query = f"SELECT * FROM published {where} ORDER BY first, site, uid"
        with as_trouble(self._path):
            rows = self._rows(query, values)
        try:
            return tuple(
                Published(**{name: _value(name, row[name]) for name in PUBLISHED_COLUMNS})
                for row in rows
            )
        except (ValueError, TypeError) as error:
            raise damaged(self._path, f"a published event cannot be read: {error}") from error

    def published_sites(self) -> tuple[str, ...]:
        """The sites that subscribers saw events of, by key."""
        with as_trouble(self._path):
            rows = self._rows("SELECT DISTINCT site FROM published ORDER BY site", ())
        return tuple(row["site"] for row in rows)

    def publish(self, rows: Iterable[Published], resting: Collection[str] = ()) -> None:
        """Replaces what subscribers last saw, in one transaction.

        resting: the sites whose rows are what they were and stay as they are; rows holds none.
        """
        with as_trouble(self._path), transaction(self._connection):
            self._connection.execute("CREATE TEMP TABLE resting (site TEXT PRIMARY KEY)")
            self._connection.executemany(
                "INSERT INTO resting VALUES (?)", ((site,) for site in sorted(resting))
            )
            self._connection.execute(
                "DELETE FROM published WHERE site NOT IN (SELECT site FROM resting)"
            )
            self._connection.execute("DROP TABLE resting")
            for row in rows:
                _insert(self._connection, "published", PUBLISHED_COLUMNS, row)

    def _rows(self, query: str, values: tuple[str, ...]) -> list[sqlite3.Row]:
        return self._connection.execute(query, values).fetchall()


def _on_disk(path: Path) -> sqlite3.Connection:
    there = path.exists()
    version = inspect(path) if there else 0
    travelled = _travelled(path) if version == 0 else ()
    connection = sqlite3.connect(path, timeout=BUSY_S, isolation_level=None)
    try:
        with suppress(sqlite3.OperationalError):  # another command is making it at this moment
            connection.execute("PRAGMA journal_mode = WAL")
        connection.execute("PRAGMA synchronous = FULL")
        connection.execute("PRAGMA fullfsync = ON")  # macOS: past the disk's own cache
        return _ready(connection, travelled)
    except BaseException:
        connection.close()
        raise


def _in_memory(path: Path) -> sqlite3.Connection:
    version = inspect(path) if path.exists() else 0
    memory = sqlite3.connect(":memory:", isolation_level=None)
    try:
        if version:
            source = sqlite3.connect(for_reading(path), uri=True, timeout=BUSY_S)
            try:
                source.backup(memory)
            finally:
                source.close()
        _ready(memory, _travelled(path) if version == 0 else ())
        memory.execute("PRAGMA query_only = ON")
        return memory
    except BaseException:
        memory.close()
        raise


def _ready(connection: sqlite3.Connection, travelled: tuple[Entry, ...]) -> sqlite3.Connection:
    """The connection once its tables are of today's version, made or brought up in one step."""
    connection.row_factory = sqlite3.Row
    if _version(connection) < len(STEPS):
        with transaction(connection):
            version = _version(connection)  # again: another command may have been first
            for step in STEPS[version:]:
                for statement in step:
                    connection.execute(statement)
            for entry in travelled if version == 0 else ():
                _insert(connection, "entries", ENTRY_COLUMNS, entry)
            connection.execute(f"PRAGMA user_version = {len(STEPS)}")
    return connection


def _version(connection: sqlite3.Connection) -> int:
    return int(connection.execute("PRAGMA user_version").fetchone()[0])


def _travelled(path: Path) -> tuple[Entry, ...]:
    """The entries of the journal.csv beside a store that is still to be made."""
    source = path.with_name(CSV_NAME)
    if not source.exists():
        return ()
    problems = Problems()
    text = csv_text(source, CSV_NAME, problems)
    entries = entries_from_csv(text, CSV_NAME, problems)
    problems.raise_if_any()
    return tuple(entries)


def _insert(
    connection: sqlite3.Connection, table: str, columns: tuple[str, ...], row: Entry | Published
) -> None:
    names = ", ".join(f'"{name}"' for name in columns)
    places = ", ".join("?" for _ in columns)
    values = [_stored(getattr(row, name)) for name in columns]
    connection.execute(f"INSERT INTO {table} ({names}) VALUES ({places})", values)


def _stored(value: Any) -> str | int | bytes | None:
    if isinstance(value, tuple):
        return json.dumps(value, ensure_ascii=False)
    if isinstance(value, date):
        return value.isoformat()
    stored: str | int | bytes | None = value
    return stored


def _value(name: str, stored: Any) -> Any:
    if name in LISTS:
        return tuple(json.loads(stored))
    if name in DAYS and stored is not None:
        return date.fromisoformat(stored)
    return stored


def _entry(row: sqlite3.Row) -> Entry:
    return Entry(**{name: _value(name, row[name]) for name in ENTRY_COLUMNS})
