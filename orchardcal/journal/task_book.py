"""What a calendar server was given and last held of each event and task, to see what changed."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Iterable
from dataclasses import dataclass, fields

from orchardcal.journal.store import Store
from orchardcal.journal.store_trouble import as_trouble
from orchardcal.journal.transaction import transaction


@dataclass(frozen=True)
class TaskCopy:
    """One event or task on a calendar server.

    uid: its own. of_uid: the published event it belongs to. kind: "VEVENT" or "VTODO". address:
    where it lies on the server. etag: of what we last wrote or read there, "" where that is not
    known. body: what that was. fingerprint: of our own content when last written, "" where it is
    to be written again. entries: ids of the journal's entries that its tick made.
    """

    uid: str
    of_uid: str
    site: str
    kind: str
    address: str
    etag: str
    body: bytes
    fingerprint: str
    entries: tuple[str, ...] = ()


COLUMNS = tuple(field.name for field in fields(TaskCopy))


class TaskBook:
    """The copies in the journal's store. What a method has returned from is on disk."""

    def __init__(self, store: Store) -> None:
        self._connection = store.connection
        self._path = store.path

    def copies(self, site: str) -> dict[str, TaskCopy]:
        """Those of one site by their UIDs."""
        with as_trouble(self._path):
            rows = self._connection.execute(
                "SELECT * FROM task_copies WHERE site = ? ORDER BY uid", (site,)
            ).fetchall()
        return {row["uid"]: _copy(row) for row in rows}

    def sites(self) -> tuple[str, ...]:
        """The sites that have copies on the server, those that left the programme too."""
        with as_trouble(self._path):
            rows = self._connection.execute("SELECT DISTINCT site FROM task_copies ORDER BY site")
            return tuple(row["site"] for row in rows)

    def keep(self, copies: Iterable[TaskCopy]) -> None:
        """Remembers copies as they now are."""
        with as_trouble(self._path), transaction(self._connection):
            self._connection.executemany(
                "INSERT OR REPLACE INTO task_copies (uid, of_uid, site, kind, address, etag, body,"
                " fingerprint, entries) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?)",
                [
                    (
                        one.uid,
                        one.of_uid,
                        one.site,
                        one.kind,
                        one.address,
                        one.etag,
                        one.body,
                        one.fingerprint,
                        json.dumps(one.entries),
                    )
                    for one in copies
                ],
            )

    def forget(self, uid: str) -> None:
        """Forgets a copy that is no longer on the server."""
        with as_trouble(self._path), transaction(self._connection):
            self._connection.execute("DELETE FROM task_copies WHERE uid = ?", (uid,))


def _copy(row: sqlite3.Row) -> TaskCopy:
    values = {name: row[name] for name in COLUMNS}
    return TaskCopy(**{**values, "entries": tuple(json.loads(row["entries"]))})
