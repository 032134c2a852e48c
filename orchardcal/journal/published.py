"""What subscribers last saw of each event, and how a new plan revises it."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime, time, timedelta
from functools import cached_property
from typing import Protocol

# The states of a published event beside those of a job ("planned", "done", "overdue").
WINDOW, CANCELLED, GONE = "window", "cancelled", "gone"
DONE = "done"

KEPT_AFTER_CANCELLING_DAYS = 30
KEPT_AFTER_PASSING_DAYS = 180
REMEMBERED_DAYS = 400  # a UID belongs to a season: after this it cannot come back

FORMAT = 1  # part of every fingerprint: raise it when the same content is written otherwise


@dataclass(frozen=True)
class Relation:
    """A link to another event: an RFC 9253 relation type and, where it has one, a gap in hours."""

    kind: str
    uid: str
    gap_h: int | None = None


@dataclass(frozen=True)
class EventText:
    """One event as its readers get it, in words, before it has a revision number.

    first, last: its days, both included. starts, ends: clock times in `timezone`, None for an
    all-day event. status: a job's state, or "window". audiences: the feeds it belongs to, each
    a path without its ending ("staff", "volunteers", "sites/millbrook"). alarm: what a display
    alarm on the evening before says, "" for none. missed: the first day it was planned for and
    passed undone. crew: the key of the crew that does it, "" for none; its readers have its name in
    the description.
    """

    uid: str
    site: str
    care: str
    season: int
    plantings: tuple[str, ...]
    status: str
    audiences: tuple[str, ...]
    first: date
    last: date
    starts: time | None
    ends: time | None
    timezone: str
    summary: str
    description: str
    location: str
    latitude_deg: float
    longitude_deg: float
    categories: tuple[str, ...]
    url: str = ""
    color: str = ""
    alarm: str = ""
    relations: tuple[Relation, ...] = ()
    missed: date | None = None
    planned: date | None = None
    odds: float | None = None
    crew: str = ""

    @cached_property
    def fingerprint(self) -> str:
        """SHA-256 over everything a reader can see, but for the revision and the feeds it is in."""
        content = [
            FORMAT,
            self.uid,
            self.status,
            [self.first.isoformat(), self.last.isoformat()],
            [moment and moment.isoformat() for moment in (self.starts, self.ends)],
            self.timezone,
            [self.summary, self.description, self.location],
            [self.latitude_deg, self.longitude_deg],
            self.categories,
            [self.url, self.color, self.alarm],
            [(relation.kind, relation.uid, relation.gap_h) for relation in self.relations],
        ]
        return hashlib.sha256(json.dumps(content).encode()).hexdigest()


@dataclass(frozen=True)
class Published:
    """One event as it stands in the feeds.

    first, last: its days, both included. status: a job's state, "window", "cancelled", or
    "gone": no longer in any feed, remembered only so that its SEQUENCE goes on if it comes back.
    revised: when its content last changed, as "2026-12-01T00:00:00Z". vevent: its bytes in
    every feed, b"" once gone. missed: the first day it was planned for and passed undone, None
    where that never happened. planned, odds: the last day it was planned for, and the share of
    seasons whose weather suited that day, as they were before the work was done. crew: as in
    EventText.
    """

    uid: str
    site: str
    care: str
    season: int
    plantings: tuple[str, ...]
    first: date
    last: date
    status: str
    sequence: int
    revised: str
    fingerprint: str
    audiences: tuple[str, ...]
    vevent: bytes
    missed: date | None = None
    planned: date | None = None
    odds: float | None = None
    crew: str = ""

    @property
    def shown(self) -> bool:
        return self.status != GONE

    @property
    def live(self) -> bool:
        return self.status not in (CANCELLED, GONE)


class Writer(Protocol):
    """Whoever turns content into the bytes of a VEVENT."""

    def written(self, text: EventText, sequence: int, revised: str) -> bytes:
        """The VEVENT of an event with its revision."""

    def cancelled(self, vevent: bytes, sequence: int, revised: str) -> bytes:
        """A published VEVENT once more, marked as cancelled."""


@dataclass(frozen=True)
class Change:
    """What a subscriber will notice of one event. kind: "moved", "added" or "fell away".

    old_day, new_day: the event's first day before and now, None where it was or is not there.
    """

    kind: str
    uid: str
    site: str
    care: str
    window: bool
    old_day: date | None
    new_day: date | None


def revised(
    previous: Sequence[Published], current: Sequence[EventText], as_of: date, writer: Writer
) -> tuple[Published, ...]:
    """What the feeds hold now, ordered by day, site and UID.

    previous: the rows of the sites being planned, as they were last published. Content that did
    not change keeps its SEQUENCE, its instant and its very bytes; content that changed gets
    SEQUENCE + 1 (RFC 5545 3.8.7.4) and a new instant for DTSTAMP and LAST-MODIFIED (3.8.7.2,
    3.8.7.3). Coming work that fell away is cancelled and stays 30 days; what lies in the past
    stays as it was for 180 days, then leaves.
    """
    before = {row.uid: row for row in previous}
    rows = [
        _too_old(before.get(text.uid))
        if _long_past(text.last, as_of)
        else _current(before.get(text.uid), text, as_of, writer)
        for text in current
    ]
    current_uids = {text.uid for text in current}
    rows += [_left(row, as_of, writer) for row in previous if row.uid not in current_uids]
    kept = (row for row in rows if row is not None)
    return tuple(sorted(kept, key=lambda row: (row.first, row.site, row.uid)))


def touched_sites(previous: Iterable[Published], now: Iterable[Published]) -> set[str]:
    """The sites of which a row was added, taken away or is not as it was."""
    before = {row.uid: row for row in previous}
    touched = set()
    for row in now:
        old = before.pop(row.uid, None)
        if old is not row and old != row:
            touched |= {row.site, row.site if old is None else old.site}
    return touched | {row.site for row in before.values()}


def changes(previous: Iterable[Published], now: Iterable[Published]) -> tuple[Change, ...]:
    """What moved, was added or fell away between two publications, ordered by day and site.

    What only passed out of the feed by age is no change.
    """
    before = {row.uid: row for row in previous}
    found = (change for row in now if (change := _change(before.get(row.uid), row)) is not None)
    return in_order_of_days(found)


def in_order_of_days(found: Iterable[Change]) -> tuple[Change, ...]:
    """Changes by day and site."""
    return tuple(
        sorted(found, key=lambda c: (c.new_day or c.old_day or date.min, c.site, c.care, c.uid))
    )


def _change(old: Published | None, new: Published) -> Change | None:
    was_live = old is not None and old.live
    old_day = old.first if old is not None and was_live else None
    window = WINDOW in (new.status, old.status if old is not None else "")
    if was_live and new.status == CANCELLED:
        kind, new_day = "fell away", None
    elif (
        was_live and old is not None and new.live and (old.first, old.last) != (new.first, new.last)
    ):
        kind, new_day = "moved", new.first
    elif new.live and not was_live:
        kind, new_day = "added", new.first
    else:
        return None
    return Change(kind, new.uid, new.site, new.care, window, old_day, new_day)


def _current(old: Published | None, text: EventText, as_of: date, writer: Writer) -> Published:
    unchanged = old is not None and old.fingerprint == text.fingerprint
    if old is not None and unchanged:
        sequence, instant, vevent = old.sequence, old.revised, old.vevent
    else:
        sequence = 0 if old is None else old.sequence + 1
        instant = _instant(old, as_of)
        vevent = writer.written(text, sequence, instant)
    return Published(
        uid=text.uid,
        site=text.site,
        care=text.care,
        season=text.season,
        plantings=text.plantings,
        first=text.first,
        last=text.last,
        status=text.status,
        sequence=sequence,
        revised=instant,
        fingerprint=text.fingerprint,
        audiences=text.audiences,
        vevent=vevent,
        missed=text.missed,
        planned=text.planned,
        odds=text.odds,
        crew=text.crew,
    )


def _left(row: Published, as_of: date, writer: Writer) -> Published | None:
    """What becomes of a row that the plan no longer holds; None once it may be forgotten.

    Coming work is cancelled; a window is no work and just leaves.
    """
    if not row.live or row.status == DONE or row.last < as_of:
        return aged(row, as_of)
    if row.status == WINDOW:
        return _emptied(row)
    sequence, instant = row.sequence + 1, _instant(row, as_of)
    return replace(
        row,
        status=CANCELLED,
        sequence=sequence,
        revised=instant,
        fingerprint=f"cancelled {row.fingerprint}",
        vevent=writer.cancelled(row.vevent, sequence, instant),
    )


def aged(row: Published, as_of: date) -> Published | None:
    """A row as time alone changes it: out of the feeds when old, then forgotten (None)."""
    since_revised = as_of - _day(row.revised)
    if row.status == GONE:
        return row if since_revised <= timedelta(days=REMEMBERED_DAYS) else None
    if row.status == CANCELLED:
        return row if since_revised <= timedelta(days=KEPT_AFTER_CANCELLING_DAYS) else _emptied(row)
    return _emptied(row) if _long_past(row.last, as_of) else row


def _too_old(old: Published | None) -> Published | None:
    """What remains of work that the plan still holds but that is too long past for the feeds."""
    return old if old is None or old.status == GONE else _emptied(old)


def _emptied(row: Published) -> Published:
    return replace(row, status=GONE, fingerprint="gone", audiences=(), vevent=b"")


def _long_past(last: date, as_of: date) -> bool:
    return as_of - last > timedelta(days=KEPT_AFTER_PASSING_DAYS)


def _instant(old: Published | None, as_of: date) -> str:
    """Midnight UTC of the as-of day, or one second after the last revision if that is not later."""
    instant = datetime.combine(as_of, time(), UTC)
    if old is not None:
        instant = max(instant, datetime.fromisoformat(old.revised) + timedelta(seconds=1))
    return instant.strftime("%Y-%m-%dT%H:%M:%SZ")


def _day(revised: str) -> date:
    return datetime.fromisoformat(revised).date()
