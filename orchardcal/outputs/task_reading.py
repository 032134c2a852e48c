"""What an event or task on a calendar server says, whoever wrote it: untrusted, read with care."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, date, datetime

from icalendar import Calendar
from icalendar.cal import Component

from orchardcal.outputs.clock_rules import zone_of

LONGEST_NOTE = 2_000
LARGEST_BYTES = 1_000_000


class Unreadable(Exception):
    """The server holds something that is no event or task of ours."""


@dataclass(frozen=True)
class Said:
    """One event or task. ticked: done, by RFC 5545 3.8.1.11 or 3.8.2.1, never by its percentage.

    ticked_on, starts_on, due_on: days in the site's time zone, None where not said. comments:
    its COMMENT values. lines: its description, line by line, without blank ones.
    """

    ticked: bool
    ticked_on: date | None
    called_off: bool
    starts_on: date | None
    due_on: date | None
    comments: tuple[str, ...]
    lines: tuple[str, ...]


def said(body: bytes, kind: str, uid: str, timezone: str) -> Said:
    """What a resource says of our event or task. Raises Unreadable."""
    if len(body) > LARGEST_BYTES:
        raise Unreadable("it is larger than any task")
    try:
        calendar = Calendar.from_ical(body.decode(errors="replace"))
        found = [one for one in calendar.walk(kind) if str(one.get("UID", "")) == uid]
    except (ValueError, IndexError, KeyError, AttributeError, TypeError) as error:
        raise Unreadable("it cannot be read as iCalendar") from error
    if not found:
        raise Unreadable(f"it holds no {kind} with our UID")
    one = found[0]
    status = str(one.get("STATUS", "")).upper()
    ticked_on = _day(one, "COMPLETED", timezone)
    return Said(
        ticked=kind == "VTODO" and (status == "COMPLETED" or "COMPLETED" in one),
        ticked_on=ticked_on,
        called_off=status == "CANCELLED",
        starts_on=_day(one, "DTSTART", timezone),
        due_on=_day(one, "DUE", timezone),
        comments=tuple(_texts(one, "COMMENT")),
        lines=tuple(
            line for text in _texts(one, "DESCRIPTION") for line in map(str.strip, text.split("\n"))
        ),
    )


def moved_to(before: Said, now: Said) -> date | None:
    """The day an event or task was moved to, None where it stayed; when it is due counts most."""
    if now.due_on is not None and now.due_on != before.due_on:
        return now.due_on
    if now.starts_on is not None and now.starts_on != before.starts_on:
        return now.starts_on
    return None


def added_notes(before: Said, now: Said) -> tuple[str, ...]:
    """Comments and lines of the description that were not there before, each once."""
    known = {*before.comments, *map(_squeezed, before.lines)}
    new = [note for note in now.comments if note not in before.comments]
    new += [line for line in now.lines if line and _squeezed(line) not in known]
    return tuple(dict.fromkeys(note[:LONGEST_NOTE] for note in new if note.strip()))


def _squeezed(line: str) -> str:
    """A line as clients that tidy up spaces leave it."""
    return " ".join(line.split())


def _texts(component: Component, name: str) -> Iterator[str]:
    found = component.get(name, [])
    for one in found if isinstance(found, list) else [found]:
        text = str(one).strip()
        if text:
            yield text


def _day(component: Component, name: str, timezone: str) -> date | None:
    """The day a property falls on at the site; floating times are the site's own."""
    if name not in component:
        return None
    try:
        value = component.decoded(name)
        if isinstance(value, list):
            value = value[0]
        if isinstance(value, datetime):
            if value.tzinfo is None:
                return value.date()
            return value.astimezone(UTC).astimezone(zone_of(timezone)).date()
        return value if isinstance(value, date) else None
    except (ValueError, KeyError, TypeError, AttributeError, OverflowError, IndexError):
        return None
