"""One VEVENT: its words, its alarm, its links, and what cancelling leaves of it."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime, time, timedelta
from zoneinfo import ZoneInfo

import pytest
from ical.calendar_stream import IcsCalendarStream
from ical.event import Event

from orchardcal.care import TITLES
from orchardcal.journal.published import EventText
from orchardcal.outputs.event import EventWriter
from orchardcal.outputs.event_text import COLORS, event_texts
from orchardcal.outputs.speech import Speech
from orchardcal.plan.plan import DONE, OVERDUE, Plan
from orchardcal.sentence import say
from tests.outputs.invented_plan import (
    KERERU,
    LARKFIELD,
    PAINT,
    PAINT_UID,
    PLAN,
    PRUNE,
    PRUNE_UID,
    SPRAY_UID,
    WINDOW_UID,
    in_zone,
    with_job,
)

INSTANT = "2026-12-01T00:00:00Z"


def text_of(uid: str, plan: Plan = PLAN) -> EventText:
    return next(text for text in event_texts(plan, Speech()) if text.uid == uid)


def lines_of(text: EventText) -> list[str]:
    written = EventWriter(Speech()).written(text, 3, INSTANT).decode()
    return written.replace("\r\n ", "").split("\r\n")


def read(vevent: bytes) -> Event:
    """The event as the `ical` package reads it."""
    frame = "BEGIN:VCALENDAR\r\nPRODID:-//t//EN\r\nVERSION:2.0\r\n{}END:VCALENDAR\r\n"
    (event,) = IcsCalendarStream.calendar_from_ics(frame.format(vevent.decode())).events
    return event


def test_a_job_in_words() -> None:
    text = text_of(PRUNE_UID)
    assert text.summary == "Dormant pruning: 4 apples and 2 pears – Larkfield School"
    assert text.location == "Larkfield School, orchard behind the gym"
    assert text.description.split("\n\n") == [
        "6 trees. 3 people. 6 h of work in all.\n"
        "May be done from Sun 20 Dec 2026 to Thu 11 Feb 2027.",
        "Why now\n- Leaves were down by Sun 20 Dec 2026 in 27 of 30 winters.\n"
        "- The night before stays above -6.7 °C.",
        "Do\n- Head the laterals about 30 cm beyond the lowest spur.",
        "Bring\n- Two loppers, alcohol and rags; 0.6 L of paint.",
        "After\n- Paint the bared bark by Sat 23 Jan 2027.",
        "Take care\n- Pupils use hand pruners on the ground only.",
    ]
    assert text.audiences == ("staff", "sites/larkfield", "volunteers")


def test_a_section_without_lines_is_left_out() -> None:
    bare = with_job(PLAN, replace(PRUNE, why=(), bring=(), then=(), cautions=()))
    assert "Bring" not in text_of(PRUNE_UID, bare).description


def test_us_units_change_the_words() -> None:
    texts = event_texts(PLAN, Speech(units="us"))
    description = next(text.description for text in texts if text.uid == PRUNE_UID)
    assert "above 19.9 °F" in description  # -6.7 x 1.8 + 32 = 19.94
    assert "about 11.8 in beyond" in description  # 30 cm / 2.54


@pytest.mark.parametrize(("state", "mark"), [(DONE, "Done: "), (OVERDUE, "Overdue: ")])
def test_what_is_done_or_overdue_says_so_and_rings_no_alarm(state: str, mark: str) -> None:
    text = text_of(PRUNE_UID, with_job(PLAN, replace(PRUNE, state=state)))
    assert text.summary.startswith(f"{mark}Dormant pruning")
    assert "BEGIN:VALARM" not in lines_of(text)


def test_a_window_is_an_all_day_event_that_leaves_people_free() -> None:
    """RFC 5545 3.6.1: DTEND is the day after the last; 3.8.2.7: TRANSPARENT does not block."""
    text = text_of(WINDOW_UID)
    lines = lines_of(text)
    assert {"DTSTART;VALUE=DATE:20270118", "DTEND;VALUE=DATE:20270123"} <= set(lines)
    assert "TRANSP:TRANSPARENT" in lines
    assert "CATEGORIES:Dormant oil spray,Window" in lines
    assert "BEGIN:VALARM" not in lines
    assert text.audiences == ("staff", "sites/larkfield")
    assert text.description.split("Day by day\n")[1].split("\n") == [
        "- Mon 18 Jan 2027 to Tue 19 Jan 2027: weather fit for it in about 4 of 10 seasons.",
        "- Wed 20 Jan 2027 to Thu 21 Jan 2027: weather fit for it in about 8 of 10 seasons.",
        "- Fri 22 Jan 2027: weather fit for it in about 9 of 10 seasons.",
    ]


def test_a_job_as_another_reader_has_it() -> None:
    """RFC 5545 3.6.1 and the properties it names, read by the `ical` package."""
    event = read(EventWriter(Speech()).written(text_of(PRUNE_UID), 3, INSTANT))
    assert event.uid == PRUNE_UID
    assert event.sequence == 3
    assert event.dtstamp == event.last_modified == datetime.fromisoformat(INSTANT)
    assert event.status == "CONFIRMED"
    assert event.categories == ["Dormant pruning"]
    assert event.geo is not None
    assert (event.geo.lat, event.geo.lng) == (44.021234, -103.4)  # six decimals: 3.8.1.6
    assert str(event.url) == "https://trees.example/cal/sites/larkfield.ics"
    assert event.location == "Larkfield School, orchard behind the gym"
    assert event.description == text_of(PRUNE_UID).description


def test_links_name_the_gap_before_and_the_dependence_after() -> None:
    """RFC 9253 6.2 and 4: FINISHTOSTART with GAP on the first, DEPENDS-ON on the second; no
    VALUE, for UID is the default."""
    first, second = lines_of(text_of(PRUNE_UID)), lines_of(text_of(PAINT_UID))
    assert f"RELATED-TO;GAP=PT4H;RELTYPE=FINISHTOSTART:{PAINT_UID}" in first
    assert f"RELATED-TO;RELTYPE=DEPENDS-ON:{PRUNE_UID}" in second
    assert f"RELATED-TO;GAP=P2D;RELTYPE=FINISHTOSTART:{SPRAY_UID}" in second


def test_a_move_of_the_follower_leaves_the_first_as_it_was() -> None:
    moved = with_job(PLAN, replace(PAINT, day=date(2027, 1, 17)))
    assert text_of(PRUNE_UID, moved).fingerprint == text_of(PRUNE_UID).fingerprint
    assert text_of(PAINT_UID, moved).fingerprint != text_of(PAINT_UID).fingerprint


@pytest.mark.parametrize(
    ("timezone", "day"),
    [
        ("America/Denver", date(2027, 1, 9)),
        ("Europe/London", date(2027, 3, 28)),  # clocks go forward in the night
        ("America/New_York", date(2027, 11, 7)),  # and back
        ("Pacific/Auckland", date(2027, 4, 4)),
    ],
)
def test_the_alarm_rings_at_six_the_evening_before(timezone: str, day: date) -> None:
    """RFC 5545 3.8.6.3: a trigger relative to the start, counted in time that really passes."""
    text = text_of(PRUNE_UID, in_zone(timezone, day, time(9, 30)))
    (alarm,) = read(EventWriter(Speech()).written(text, 0, INSTANT)).alarm
    assert isinstance(alarm.trigger, timedelta)
    start = datetime.combine(day, time(9, 30), ZoneInfo(timezone))
    rings = (start.astimezone(ZoneInfo("UTC")) + alarm.trigger).astimezone(ZoneInfo(timezone))
    assert (rings.date(), rings.time()) == (day - timedelta(days=1), time(18))
    assert alarm.description == f"Tomorrow at 09:30: {text.summary}"


def test_cancelling_marks_the_title_and_keeps_the_rest() -> None:
    """RFC 5545 3.8.1.11; the text keeps its backslashes."""
    prune = replace(PRUNE, do=(say("{note}", note="C:\\Notes\\new, 🌳" * 9),))
    writer = EventWriter(Speech())
    text = text_of(PRUNE_UID, with_job(PLAN, prune))
    before = writer.written(text, 3, INSTANT)
    after = writer.cancelled(before, 4, "2026-12-09T00:00:00Z")
    was, now = read(before), read(after)
    assert (now.status, now.sequence) == ("CANCELLED", 4)
    assert now.summary == f"Cancelled: {was.summary}"
    assert now.dtstamp == now.last_modified == datetime.fromisoformat("2026-12-09T00:00:00Z")
    assert now.description == was.description == text.description
    assert (now.dtstart, now.dtend, now.uid) == (was.dtstart, was.dtend, was.uid)
    assert now.alarm == []
    assert all(len(line) <= 75 for line in after.split(b"\r\n"))


def test_a_place_is_not_named_twice() -> None:
    site = replace(LARKFIELD, where="Larkfield School, by the gate")
    assert text_of(PRUNE_UID, replace(PLAN, sites=(site,))).location == site.where
    bare = text_of(KERERU.jobs[0].uid)
    assert bare.location == "Kererū Street Kindergarten"


def test_without_an_address_of_the_feeds_there_is_no_url() -> None:
    text = text_of(PRUNE_UID, replace(PLAN, base_url=""))
    assert not any(line.startswith("URL") for line in lines_of(text))


# CSS Color Module Level 3 (W3C, 2018), section 4.3: the extended keywords used here.
CSS_NAMES = {
    *("crimson", "darkorange", "goldenrod", "mediumpurple", "olivedrab"),
    *("royalblue", "sienna", "slategray", "tan", "teal"),
}


def test_every_care_has_a_color_by_name() -> None:
    """RFC 7986 5.9."""
    assert set(COLORS) == set(TITLES)
    assert set(COLORS.values()) <= CSS_NAMES
