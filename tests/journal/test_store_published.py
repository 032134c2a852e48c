"""Published rows in the store: replaced whole or not at all, and known only while untouched."""

from __future__ import annotations

import sqlite3
from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest

from orchardcal.journal.published import Published
from orchardcal.journal.store import STORE_NAME, Store


def event(uid: str, sequence: int = 0) -> Published:
    return Published(
        uid,
        "millbrook",
        "dormant_pruning",
        2027,
        ("A-01",),
        date(2027, 1, 9),
        date(2027, 1, 9),
        "planned",
        sequence,
        "2026-12-01T00:00:00Z",
        "abc",
        ("staff", "sites/millbrook"),
        b"BEGIN:VEVENT\r\n\x00\xff",
    )


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / STORE_NAME


def test_publishing_replaces_everything_and_keeps_the_bytes(path: Path) -> None:
    with Store.open(path) as store:
        store.publish([event("b"), event("a")])
        store.publish([event("c", 3), event("a", 1)])

    with Store.open(path) as store:
        assert store.published() == (event("a", 1), event("c", 3))


def test_published_rows_come_by_day_site_and_uid(path: Path) -> None:
    """Signs beyond the first 65,536 too, which UTF-16 would sort before some of those within."""
    days = (date(2027, 1, 9), date(2027, 1, 10), date(2026, 12, 31))
    rows = [replace(event("u"), first=day) for day in days]
    rows += [replace(event("u"), site=site) for site in ("é", "z", "\uffee", "🌳", "A", "a b")]
    rows = [replace(row, uid=f"{at % 4} {at}") for at, row in enumerate(rows)]
    with Store.open(path) as store:
        store.publish(rows)
        assert list(store.published()) == sorted(rows, key=lambda r: (r.first, r.site, r.uid))


def placed(path: Path) -> dict[str, int]:
    """Where in the table each published row stands: another place for a row written again."""
    with sqlite3.connect(path) as connection:
        found = dict(connection.execute("SELECT uid, position FROM published").fetchall())
    connection.close()
    return found


def test_rows_made_of_the_same_are_left_alone(path: Path) -> None:
    rows = [event("a"), replace(event("k"), site="karoo"), replace(event("l"), site="left")]
    with Store.open(path) as store:
        store.publish(rows, {"millbrook": "1", "karoo": "2"})
        before = placed(path)
        rows = [rows[0], replace(rows[1], sequence=1), event("b"), replace(event("n"), site="new")]
        store.publish([rows[0], rows[1], rows[3]], {"millbrook": "1", "new": "4"})
        assert store.published_from() == {"millbrook": "1", "new": "4"}
        assert store.published() == (rows[1], rows[0], rows[3])
        assert placed(path)["a"] == before["a"]
        store.publish([rows[0], rows[2]], {"millbrook": "5"})
        assert store.published_from() == {"millbrook": "5"}
        assert store.published() == (rows[0], rows[2])
        store.publish([rows[0]])
        assert store.published_from() == {}


@pytest.mark.parametrize(
    ("statement", "left"),
    [
        ("UPDATE published SET vevent = 'x' WHERE uid = 'a'", {"karoo"}),
        ("UPDATE published SET site = 'karoo' WHERE uid = 'a'", set()),
        ("DELETE FROM published WHERE uid = 'k'", {"millbrook"}),
        ("DELETE FROM published", set()),
        ("INSERT INTO published SELECT 9, 'b', site, care, season, plantings, first, last, status,"
         " sequence, revised, fingerprint, audiences, vevent, missed, planned, odds, crew"
         " FROM published WHERE uid = 'k'", {"millbrook"}),
    ],
)  # fmt: skip
def test_a_row_touched_by_hand_is_no_longer_known(
    path: Path, statement: str, left: set[str]
) -> None:
    with Store.open(path) as store:
        rows = [event("a"), replace(event("k"), site="karoo")]
        store.publish(rows, {"millbrook": "1", "karoo": "2"})
        with sqlite3.connect(path) as connection:
            connection.execute(statement)
        connection.close()
        assert store.published_from().keys() == left


def test_publishing_that_fails_leaves_what_was_there(path: Path) -> None:
    with Store.open(path) as store:
        store.publish([event("a")], {"millbrook": "1"})
        with pytest.raises(sqlite3.IntegrityError):
            store.publish([event("b"), event("b")], {"millbrook": "2"})
        assert store.published() == (event("a"),)
        assert store.published_from() == {"millbrook": "1"}
