"""Free text comes back from another reader as it went in, and can never add a line."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from ical.calendar_stream import IcsCalendarStream
from icalendar import Calendar, Event

from orchardcal.outputs.plain_text import plain_text

BREAKS = ("\r\n", "\r", "\n", "\v", "\f", "\x1c", "\x1d", "\x1e", "\x85", "\u2028", "\u2029")
RTL = "עץ תפוח ליד השער"


def read_back(text: str) -> str | None:
    """The description as the `ical` package reads it."""
    event = Event()
    event.add("uid", "a")
    event.add("description", plain_text(text))
    calendar = Calendar()
    calendar.add("prodid", "-//test//EN")
    calendar.add("version", "2.0")
    lines = calendar.to_ical().decode().removesuffix("END:VCALENDAR\r\n")
    body = (
        event.to_ical()
        .decode()
        .replace("UID:a", "UID:a\r\nDTSTAMP:20270101T000000Z\r\nDTSTART:20270101T000000Z")
    )
    (found,) = IcsCalendarStream.calendar_from_ics(f"{lines}{body}END:VCALENDAR\r\n").events
    return found.description


def test_the_example_of_the_standard() -> None:
    """RFC 5545 3.3.11: the multi-line description with three lines."""
    text = "Project XYZ Final Review\nConference Room - 3B\nCome Prepared."
    expected = rb"Project XYZ Final Review\nConference Room - 3B\nCome Prepared."
    assert plain_text(text).to_ical() == expected


@pytest.mark.parametrize(
    "text",
    [
        "C:\\Notes\\new; a, b",
        "ends in a backslash\\",
        '"quoted", <b>bold</b> & =SUM(A1)',
        f"🌳🍎 {RTL} é",
        "👩🏽\u200d🌾" * 30,
        RTL * 20,
        "two\nlines\n\nand a\ttab",
        "BEGIN:VALARM: END:VEVENT",
    ],
)
def test_text_survives_the_trip(text: str) -> None:
    assert read_back(text) == text


@pytest.mark.parametrize("line_break", BREAKS)
def test_every_kind_of_line_break_becomes_an_escaped_one(line_break: str) -> None:
    written = plain_text(f"a{line_break}ATTENDEE:mailto:x@y.example").to_ical()
    assert written == rb"a\nATTENDEE:mailto:x@y.example"
    assert len(written.decode().splitlines()) == 1


@pytest.mark.parametrize("sign", ["\x00", "\x07", "\x08", "\x1b", "\x1f", "\x7f", "\ud800"])
def test_control_signs_are_left_out(sign: str) -> None:
    """RFC 5545 3.1: a TSAFE-CHAR is no CONTROL; a lone surrogate cannot be written in UTF-8."""
    assert plain_text(f"a{sign}b").to_ical() == b"ab"


@settings(deadline=None)
@given(st.text())
def test_no_text_spans_two_lines_or_breaks_a_reader(text: str) -> None:
    written = plain_text(text).to_ical().decode()
    assert len(written.splitlines()) <= 1
    assert (read_back(text) or "").strip() == str(plain_text(text)).strip()
