"""Whole feeds: read by another library, the same bytes again, safe against any text."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import date, datetime, time, timedelta
from io import StringIO
from zoneinfo import ZoneInfo

import pytest
from dateutil.tz import tzical
from ical.calendar import Calendar
from ical.calendar_stream import IcsCalendarStream

from orchardcal.journal.published import EventText, Published
from orchardcal.outputs.event import EventWriter
from orchardcal.outputs.feed import (
    WARN_EVENTS,
    FeedFile,
    VeventsInRows,
    feed_files,
    feeds,
    published,
    zone_warnings,
)
from orchardcal.outputs.speech import Speech
from orchardcal.plan.plan import Plan
from orchardcal.sentence import say
from tests.outputs.invented_plan import (
    AS_OF,
    KERERU,
    LARKFIELD,
    PAINT,
    PAINT_UID,
    PLAN,
    PRUNE,
    PRUNE_UID,
    SOUTH_UID,
    SPRAY_UID,
    WINDOW,
    WINDOW_UID,
    in_zone,
    with_job,
    without_job,
)

SPEECH = Speech()
LATER = AS_OF + timedelta(days=3)
ATTACKS = [
    "a\r\nATTENDEE:mailto:x@y.example",
    "a\nEND:VEVENT\nBEGIN:VEVENT\nUID:evil",
    "a\u2028ORGANIZER:mailto:x@y.example",
    "a\x85BEGIN:VALARM",
    "a\\nATTACH:file:secret",
    'a";X=1:b\\',
    "a\r\n\tMETHOD:REQUEST",
    "{0.__class__} {count} %s",
    "\x00\x1b[31m\x7f",
    "עץ\u202eevil" * 20,
]


def first_run(plan: Plan = PLAN) -> tuple[tuple[Published, ...], dict[str, bytes]]:
    rows = published(plan, (), SPEECH)
    return rows, feeds(plan, rows, SPEECH)


def read(feed: bytes) -> Calendar:
    """The feed as the `ical` package reads it, which refuses a whole feed for one bad line."""
    return IcsCalendarStream.calendar_from_ics(feed.decode())


def uids(feed: bytes) -> list[str]:
    return [event.uid or "" for event in read(feed).events]


def lines(feed: bytes) -> list[str]:
    return feed.decode().replace("\r\n ", "").split("\r\n")


def names(feed: bytes) -> list[str]:
    """Every property and component of the feed, in order, without its value."""
    return [
        line if line.startswith(("BEGIN:", "END:")) else re.split("[:;]", line)[0]
        for line in lines(feed)
    ]


def test_each_audience_gets_its_events() -> None:
    _, written = first_run()
    assert {path: uids(feed) for path, feed in written.items()} == {
        "staff.ics": [PRUNE_UID, PAINT_UID, WINDOW_UID, SPRAY_UID, SOUTH_UID],
        "volunteers.ics": [PRUNE_UID, PAINT_UID],
        "sites/larkfield.ics": [PRUNE_UID, PAINT_UID, WINDOW_UID, SPRAY_UID],
        "sites/kereru.ics": [SOUTH_UID],
    }


def test_an_event_is_the_same_bytes_in_every_feed() -> None:
    rows, written = first_run()
    for row in rows:
        assert all(row.vevent in written[f"{audience}.ics"] for audience in row.audiences)


def test_the_frame_of_a_feed() -> None:
    """RFC 5545 3.7 and RFC 7986 section 5; X-PUBLISHED-TTL as MS-OXCICAL 2.1.3.1.1.15 has it."""
    _, written = first_run()
    head = lines(written["sites/larkfield.ics"].split(b"BEGIN:VTIMEZONE")[0])
    assert set(head) == {
        "BEGIN:VCALENDAR",
        "PRODID:-//orchardcal//orchardcal//EN",
        "VERSION:2.0",
        "CALSCALE:GREGORIAN",
        "NAME:Larkfield School",
        "X-WR-CALNAME:Larkfield School",
        "DESCRIPTION:Care of the fruit trees\\, day by day: Larkfield School",
        "X-WR-CALDESC:Care of the fruit trees\\, day by day: Larkfield School",
        "REFRESH-INTERVAL;VALUE=DURATION:PT6H",
        "X-PUBLISHED-TTL:PT6H",
        "LAST-MODIFIED:20261125T000000Z",
        "",
    }
    assert written["staff.ics"].startswith(b"BEGIN:VCALENDAR\r\nVERSION:2.0\r\n")
    assert written["staff.ics"].endswith(b"END:VEVENT\r\nEND:VCALENDAR\r\n")


def test_what_a_subscribed_feed_leaves_out() -> None:
    """METHOD would make DTSTAMP the time of sending (RFC 5545 3.8.7.2); no address anywhere."""
    for feed in first_run()[1].values():
        assert not {"METHOD", "SOURCE", "ORGANIZER", "ATTENDEE", "RDATE"} & set(names(feed))
        assert b"@" not in feed
        assert b"\r\nUID" not in feed.split(b"BEGIN:V")[1]


def test_the_calendar_was_modified_when_its_last_event_was() -> None:
    rows, _ = first_run()
    later = replace(with_job(PLAN, replace(PAINT, people=9)), as_of=LATER)
    written = feeds(later, published(later, rows, SPEECH), SPEECH)
    for feed, last in (("staff.ics", "20261128"), ("sites/kereru.ics", "20261125")):
        own_lines = written[feed].partition(b"\r\nBEGIN:")[0].decode().split("\r\n")
        assert f"LAST-MODIFIED:{last}T000000Z" in own_lines


def test_every_time_zone_named_is_defined() -> None:
    """RFC 5545 3.2.19: each TZID has its VTIMEZONE."""
    for feed in first_run()[1].values():
        named = set(re.findall(rb"DT(?:START|END);TZID=([^:]+):", feed))
        assert named <= set(re.findall(rb"\r\nTZID:([^\r]+)\r\n", feed))
        assert feed.count(b"BEGIN:VTIMEZONE") == len(set(re.findall(rb"\nTZID:([^\r]+)", feed)))


def test_lines_are_folded_between_signs() -> None:
    """RFC 5545 3.1: CRLF, at most 75 octets; each piece is UTF-8 by itself."""
    note = say("{note}", note="🌳" * 60 + "עץ תפוח " * 30)
    for feed in first_run(with_job(PLAN, replace(PRUNE, do=(note,))))[1].values():
        assert b"\n" not in feed.replace(b"\r\n", b"")
        for line in feed.split(b"\r\n"):
            assert len(line) <= 75
            line.decode("utf-8")


def test_nothing_new_means_the_same_bytes() -> None:
    rows, written = first_run()
    again = replace(PLAN, as_of=AS_OF + timedelta(days=9))
    later = published(again, rows, SPEECH)
    assert later == rows
    assert feeds(again, later, SPEECH) == written
    assert first_run() == (rows, written)


def test_only_the_changed_event_is_written_again(monkeypatch: pytest.MonkeyPatch) -> None:
    rows, _ = first_run()
    asked: list[str] = []
    real = EventWriter.written

    def written(writer: EventWriter, text: EventText, sequence: int, revised: str) -> bytes:
        asked.append(text.uid)
        return real(writer, text, sequence, revised)

    monkeypatch.setattr(EventWriter, "written", written)
    moved = with_job(PLAN, replace(PAINT, day=date(2027, 1, 17)))
    published(moved, rows, SPEECH)
    assert asked == [PAINT_UID]


def test_a_move_and_a_cancellation_as_another_reader_sees_them() -> None:
    """RFC 5545 3.8.7.4 and 3.8.1.11."""
    rows, _ = first_run()
    moved = with_job(PLAN, replace(PAINT, day=date(2027, 1, 17)))
    later = replace(without_job(moved, SPRAY_UID), as_of=LATER)
    feed = feeds(later, published(later, rows, SPEECH), SPEECH)["staff.ics"]
    found = {event.uid: event for event in read(feed).events}
    assert len(found) == len(uids(feed)) == 5
    assert {uid: event.sequence for uid, event in found.items()} == {
        PRUNE_UID: 0,
        PAINT_UID: 1,
        SPRAY_UID: 1,
        WINDOW_UID: 0,
        SOUTH_UID: 0,
    }
    assert str(found[PAINT_UID].dtstart) == "2027-01-17 10:00:00-07:00"
    assert found[SPRAY_UID].status == "CANCELLED"
    assert (found[SPRAY_UID].summary or "").startswith("Cancelled: Dormant oil spray")


def test_a_site_that_left_still_tells_its_subscribers() -> None:
    rows, _ = first_run()
    left = replace(PLAN, sites=(LARKFIELD,), as_of=LATER)
    later = published(left, rows, SPEECH)
    (event,) = read(feeds(left, later, SPEECH)["sites/kereru.ics"]).events
    assert event.status == "CANCELLED"
    gone = replace(left, as_of=LATER + timedelta(days=31))
    later = published(gone, later, SPEECH)
    assert "sites/kereru.ics" not in feeds(gone, later, SPEECH)


def test_a_feed_without_events_is_still_a_calendar() -> None:
    """RFC 5545 3.6: at least one component, here the zone."""
    empty = replace(PLAN, sites=(replace(KERERU, jobs=()),))
    _, written = first_run(empty)
    assert {path: uids(feed) for path, feed in written.items()} == {
        "staff.ics": [],
        "volunteers.ics": [],
        "sites/kereru.ics": [],
    }
    assert all(b"BEGIN:VTIMEZONE" in feed for feed in written.values())


@pytest.mark.parametrize("attack", ATTACKS)
def test_no_text_adds_a_line_a_property_or_an_event(attack: str) -> None:
    """RFC 5545 3.3.11; with the same attack in every field that anyone can write in."""
    tame, wild = _written_with("harmless"), _written_with(attack)
    for path, feed in wild.items():
        assert names(feed) == names(tame[path])
        assert len(feed.decode().splitlines()) == len(feed.split(b"\r\n")) - 1
        assert uids(feed) == uids(tame[path])


@pytest.mark.parametrize(
    ("timezone", "change"),
    [
        ("Europe/London", date(2027, 3, 28)),
        ("Europe/London", date(2027, 10, 31)),
        ("America/New_York", date(2027, 3, 14)),
        ("America/New_York", date(2027, 11, 7)),
        ("Australia/Hobart", date(2027, 4, 4)),
        ("Australia/Hobart", date(2027, 10, 3)),
        ("Pacific/Auckland", date(2027, 4, 4)),
        ("Pacific/Auckland", date(2027, 9, 26)),
        ("Asia/Tokyo", date(2027, 3, 28)),
        ("Africa/Cairo", date(2027, 10, 29)),
    ],
)
def test_times_are_right_around_a_clock_change(timezone: str, change: date) -> None:
    """The feed's own VTIMEZONE, expanded by dateutil, against the zone of the tz database."""
    for offset in (-1, 0, 1):
        day = change + timedelta(days=offset)
        _, written = first_run(in_zone(timezone, day, time(9, 30)))
        feed = written["staff.ics"]
        match = re.search(rf"DTSTART;TZID={timezone}:(\w+)", feed.decode())
        assert match is not None
        zone = tzical(StringIO(_only_zone(feed))).get(timezone)
        start = datetime.strptime(match[1], "%Y%m%dT%H%M%S").replace(tzinfo=zone)
        real = datetime.combine(day, time(9, 30), ZoneInfo(timezone))
        assert start.utcoffset() == real.utcoffset()
        (event,) = read(feed).events
        assert str(event.dtstart)[:16] == str(real)[:16]


def test_a_feed_too_big_for_some_is_named() -> None:
    rows, _ = first_run()
    vevents = VeventsInRows(rows)
    assert {file.warning for file in feed_files(PLAN, rows, SPEECH, vevents)} == {""}
    event = replace(rows[0], vevent=b"." * 16)
    many = FeedFile("staff.ics", b"", [event] * (WARN_EVENTS + 1), vevents)
    assert many.warning.startswith("staff.ics holds 1001 events in 16 kB")
    long = FeedFile("staff.ics", b"", [replace(event, vevent=b"." * 900_001)], vevents)
    assert "900 kB" in long.warning


def test_an_unusual_zone_is_named() -> None:
    rows, _ = first_run(in_zone("America/Santiago", date(2027, 7, 3), time(9)))
    (warning,) = zone_warnings(rows, AS_OF, VeventsInRows(rows))
    assert "America/Santiago" in warning


def _written_with(text: str) -> dict[str, bytes]:
    """The plan with one text in every field."""
    note = (say("{note}", note=text),)
    job = replace(PRUNE, title=note[0], why=note, do=note, bring=note, then=note, cautions=note)
    window = replace(WINDOW, title=note[0], why=note)
    site = replace(LARKFIELD, name=text, where=text, jobs=(job,), windows=(window,))
    address = f"https://trees.example/{text}"
    plan = replace(PLAN, name=text, base_url=address, sites=(site,))
    rows = published(plan, (), SPEECH)
    later = replace(without_job(plan, PRUNE_UID), as_of=LATER)
    cancelled = feeds(later, published(later, rows, SPEECH), SPEECH)
    return feeds(plan, rows, SPEECH) | {f"later {path}": cancelled[path] for path in cancelled}


def _only_zone(feed: bytes) -> str:
    zone = feed.decode().split("BEGIN:VTIMEZONE")[1].split("END:VTIMEZONE")[0]
    return f"BEGIN:VCALENDAR\r\nBEGIN:VTIMEZONE{zone}END:VTIMEZONE\r\nEND:VCALENDAR\r\n"
