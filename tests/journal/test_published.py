"""Revisions of published events: what keeps its bytes, what moves on, what is cancelled or goes."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from datetime import date, time, timedelta

import pytest

from orchardcal.journal.published import (
    CANCELLED,
    GONE,
    WINDOW,
    Change,
    EventText,
    Published,
    Relation,
    changes,
    revised,
)

AS_OF = date(2026, 12, 1)
JOB = EventText(
    uid="a",
    site="larkfield",
    care="dormant_pruning",
    season=2027,
    plantings=("A1",),
    status="planned",
    audiences=("staff", "sites/larkfield"),
    first=date(2027, 1, 9),
    last=date(2027, 1, 9),
    starts=time(9, 30),
    ends=time(12),
    timezone="America/Denver",
    summary="Dormant pruning",
    description="Why now",
    location="Larkfield School",
    latitude_deg=44.0,
    longitude_deg=-103.4,
    categories=("Dormant pruning",),
    relations=(Relation("FINISHTOSTART", "b", 4),),
)


@dataclass
class CountingWriter:
    """Writes a line an event and remembers what it was asked for."""

    asked: list[str] = field(default_factory=list)

    def written(self, text: EventText, sequence: int, revised: str) -> bytes:
        self.asked.append(text.uid)
        return f"{text.summary} {sequence} {revised}".encode()

    def cancelled(self, vevent: bytes, sequence: int, revised: str) -> bytes:
        self.asked.append("cancelled")
        return b"Cancelled: " + vevent


def publish(
    current: list[EventText], previous: tuple[Published, ...] = (), as_of: date = AS_OF
) -> tuple[Published, ...]:
    return revised(previous, current, as_of, CountingWriter())


def test_a_new_event_begins_at_zero() -> None:
    """RFC 5545 3.8.7.4: a new component has the sequence number 0."""
    (row,) = publish([JOB])
    assert (row.sequence, row.revised) == (0, "2026-12-01T00:00:00Z")
    assert row.vevent == b"Dormant pruning 0 2026-12-01T00:00:00Z"
    assert (row.first, row.season, row.audiences) == (JOB.first, 2027, JOB.audiences)


def test_unchanged_content_keeps_its_row_and_is_not_written_again() -> None:
    rows = publish([JOB])
    writer = CountingWriter()
    assert revised(rows, [JOB], AS_OF + timedelta(days=20), writer) == rows
    assert writer.asked == []


@pytest.mark.parametrize(
    "changed",
    [
        replace(JOB, first=date(2027, 1, 10), last=date(2027, 1, 10)),
        replace(JOB, starts=time(10)),
        replace(JOB, ends=time(13)),
        replace(JOB, timezone="America/Boise"),
        replace(JOB, location="the gym"),
        replace(JOB, latitude_deg=44.1),
        replace(JOB, summary="Pruning"),
        replace(JOB, description="Why not"),
        replace(JOB, status="done"),
        replace(JOB, categories=("Pruning",)),
        replace(JOB, url="https://trees.example"),
        replace(JOB, color="teal"),
        replace(JOB, alarm="Tomorrow"),
        replace(JOB, relations=()),
        replace(JOB, relations=(Relation("FINISHTOSTART", "b", 5),)),
    ],
)
def test_any_change_a_reader_can_see_raises_sequence_and_instant(changed: EventText) -> None:
    """RFC 5545 3.8.7.4 and 3.8.7.3; so does RFC 5546 for dates, times and status."""
    (row,) = publish([changed], publish([JOB]), date(2026, 12, 5))
    assert (row.sequence, row.revised) == (1, "2026-12-05T00:00:00Z")


def test_another_audience_changes_no_bytes() -> None:
    rows = publish([JOB])
    (row,) = publish([replace(JOB, audiences=("staff",))], rows, date(2026, 12, 5))
    assert row == replace(rows[0], audiences=("staff",))


def test_a_second_change_on_one_day_still_comes_later() -> None:
    """DTSTAMP and LAST-MODIFIED say which revision is newer (RFC 5545 3.8.7.2)."""
    rows = publish([JOB])
    for number in (1, 2):
        rows = publish([replace(JOB, summary=f"Pruning {number}")], rows)
        assert (rows[0].sequence, rows[0].revised) == (number, f"2026-12-01T00:00:0{number}Z")
    (row,) = publish([JOB], rows, AS_OF - timedelta(days=7))
    assert (row.sequence, row.revised) == (3, "2026-12-01T00:00:03Z")


def test_coming_work_that_falls_away_is_cancelled_for_30_days() -> None:
    """RFC 5546 3.2.5 (from memory): said with STATUS:CANCELLED and a higher SEQUENCE."""
    rows = publish([], publish([JOB]), date(2026, 12, 5))
    assert (rows[0].status, rows[0].sequence) == (CANCELLED, 1)
    assert rows[0].vevent.startswith(b"Cancelled: ")
    assert rows[0].audiences == JOB.audiences
    assert publish([], rows, date(2027, 1, 4)) == rows  # 30 days later
    (row,) = publish([], rows, date(2027, 1, 5))
    assert (row.status, row.shown, row.vevent, row.audiences) == (GONE, False, b"", ())


@pytest.mark.parametrize("gone", [False, True])
def test_work_that_comes_back_goes_on_from_its_last_sequence(gone: bool) -> None:
    rows = publish([], publish([JOB]), date(2026, 12, 5))
    if gone:
        rows = publish([], rows, date(2027, 1, 6))
        assert rows[0].status == GONE
    (row,) = publish([JOB], rows, date(2027, 1, 7))
    assert (row.status, row.sequence, row.revised) == ("planned", 2, "2027-01-07T00:00:00Z")


def test_a_window_that_falls_away_just_leaves() -> None:
    window = replace(JOB, status=WINDOW, starts=None, ends=None, last=date(2027, 2, 1))
    (row,) = publish([], publish([window]), date(2027, 1, 20))
    assert not row.shown


def test_past_work_stays_180_days_as_it_was() -> None:
    rows = publish([JOB])
    assert publish([], rows, date(2027, 1, 10)) == rows
    assert publish([], rows, date(2027, 7, 8)) == rows  # 180 days after 9 January
    (row,) = publish([], rows, date(2027, 7, 9))
    assert not row.shown
    assert [row.shown for row in publish([JOB], rows, date(2027, 7, 9))] == [False]
    assert publish([JOB], as_of=date(2027, 7, 9)) == ()


def test_done_work_is_never_cancelled() -> None:
    rows = publish([replace(JOB, status="done")], as_of=JOB.first)
    assert publish([], rows, JOB.first) == rows


def test_a_row_is_forgotten_once_its_season_is_long_over() -> None:
    rows = publish([], publish([JOB]), date(2026, 12, 5))
    rows = publish([], rows, date(2027, 3, 1))
    assert len(publish([], rows, date(2028, 1, 9))) == 1  # 400 days after 5 December 2026
    assert publish([], rows, date(2028, 1, 10)) == ()


def test_rows_come_in_order_of_day_site_and_uid() -> None:
    later = replace(JOB, uid="0", first=date(2027, 1, 10), last=date(2027, 1, 10))
    elsewhere = replace(JOB, uid="1", site="abbey")
    rows = publish([later, JOB, replace(JOB, uid="b"), elsewhere])
    assert [row.uid for row in rows] == ["1", "a", "b", "0"]


def test_changes_say_what_moved_came_and_fell_away() -> None:
    falls = replace(JOB, uid="falls")
    window = replace(JOB, uid="window", status=WINDOW, last=date(2027, 2, 1))
    before = publish([JOB, falls, window])
    moved = replace(JOB, first=date(2027, 1, 16), last=date(2027, 1, 16))
    new = replace(JOB, uid="new", first=date(2027, 3, 1), last=date(2027, 3, 1))
    now = publish([moved, new], before, date(2026, 12, 5))
    care = ("larkfield", "dormant_pruning")
    assert changes(before, now) == (
        Change("fell away", "falls", *care, False, date(2027, 1, 9), None),
        Change("moved", "a", *care, False, date(2027, 1, 9), date(2027, 1, 16)),
        Change("added", "new", *care, False, None, date(2027, 3, 1)),
    )
    assert changes(now, publish([moved, new], now, date(2026, 12, 6))) == ()


def test_ageing_out_of_the_feed_is_no_change() -> None:
    rows = publish([JOB])
    assert changes(rows, publish([], rows, date(2027, 8, 1))) == ()
