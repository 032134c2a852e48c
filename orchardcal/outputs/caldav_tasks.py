"""Published work as what a calendar server holds: an event and a task for each job.

The event is the feed's own, byte for byte. The task (VTODO, RFC 5545 3.6.2) says the same words
and can be ticked. Each lies in a resource of its own, as RFC 4791 4.1 asks: one UID each, with the
time zone it names, and no METHOD.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import UTC
from uuid import UUID, uuid5

from icalendar import Event
from icalendar.parser import Contentline

from orchardcal.journal.published import CANCELLED, DONE, WINDOW, Published
from orchardcal.outputs.feed import PRODID, tzids_in
from orchardcal.outputs.vtimezone import covering, vtimezone

EVENT, TASK = "VEVENT", "VTODO"
NAMESPACE = UUID("b0d1f7c4-52f5-5f0f-8f43-1d7f6f1f3a90")  # ours, drawn once
FORMAT = 1  # part of every fingerprint: raise it when the same content is written otherwise
# What of an event a task says too. Not RELATED-TO: many task lists take every relation for that of
# a task to its parent (RFC 5545 3.2.15) and would hide the follower inside the first.
_SHARED = frozenset(
    {
        *("DTSTAMP", "LAST-MODIFIED", "SEQUENCE", "SUMMARY", "DESCRIPTION", "LOCATION", "GEO"),
        *("CATEGORIES", "URL", "COLOR"),
    }
)


@dataclass(frozen=True)
class Resource:
    """One event or task as it should stand on the server.

    uid: its own; of_uid: the published event's. body: the whole file. fingerprint: of our own
    content in it, whatever comments of others it carries along.
    """

    uid: str
    of_uid: str
    site: str
    kind: str
    body: bytes
    fingerprint: str

    @property
    def file_name(self) -> str:
        return f"{self.uid}.ics"


def task_uid(uid: str) -> str:
    """The UID of the task that belongs to a published event.

    >>> task_uid("a") == task_uid("a") != task_uid("b")
    True
    """
    return str(uuid5(NAMESPACE, uid))


def is_work(row: Published) -> bool:
    """Whether a published row is work somebody can do: a dated job that feeds still show."""
    return row.shown and row.status != WINDOW


def event_resource(row: Published) -> Resource:
    return _resource(row.uid, row, EVENT, row.vevent, ())


def task_resource(row: Published, held: bytes = b"") -> Resource:
    """held: what the server last held of the task; comments and the moment of a tick stay in it."""
    lines = _unfolded(held)
    comments = [line for line in lines if _name(line) == "COMMENT"]
    ticked = next((line for line in lines if _name(line) == "COMPLETED"), "")
    uid = task_uid(row.uid)
    own = [*_task_lines(row, uid)]
    done = []
    if row.status == DONE:
        done = [ticked or f"COMPLETED:{_start_utc(row)}", "PERCENT-COMPLETE:100"]
    component = b"".join(map(_folded, ["BEGIN:VTODO", *own, *done, *comments, "END:VTODO"]))
    return _resource(uid, row, TASK, component, own)


def resources(rows: Iterable[Published], held: dict[str, bytes]) -> list[Resource]:
    """An event and a task for each job. held: what the server last held, by UID."""
    found: list[Resource] = []
    for row in rows:
        if is_work(row):
            found.append(event_resource(row))
            found.append(task_resource(row, held.get(task_uid(row.uid), b"")))
    return found


def _resource(
    uid: str, row: Published, kind: str, component: bytes, own: Sequence[str]
) -> Resource:
    years = covering(row.first, row.last)
    zones = b"".join(vtimezone(tzid, years).vtimezone for tzid in sorted(tzids_in([row])))
    frame = f"BEGIN:VCALENDAR\r\nVERSION:2.0\r\nPRODID:{PRODID}\r\n".encode()
    body = b"".join([frame, zones, component, b"END:VCALENDAR\r\n"])
    content = "\n".join(own).encode() if own else component
    digest = hashlib.sha256(b"\0".join([str(FORMAT).encode(), zones, content])).hexdigest()
    return Resource(uid, row.uid, row.site, kind, body, digest)


def _task_lines(row: Published, uid: str) -> Iterable[str]:
    """The event's lines as a task's: the end of the visit is when it is due."""
    yield f"UID:{uid}"
    in_alarm = False
    for line in _unfolded(row.vevent):
        name = _name(line)
        in_alarm = in_alarm or line == "BEGIN:VALARM"
        if not in_alarm and (name in _SHARED or name == "DTSTART"):
            yield line
        elif not in_alarm and name == "DTEND":
            yield f"DUE{line[len('DTEND') :]}"
        in_alarm = in_alarm and line != "END:VALARM"
    status = {DONE: "COMPLETED", CANCELLED: "CANCELLED"}.get(row.status, "NEEDS-ACTION")
    yield f"STATUS:{status}"


def _start_utc(row: Published) -> str:
    """The moment a job done began, for want of a better one, as RFC 5545 3.8.2.1 wants it: UTC."""
    zones = b"".join(
        vtimezone(tzid, covering(row.first, row.last)).vtimezone for tzid in sorted(tzids_in([row]))
    )
    whole = b"BEGIN:VCALENDAR\r\n" + zones + row.vevent + b"END:VCALENDAR\r\n"
    event = Event.from_ical(whole).walk("VEVENT")[0]
    return f"{event.decoded('DTSTART').astimezone(UTC):%Y%m%dT%H%M%SZ}"


def _name(line: str) -> str:
    """The property a content line is of, without parameters."""
    return line.partition(":")[0].partition(";")[0].upper()


def _unfolded(body: bytes) -> list[str]:
    """Its content lines, each whole (RFC 5545 3.1), whoever wrote them."""
    text = body.decode(errors="replace").replace("\r\n", "\n")
    return text.replace("\n ", "").replace("\n\t", "").split("\n")


def _folded(line: str) -> bytes:
    folded: bytes = Contentline(line).to_ical()  # type: ignore[no-untyped-call]
    return folded + b"\r\n"
