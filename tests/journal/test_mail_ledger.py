"""The ledger of mails: claimed before, settled after, never told twice; an older store grows it."""

from __future__ import annotations

import sqlite3
from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest

from orchardcal.errors import StoreTrouble
from orchardcal.journal.mail_ledger import (
    CLAIMED,
    REFUSED,
    SENT,
    UNKNOWN,
    Mail,
    MailItem,
    MailLedger,
    address_mark,
    mail_key,
    sole_sender,
)
from orchardcal.journal.store import STORE_NAME, Store
from orchardcal.journal.tables import STEPS

NOW = "2026-12-20T07:00:00Z"
ITEMS = (MailItem("u1:a:7", "u1", date(2027, 1, 9)), MailItem("u2:b:7", "u2", None))
MAIL = Mail("k1", "ada", "lead", "Sat 9 Jan 2027", date(2027, 1, 2), ITEMS, "mark")


def test_a_claim_is_kept_with_all_it_tells(tmp_path: Path) -> None:
    with Store.open(tmp_path / STORE_NAME) as store:
        assert MailLedger(store).claim(MAIL, NOW)
    with Store.open(tmp_path / STORE_NAME, create=False) as store:
        (row,) = MailLedger(store).rows()
    assert (row.mail, row.state, row.changed, row.answer) == (MAIL, CLAIMED, NOW, "")


@pytest.mark.parametrize("state", [CLAIMED, SENT, UNKNOWN])
def test_what_may_have_been_told_is_not_claimed_again(tmp_path: Path, state: str) -> None:
    """One shared item is enough; another person may be told the same."""
    other = replace(MAIL, key="k2", items=(ITEMS[0], MailItem("u3:c:1")))
    with Store.open(tmp_path / STORE_NAME) as store:
        ledger = MailLedger(store)
        ledger.claim(MAIL, NOW)
        ledger.settle("k1", state, NOW)
        assert not ledger.claim(other, NOW)
        assert ledger.claim(replace(other, person="moana"), NOW)
        assert [row.mail.key for row in ledger.rows()] == ["k1", "k2"]


def test_a_released_claim_leaves_nothing(tmp_path: Path) -> None:
    with Store.open(tmp_path / STORE_NAME) as store:
        ledger = MailLedger(store)
        ledger.claim(MAIL, NOW)
        ledger.release("k1")
        assert ledger.rows() == ()
        assert ledger.claim(MAIL, NOW)
        ledger.settle("k1", SENT, NOW)
        with pytest.raises(ValueError, match="only a mail that is being sent"):
            ledger.release("k1")
        assert [row.state for row in ledger.rows()] == [SENT]


def test_a_claim_left_behind_is_unknown_and_goes_again_only_when_allowed(tmp_path: Path) -> None:
    with Store.open(tmp_path / STORE_NAME) as store:
        ledger = MailLedger(store)
        ledger.claim(MAIL, NOW)
        ledger.close_unfinished(NOW)
        assert [row.state for row in ledger.rows()] == [UNKNOWN]
        assert not ledger.claim(MAIL, NOW)
        ledger.allow_again(REFUSED, NOW)
        assert not ledger.claim(MAIL, NOW)
        ledger.allow_again(UNKNOWN, NOW)
        assert ledger.claim(MAIL, NOW)
        assert [row.state for row in ledger.rows()] == [CLAIMED]


def test_a_store_without_a_ledger_gets_one_and_keeps_the_rest(tmp_path: Path) -> None:
    """The first step alone is a store as it was before mails; SQLite numbers it user_version 1."""
    path = tmp_path / STORE_NAME
    connection = sqlite3.connect(path, isolation_level=None)
    for statement in STEPS[0]:
        connection.execute(statement)
    connection.execute("PRAGMA user_version = 1")
    connection.execute(
        "INSERT INTO entries VALUES (1, '2026-12-01T09:30:00Z', 'j1', 'seen', 'larkfield',"
        " '2026-12-01', '', '[]', 0, 'Ada', NULL, NULL, NULL, 'dormant', '', '', '')"
    )
    connection.close()
    with Store.open(path, create=False) as store:  # looking changes nothing on disk
        assert MailLedger(store).rows() == ()
    with sqlite3.connect(path) as before:
        assert before.execute("PRAGMA user_version").fetchone() == (1,)
    before.close()
    with Store.open(path) as store:
        assert MailLedger(store).claim(MAIL, NOW)
        assert [entry.id for entry in store.entries()] == ["j1"]


def test_a_mail_is_known_by_whom_it_tells_what() -> None:
    key = mail_key("ada", "ada@school.example", "lead", ITEMS)
    assert key == mail_key("ada", "ada@school.example", "lead", ITEMS[::-1])
    others = {
        mail_key("eve", "ada@school.example", "lead", ITEMS),
        mail_key("ada", "ada@home.example", "lead", ITEMS),
        mail_key("ada", "ada@school.example", "volunteers", ITEMS),
        mail_key("ada", "ada@school.example", "lead", ITEMS[:1]),
    }
    assert len(others - {key}) == 4
    assert "ada" not in address_mark("ada@school.example")


def test_only_one_may_send_at_a_time(tmp_path: Path) -> None:
    with (
        sole_sender(tmp_path),
        pytest.raises(StoreTrouble, match="another command is sending"),
        sole_sender(tmp_path),
    ):
        pass
    with sole_sender(tmp_path):
        pass
