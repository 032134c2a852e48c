"""The events of a letter as a calendar to open: the feeds' own bytes, and who publishes them."""

from __future__ import annotations

from collections.abc import Sequence

from icalendar import Calendar, vCalAddress
from icalendar.parser import Contentline

from orchardcal.journal.published import Published
from orchardcal.outputs.feed import PRODID, tzids_in
from orchardcal.outputs.mail_text import one_line
from orchardcal.outputs.vtimezone import covering, vtimezone

METHOD = "PUBLISH"
_END_EVENT = b"END:VEVENT\r\n"
_END = b"END:VCALENDAR\r\n"


def reminder_calendar(rows: Sequence[Published], name: str, address: str) -> bytes:
    """One VCALENDAR of these events, with METHOD:PUBLISH (RFC 5546 3.2.1).

    A reminder invites nobody, so it asks for no answer: PUBLISH, not REQUEST. PUBLISH needs an
    ORGANIZER in each event, which feeds do not have; all other lines are those of the feeds.
    """
    calendar = Calendar()
    calendar.add("prodid", PRODID)
    calendar.add("version", "2.0")
    calendar.add("calscale", "GREGORIAN")
    calendar.add("method", METHOD)
    head: bytes = calendar.to_ical()
    organizer = _organizer(name, address)
    events = [_with_organizer(row.vevent, organizer) for row in rows]
    years = covering(min(row.first for row in rows), max(row.last for row in rows))
    zones = [vtimezone(tzid, years).vtimezone for tzid in sorted(tzids_in(rows))]
    return b"".join([head.removesuffix(_END), *zones, *events, _END])


def _organizer(name: str, address: str) -> bytes:
    person = vCalAddress(f"mailto:{address}")
    plain = one_line(name).replace('"', "'")  # RFC 5545 3.2: no quotation mark in a parameter
    if plain:
        person.params["CN"] = plain
    line = Contentline.from_parts("ORGANIZER", person.params, person)
    written: bytes = line.to_ical()
    return written + b"\r\n"


def _with_organizer(vevent: bytes, organizer: bytes) -> bytes:
    """Before the alarm, if there is one: properties come before components (RFC 5545 3.6)."""
    alarm = vevent.find(b"BEGIN:VALARM\r\n")
    at = alarm if alarm >= 0 else vevent.rindex(_END_EVENT)
    return vevent[:at] + organizer + vevent[at:]
