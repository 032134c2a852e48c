"""Private addresses: what opens a feed and what does not, and what the store keeps of them."""

from __future__ import annotations

import hashlib
from pathlib import Path

import pytest

from orchardcal.errors import StoreTrouble
from orchardcal.journal.access import AccessBook, Guard, PrivateAddress, secret_hash, token
from orchardcal.journal.store import Store

SECRET = bytes(range(32))
# RFC 4648 section 5, by GNU coreutils 9.1, its padding taken off:
# printf "$(printf '\\%03o' $(seq 0 31))" | basenc --base64url
WRITTEN = "AAECAwQFBgcICQoLDA0ODxAREhMUFRYXGBkaGxwdHh8"
ADA = PrivateAddress("k3f9a2c1", "ada", "staff", secret_hash(SECRET), "2026-11-25T08:00:00Z")


def test_a_token_is_the_id_and_the_secret() -> None:
    assert token("k3f9a2c1", SECRET) == f"k3f9a2c1-{WRITTEN}"
    assert ADA.secret_sha256 == hashlib.sha256(SECRET).digest()


def test_the_right_token_alone_opens() -> None:
    guard = Guard([ADA])
    right = token(ADA.id, SECRET)
    assert guard.admitted(right) == ADA
    other_last = right[:-1] + "9"  # the same 32 bytes: two bits of the last letter say nothing
    wrong = [
        "",
        ADA.id,
        right.upper(),
        right + "=",
        right + "A",
        right[:-1],
        other_last,
        token("zzzzzzzz", SECRET),
        token(ADA.id, bytes(32)),
        right.replace("-", "–", 1),
        right + "\n",
        ADA.secret_sha256.hex(),
    ]
    assert [one for one in wrong if guard.admitted(one) is not None] == []


def test_an_address_opens_its_feed_alone() -> None:
    assert ADA.opens("staff.ics")
    assert not ADA.opens("sites/staff.ics")
    assert not ADA.opens("staff.html")
    pages = PrivateAddress("a", "ada", "pages", b"", "")
    assert pages.opens("index.html")


def test_a_revoked_address_opens_nothing(tmp_path: Path) -> None:
    with Store.open(tmp_path / "journal.sqlite") as store:
        book = AccessBook(store)
        book.add(ADA)
        with pytest.raises(StoreTrouble, match="is taken"):
            book.add(ADA)
        assert Guard(book.addresses()).admitted(token(ADA.id, SECRET)) == ADA
        book.revoke([ADA.id], "2026-11-26T00:00:00Z")
        book.revoke([ADA.id], "2026-11-27T00:00:00Z")
        (kept,) = book.addresses()
    assert kept.revoked == "2026-11-26T00:00:00Z"
    assert Guard([kept]).admitted(token(ADA.id, SECRET)) is None
