"""One event as the bytes of a VEVENT, written once and shared by every feed."""

from __future__ import annotations

from datetime import UTC, date, datetime, time, timedelta
from urllib.parse import quote
from uuid import NAMESPACE_URL, uuid5

from icalendar import Alarm, Event, vText
from icalendar.parser import Contentline
from icalendar.prop import vCategory, vDuration, vGeo, vUri

from orchardcal.journal.published import EventText, Relation
from orchardcal.outputs.clock_rules import zone_of
from orchardcal.outputs.plain_text import PlainText, plain_text
from orchardcal.outputs.speech import Speech
from orchardcal.sentence import Words

ALARM_CLOCK = time(18)  # on the evening before, when tools can still be packed
CANCELLED_TITLE = Words("Cancelled: {title}")
_KEPT_IN_URLS = ":/?#[]@!$&'()*+,;=%~"


class EventWriter:
    """Writes events with their revision; the words are in the event but for "Cancelled"."""

    def __init__(self, speech: Speech) -> None:
        before, after = speech.value(CANCELLED_TITLE).split("{title}")
        self._cancelled_title = (_escaped(before), _escaped(after))

    def written(self, text: EventText, sequence: int, revised: str) -> bytes:
        """The VEVENT by RFC 5545 3.6.1; revised is an instant as "2026-12-01T00:00:00Z"."""
        vevent: bytes = component_of(text, sequence, revised).to_ical()
        return vevent

    def cancelled(self, vevent: bytes, sequence: int, revised: str) -> bytes:
        """The same event with a marked title, STATUS:CANCELLED, no alarm, and nobody busy.

        Its lines are edited, not read into values and written again: icalendar would read the
        escaped text `C:\\\\new` with a line break in it.
        """
        stamp = datetime.fromisoformat(revised).astimezone(UTC).strftime("%Y%m%dT%H%M%SZ")
        before, after = self._cancelled_title
        new = {
            "DTSTAMP": stamp,
            "LAST-MODIFIED": stamp,
            "SEQUENCE": str(sequence),
            "STATUS": "CANCELLED",
            "TRANSP": "TRANSPARENT",
        }
        lines = []
        in_alarm = False
        for line in _unfolded(vevent):
            name, _, value = line.partition(":")
            in_alarm = in_alarm or line == "BEGIN:VALARM"
            if name == "SUMMARY":
                value = before + value + after
            if not in_alarm:
                lines.append(_folded(f"{name}:{new.get(name, value)}"))
            in_alarm = in_alarm and line != "END:VALARM"
        return b"".join(lines)


def component_of(text: EventText, sequence: int, revised: str) -> Event:
    """The event as the icalendar library holds it."""
    event = Event()
    instant = datetime.fromisoformat(revised).astimezone(UTC)
    event.add("uid", plain_text(text.uid))
    event.add("dtstamp", instant)
    event.add("last-modified", instant)
    event.add("sequence", sequence)
    event.add("status", "CONFIRMED")
    event.add("summary", plain_text(text.summary))
    event.add("description", plain_text(text.description))
    event.add("location", plain_text(text.location))
    event.add("geo", vGeo((round(text.latitude_deg, 6), round(text.longitude_deg, 6))))
    event.add("categories", vCategory([plain_text(word) for word in text.categories]))
    if text.url:
        event.add("url", vUri(quote(text.url, safe=_KEPT_IN_URLS)))
    if text.color:
        event.add("color", plain_text(text.color))
    for relation in text.relations:
        event.add("related-to", _related(relation))
    _add_days(event, text)
    return event


def _unfolded(vevent: bytes) -> list[str]:
    """Its content lines, each whole: RFC 5545 3.1."""
    return vevent.decode().replace("\r\n ", "").removesuffix("\r\n").split("\r\n")


def _folded(line: str) -> bytes:
    folded: bytes = Contentline(line).to_ical()  # type: ignore[no-untyped-call]
    return folded + b"\r\n"


def _add_days(event: Event, text: EventText) -> None:
    """A timed event in its zone, or a whole-day one that leaves the reader free (TRANSPARENT)."""
    if text.starts is None or text.ends is None:
        event.add("dtstart", text.first)
        event.add("dtend", text.last + timedelta(days=1))  # exclusive: RFC 5545 3.6.1
        event.add("transp", "TRANSPARENT")
        return
    event.add("dtstart", _local(text.first, text.starts, text.timezone))
    event.add("dtend", _local(text.last, text.ends, text.timezone))
    event.add("transp", "OPAQUE")
    if text.alarm:
        event.add_component(_alarm(text))


def _alarm(text: EventText) -> Alarm:
    """A display alarm at 18:00 the evening before, RFC 5545 3.6.6; its UID by RFC 9074 section 4.

    The trigger is the time that really passes, so that a clock change in the night does not move
    the alarm.
    """
    assert text.starts is not None
    evening = _local(text.first - timedelta(days=1), ALARM_CLOCK, text.timezone)
    start = _local(text.first, text.starts, text.timezone)
    alarm = Alarm()
    alarm.add("uid", str(uuid5(NAMESPACE_URL, f"alarm:{text.uid}")))
    alarm.add("action", "DISPLAY")
    alarm.add("description", plain_text(text.alarm))
    alarm.add("trigger", vDuration(evening.astimezone(UTC) - start.astimezone(UTC)))
    return alarm


def _related(relation: Relation) -> vText:
    """RELATED-TO without VALUE: UID is the default (RFC 9253 9.1); some readers refuse it said."""
    related = plain_text(relation.uid)
    related.params["RELTYPE"] = relation.kind
    if relation.gap_h is not None:
        related.GAP = timedelta(hours=relation.gap_h)
    return related


def _local(day: date, moment: time, tzid: str) -> datetime:
    return datetime.combine(day, moment, zone_of(tzid))


def _escaped(words: str) -> str:
    return PlainText(words).to_ical().decode()
