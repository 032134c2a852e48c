"""Rows that stand: what feeds hold is the same whether rows are revised or taken as they are."""

from __future__ import annotations

import sqlite3
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from orchardcal.commands import kept_results
from orchardcal.journal.store import STORE_NAME
from orchardcal.outputs.site_told import SiteTold, site_told
from orchardcal.plan.plan import SitePlan
from tests.commands.season_ground import SITES, Ground, replaced

TAMARSH, HUON_REACH = SITES


@pytest.fixture
def worded(ground: Ground, monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """The sites whose part of what is written was put into words."""
    found: list[str] = []

    def told(site: SitePlan, *others: Any) -> SiteTold:
        found.append(site.site)
        return site_told(site, *others)

    monkeypatch.setattr("orchardcal.commands.planners.site_told", told)
    return found


def by_hand(statement: str) -> Callable[[Path], None]:
    def edit(folder: Path) -> None:
        connection = sqlite3.connect(folder / STORE_NAME, isolation_level=None)
        changed = connection.execute(statement)
        assert changed.rowcount > 0
        connection.close()

    return edit


EDITS = {
    "the language": (replaced("programme.toml", 'language = "en"', 'language = "es"'), SITES),
    "the units": (replaced("programme.toml", 'units = "metric"', 'units = "us"'), SITES),
    "the address": (replaced("programme.toml", "calendars.nine", "feeds.nine"), SITES),
    "one byte of the trees": (
        replaced("tamarsh/trees.csv", "Conference;2;", "Conference;3;"),
        (TAMARSH,),
    ),
    "a row": (
        by_hand("UPDATE published SET fingerprint = 'other' WHERE site = 'tamarsh'"),
        (TAMARSH,),
    ),
    "the bytes of an event": (
        by_hand(
            "UPDATE published SET vevent = CAST(replace(vevent, 'OPAQUE', 'TRANSPARENT') AS BLOB)"
            " WHERE site = 'tamarsh'"
        ),
        (TAMARSH,),
    ),
    "rows that went": (by_hand("DELETE FROM published WHERE site = 'huon-reach'"), (HUON_REACH,)),
}


def test_rows_that_stand_are_not_put_into_words(ground: Ground, worded: list[str]) -> None:
    assert ground.run() == ground.written
    assert worded == []
    assert ground.run("--afresh") == ground.written
    assert sorted(worded) == sorted(SITES)


@pytest.mark.parametrize("edit", EDITS)
def test_after_an_edit_rows_are_as_revised(ground: Ground, worded: list[str], edit: str) -> None:
    change, sites = EDITS[edit]
    change(ground.folder)
    found = ground.run()
    assert sorted(worded) == sorted(sites)
    ground.restore()
    change(ground.folder)
    assert ground.run("--afresh") == found


def test_another_day_revises_every_row(ground: Ground, worded: list[str]) -> None:
    found = ground.run(as_of="2026-11-26")
    assert sorted(worded) == sorted(SITES)
    ground.restore()
    assert ground.run("--afresh", as_of="2026-11-26") == found


def test_another_program_revises_every_row(
    ground: Ground, worded: list[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(kept_results, "made_by", lambda: "a later version")
    assert ground.run() == ground.written
    assert sorted(worded) == sorted(SITES)


def test_an_event_that_changed_rests_from_the_run_after(ground: Ground, worded: list[str]) -> None:
    """What follows from the rows a run found does not yet follow from those it leaves."""
    EDITS["one byte of the trees"][0](ground.folder)
    ground.run()
    assert worded == [TAMARSH]
    after = ground.run()
    assert worded == [TAMARSH, TAMARSH]
    assert ground.run() == after
    assert worded == [TAMARSH, TAMARSH]


def test_a_first_day_again_is_known_at_once_where_no_event_changed(
    ground: Ground, worded: list[str]
) -> None:
    """The next morning makes all anew; later that day only what was edited is."""
    ground.run(as_of="2026-11-26")
    assert set(worded) == set(SITES)
    ground.run(as_of="2026-11-26")
    ground.run(as_of="2026-11-26")
    worded.clear()
    ground.run(as_of="2026-11-26")
    assert worded == []
