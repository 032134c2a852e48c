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


def test_rows_that_rest_are_left_alone(path: Path) -> None:
    rows = [event("a"), replace(event("k"), site="karoo"), replace(event("l"), site="left")]
    with Store.open(path) as store:
        store.publish(rows)
        before = placed(path)
        moved, new = replace(rows[1], sequence=1), replace(event("n"), site="new")
        store.publish([moved, new], {"millbrook"})
        assert store.published() == (moved, rows[0], new)
        assert placed(path)["a"] == before["a"]
        assert store.published("karoo") == (moved,)
        assert store.published_sites() == ("karoo", "millbrook", "new")
        store.publish([], {"millbrook", "nowhere"})
        assert store.published() == (rows[0],)


def test_a_row_that_another_run_changed_meanwhile_stays_as_it_is(path: Path) -> None:
    with Store.open(path) as store, Store.open(path) as other:
        store.publish([event("a")])
        other.publish([replace(event("a"), sequence=2)])
        store.publish([], {"millbrook"})
        assert [row.sequence for row in store.published()] == [2]


def test_publishing_that_fails_leaves_what_was_there(path: Path) -> None:
    with Store.open(path) as store:
        store.publish([event("a")])
        with pytest.raises(sqlite3.IntegrityError):
            store.publish([event("b"), event("b")])
        assert store.published() == (event("a"),)
        store.publish([event("c")])
        assert store.published() == (event("c"),)
