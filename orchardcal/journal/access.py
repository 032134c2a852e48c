"""Private addresses: who may read which feed; only the hash of a secret is ever kept.

A token is `ID-SECRET`: the id finds the row and may be shown, the secret is 32 random bytes in
base64url (RFC 4648 section 5) that is shown once. Its SHA-256 is enough to keep: a secret of 256
random bits cannot be searched for, so it needs no slow hash as a password does.
"""

from __future__ import annotations

import base64
import binascii
import hashlib
import hmac
import re
import sqlite3
from collections.abc import Iterable
from dataclasses import dataclass

from orchardcal.errors import StoreTrouble
from orchardcal.journal.store import Store
from orchardcal.journal.store_trouble import as_trouble
from orchardcal.journal.transaction import transaction

SECRET_BYTES = 32
PAGES = "pages"  # the feed of an address that opens everything that was written
_TOKEN = re.compile(r"([a-z0-9]{8})-([A-Za-z0-9_-]{43})")
_NOBODYS_HASH = hashlib.sha256(b"nobody's").digest()


@dataclass(frozen=True)
class PrivateAddress:
    """One person's address of one feed.

    id: eight letters and digits, no secret. feed: as "staff" or "sites/millbrook", or "pages".
    secret_sha256: 32 bytes. made, revoked: instants in UTC; revoked is None while it holds.
    """

    id: str
    person: str
    feed: str
    secret_sha256: bytes
    made: str
    revoked: str | None = None

    def opens(self, path: str) -> bool:
        """Whether a file of the folder written, as "sites/millbrook.ics", is behind it."""
        return self.feed == PAGES or path == f"{self.feed}.ics"


def token(address_id: str, secret: bytes) -> str:
    """What stands in the address for an id and its 32 secret bytes.

    >>> token("k3f9a2c1", bytes(32))
    'k3f9a2c1-AAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAA'
    """
    return f"{address_id}-{base64.urlsafe_b64encode(secret).decode().rstrip('=')}"


def secret_hash(secret: bytes) -> bytes:
    return hashlib.sha256(secret).digest()


class Guard:
    """The addresses that hold at a moment; asked with what a stranger wrote."""

    def __init__(self, addresses: Iterable[PrivateAddress]) -> None:
        self._by_id = {one.id: one for one in addresses if one.revoked is None}

    def __len__(self) -> int:
        return len(self._by_id)

    def admitted(self, written: str) -> PrivateAddress | None:
        """The address a token belongs to, None for every other text.

        The secrets are compared in constant time, and an unknown id costs the same comparison,
        so that the time of the answer tells nothing of a secret.
        """
        found = _TOKEN.fullmatch(written)
        if found is None:
            return None
        try:
            secret = base64.urlsafe_b64decode(found[2] + "=")
        except binascii.Error:
            return None
        address = self._by_id.get(found[1])
        expected = _NOBODYS_HASH if address is None else address.secret_sha256
        same = hmac.compare_digest(secret_hash(secret), expected)
        # One secret, one spelling: the last letter has two bits to spare.
        exact = token(found[1], secret) == written
        return address if same and exact else None


class AccessBook:
    """The private addresses in the journal's store."""

    def __init__(self, store: Store) -> None:
        self._connection = store.connection
        self._path = store.path

    def addresses(self) -> tuple[PrivateAddress, ...]:
        """Every address ever made, revoked ones too, in the order made."""
        with as_trouble(self._path):
            rows = self._connection.execute(
                "SELECT id, person, feed, secret_sha256, made, revoked FROM private_addresses"
                " ORDER BY position"
            ).fetchall()
        return tuple(PrivateAddress(*row) for row in rows)

    def add(self, address: PrivateAddress) -> None:
        """Keeps a new address; an id that is taken is StoreTrouble."""
        with as_trouble(self._path), transaction(self._connection):
            try:
                self._connection.execute(
                    "INSERT INTO private_addresses (id, person, feed, secret_sha256, made, revoked)"
                    " VALUES (?, ?, ?, ?, ?, ?)",
                    (
                        address.id,
                        address.person,
                        address.feed,
                        address.secret_sha256,
                        address.made,
                        address.revoked,
                    ),
                )
            except sqlite3.IntegrityError as error:
                raise StoreTrouble(
                    f"{self._path}: the id {address.id} is taken; nothing was made\n"
                    "    Run the command again: it draws another."
                ) from error

    def revoke(self, ids: Iterable[str], instant: str) -> None:
        """Ends the addresses with these ids for good; those already revoked keep their instant."""
        with as_trouble(self._path), transaction(self._connection):
            self._connection.executemany(
                "UPDATE private_addresses SET revoked = ? WHERE id = ? AND revoked IS NULL",
                [(instant, one) for one in ids],
            )
