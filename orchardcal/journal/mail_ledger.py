"""The ledger of mails: what was told to whom, claimed before it is sent, so that none goes twice.

A mail is `claimed` before its first line leaves, `sent` once the server has taken it, `refused`
when the server will never take it, and `unknown` when the line broke in between: it may or may
not have arrived, and only a person can ask. `again` is an unknown or refused one whose content
may go out once more. What was not sent leaves no row.
"""

from __future__ import annotations

import hashlib
import sqlite3
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from orchardcal.errors import StoreTrouble
from orchardcal.journal.store import Store
from orchardcal.journal.store_trouble import as_trouble
from orchardcal.journal.transaction import transaction

CLAIMED, SENT, UNKNOWN, REFUSED, AGAIN = "claimed", "sent", "unknown", "refused", "again"
LOCK_NAME = "mail.lock"


@dataclass(frozen=True, order=True)
class MailItem:
    """One thing told to one person. uid: the event it is about, "" for none. day: its day then."""

    key: str
    uid: str = ""
    day: date | None = None


@dataclass(frozen=True)
class Mail:
    """A mail as the ledger knows it: keys of people, never addresses.

    key: from its content; also the left half of its Message-ID. address_mark: tells whether the
    address has changed since, without holding it.
    """

    key: str
    person: str
    kind: str
    subject: str
    as_of: date
    items: tuple[MailItem, ...]
    address_mark: str = ""


@dataclass(frozen=True)
class MailRow:
    """A mail and what became of it. changed: an instant in UTC. answer: what the server said."""

    mail: Mail
    state: str
    changed: str
    answer: str


def mail_key(person: str, address: str, kind: str, items: Sequence[MailItem]) -> str:
    """SHA-256 over who is told what: the same content to the same address is the same mail."""
    content = [person, address, kind, *sorted(item.key for item in items)]
    return hashlib.sha256("\x1f".join(content).encode()).hexdigest()[:40]


def address_mark(address: str) -> str:
    """A short digest of an address, to see that it has changed."""
    return hashlib.sha256(address.encode()).hexdigest()[:16]


class MailLedger:
    """The tables of mails in the journal's store. What a method has returned from is on disk."""

    def __init__(self, store: Store) -> None:
        self._connection = store.connection
        self._path = store.path

    def rows(self) -> tuple[MailRow, ...]:
        """Every mail there is a row of, oldest first."""
        with as_trouble(self._path):
            items: dict[str, list[MailItem]] = {}
            for one in self._connection.execute("SELECT * FROM mail_items ORDER BY mail, item"):
                day = date.fromisoformat(one["day"]) if one["day"] else None
                items.setdefault(one["mail"], []).append(MailItem(one["item"], one["uid"], day))
            found = self._connection.execute("SELECT * FROM mails ORDER BY position").fetchall()
        return tuple(_row(row, tuple(items.get(row["key"], ()))) for row in found)

    def claim(self, mail: Mail, instant: str) -> bool:
        """Sets the mail aside as being sent; False if any of it was told or may have been.

        Once this has returned True, nobody else sends any of its items to that person.
        """
        items = {item.key for item in mail.items}
        with as_trouble(self._path), transaction(self._connection):
            held = self._connection.execute(
                "SELECT item FROM mail_items JOIN mails ON mail_items.mail = mails.key"
                " WHERE person = ? AND kind = ? AND state IN (?, ?, ?)",
                (mail.person, mail.kind, CLAIMED, SENT, UNKNOWN),
            )
            if items & {row["item"] for row in held}:
                return False
            self._forget(mail.key)
            self._connection.execute(
                "INSERT INTO mails (key, person, kind, subject, as_of, address_mark, state,"
                " changed, answer) VALUES (?, ?, ?, ?, ?, ?, ?, ?, '')",
                (
                    mail.key,
                    mail.person,
                    mail.kind,
                    mail.subject,
                    mail.as_of.isoformat(),
                    mail.address_mark,
                    CLAIMED,
                    instant,
                ),
            )
            self._connection.executemany(
                "INSERT INTO mail_items (mail, item, uid, day) VALUES (?, ?, ?, ?)",
                [(mail.key, item.key, item.uid, _written(item.day)) for item in mail.items],
            )
        return True

    def settle(self, key: str, state: str, instant: str, answer: str = "") -> None:
        """Writes what became of a mail."""
        with as_trouble(self._path), transaction(self._connection):
            self._connection.execute(
                "UPDATE mails SET state = ?, changed = ?, answer = ? WHERE key = ?",
                (state, instant, answer, key),
            )

    def release(self, key: str) -> None:
        """Takes a claim back: nothing of the mail left this machine, or the server wants it later.

        Raises ValueError if the mail was not merely claimed.
        """
        with as_trouble(self._path), transaction(self._connection):
            row = self._connection.execute("SELECT state FROM mails WHERE key = ?", (key,))
            state = row.fetchone()
            if state is None or state["state"] != CLAIMED:
                raise ValueError("only a mail that is being sent can be released")
            self._forget(key)

    def close_unfinished(self, instant: str) -> None:
        """Claims that a run left behind when it was killed: whether they arrived is not known."""
        with as_trouble(self._path), transaction(self._connection):
            self._connection.execute(
                "UPDATE mails SET state = ?, changed = ?, answer = ? WHERE state = ?",
                (UNKNOWN, instant, "the program ended while sending", CLAIMED),
            )

    def allow_again(self, state: str, instant: str) -> None:
        """Lets the content of every unknown (or refused) mail go out once more."""
        with as_trouble(self._path), transaction(self._connection):
            self._connection.execute(
                "UPDATE mails SET state = ?, changed = ? WHERE state = ?", (AGAIN, instant, state)
            )

    def _forget(self, key: str) -> None:
        self._connection.execute("DELETE FROM mail_items WHERE mail = ?", (key,))
        self._connection.execute("DELETE FROM mails WHERE key = ?", (key,))


@contextmanager
def sole_sender(folder: Path) -> Iterator[None]:
    """Holds the right to send for a programme folder; a second sender gets StoreTrouble.

    A lock that SQLite takes on a file of its own: the system lets go of it when the process
    ends, however it ends, on every system Python runs on.
    """
    path = folder / LOCK_NAME
    with as_trouble(path):
        connection = sqlite3.connect(path, timeout=0, isolation_level=None)
    try:
        try:
            connection.execute("BEGIN EXCLUSIVE")
        except sqlite3.OperationalError as error:
            if getattr(error, "sqlite_errorname", "").startswith("SQLITE_BUSY"):
                raise StoreTrouble(
                    f"{path}: another command is sending mail at this moment; nothing was sent\n"
                    "    Wait until it has ended, then run this again."
                ) from error
            with as_trouble(path):
                raise
        yield
    finally:
        connection.close()


def _row(row: sqlite3.Row, items: tuple[MailItem, ...]) -> MailRow:
    mail = Mail(
        row["key"],
        row["person"],
        row["kind"],
        row["subject"],
        date.fromisoformat(row["as_of"]),
        items,
        row["address_mark"],
    )
    return MailRow(mail, row["state"], row["changed"], row["answer"])


def _written(day: date | None) -> str | None:
    return None if day is None else day.isoformat()
