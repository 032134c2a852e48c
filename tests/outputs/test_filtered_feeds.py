"""Feeds for one care, some sites or one person: the staff's events, byte for byte."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date

from ical.calendar_stream import IcsCalendarStream

from orchardcal.care import DORMANT_OIL_SPRAY, DORMANT_PRUNING
from orchardcal.journal.published import Published
from orchardcal.outputs.feed import VeventsInRows, feeds, published
from orchardcal.outputs.filtered_feeds import filtered_feeds
from orchardcal.outputs.speech import Speech
from orchardcal.plan.plan import Plan
from orchardcal.sites.feed_settings import FeedSettings
from tests.outputs.invented_plan import (
    PAINT_UID,
    PLAN,
    PRUNE_UID,
    SOUTH_UID,
    SPRAY_UID,
    WINDOW_UID,
    without_job,
)

SPEECH = Speech()
ROWS = published(PLAN, (), SPEECH)


def own_feeds(
    rows: Sequence[Published], settings: Sequence[FeedSettings], plan: Plan
) -> dict[str, bytes]:
    files = filtered_feeds(rows, settings, plan, SPEECH, VeventsInRows(rows))
    return {file.path: bytes(file) for file in files}


def _uids(settings: FeedSettings, plan=PLAN, rows=ROWS) -> set[str]:  # type: ignore[no-untyped-def]
    written = own_feeds(rows, (settings,), plan)
    (feed,) = written.values()
    calendar = IcsCalendarStream.calendar_from_ics(feed.decode())  # a strict reader of others
    return {str(event.uid) for event in calendar.events}


def test_by_care_site_lead_and_windows() -> None:
    pruning = FeedSettings("pruning", cares=(DORMANT_PRUNING,))
    assert _uids(pruning) == {PRUNE_UID, SOUTH_UID}
    assert _uids(FeedSettings("south", sites=("kereru",))) == {SOUTH_UID}
    assert _uids(FeedSettings("ada", lead="ada")) == {PRUNE_UID, PAINT_UID, SPRAY_UID, WINDOW_UID}
    oil = FeedSettings("oil", cares=(DORMANT_OIL_SPRAY,))
    assert _uids(oil) == {SPRAY_UID, WINDOW_UID}
    assert _uids(replace(oil, windows=False)) == {SPRAY_UID}
    assert _uids(replace(oil, lead="moana")) == set()


def test_a_crew_has_its_own_days() -> None:
    rows = tuple(replace(row, crew="north") if row.uid == PRUNE_UID else row for row in ROWS)
    assert _uids(FeedSettings("north", crew="north"), rows=rows) == {PRUNE_UID}
    assert _uids(FeedSettings("south", crew="south"), rows=rows) == set()


def test_the_events_are_the_staffs() -> None:
    staff = feeds(PLAN, ROWS, SPEECH)["staff.ics"]
    settings = FeedSettings("pruning", cares=(DORMANT_PRUNING,))
    written = own_feeds(ROWS, (settings,), PLAN)
    assert list(written) == ["feeds/pruning.ics"]
    own = [row for row in ROWS if row.uid in (PRUNE_UID, SOUTH_UID)]
    for row in own:
        assert row.vevent in written["feeds/pruning.ics"]
        assert row.vevent in staff


def test_cancelled_work_is_said_there_too() -> None:
    later = replace(without_job(PLAN, SPRAY_UID), as_of=date(2026, 11, 26))
    rows = published(later, ROWS, SPEECH)
    settings = FeedSettings("oil", cares=(DORMANT_OIL_SPRAY,), windows=False)
    (feed,) = own_feeds(rows, (settings,), later).values()
    assert b"STATUS:CANCELLED" in feed
    assert _uids(settings, later, rows) == {SPRAY_UID}
