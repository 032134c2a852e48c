"""The yearly clock changes of a time zone, read from its own rules in the tzdata package."""

from __future__ import annotations

import re
from calendar import monthrange
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from functools import lru_cache
from importlib.resources import files
from io import BytesIO
from zoneinfo import ZoneInfo

from orchardcal.errors import OrchardcalError

# The TZ string at the end of a TZif file: RFC 8536 section 3.3, POSIX.1-2017 base definitions 8.3.
_NAME = r"(?:<[+\-A-Za-z0-9]+>|[A-Za-z]{3,})"
_OFFSET = r"[+-]?\d{1,3}(?::\d{2}){0,2}"
_RULE = rf"M(\d+)\.(\d)\.(\d)(?:/({_OFFSET}))?"
_FOOTER = re.compile(rf"({_NAME})({_OFFSET})(?:({_NAME})({_OFFSET})?,{_RULE},{_RULE})?")
_UNUSUAL = timedelta(hours=24)


class UnknownZone(OrchardcalError):
    """The time zone is in no list of zones we have."""


@dataclass(frozen=True)
class Onset:
    """When a year's clock change comes, in the local time before it.

    week: 1-4, or 5 for the month's last. weekday: 0 is Sunday, as POSIX counts.
    """

    month: int
    week: int
    weekday: int
    clock: timedelta

    def on(self, year: int) -> datetime:
        """The local moment of the change, without a zone."""
        first_weekday = date(year, self.month, 1).isoweekday() % 7
        day = 1 + (self.weekday - first_weekday) % 7 + 7 * (self.week - 1)
        while day > monthrange(year, self.month)[1]:
            day -= 7
        return datetime(year, self.month, day) + self.clock  # noqa: DTZ001


@dataclass(frozen=True)
class Observance:
    """One of the clocks a zone keeps; onset is None where it is kept all year."""

    name: str
    before: timedelta
    offset: timedelta
    onset: Onset | None


@dataclass(frozen=True)
class Change:
    """One change of the clocks; onset is in the local time before it."""

    onset: datetime
    name: str
    before: timedelta
    offset: timedelta
    summer: bool


@lru_cache(maxsize=512)
def zone_of(tzid: str) -> ZoneInfo:
    """The zone by the tzdata package, the same on every machine whatever its system holds."""
    return ZoneInfo.from_file(BytesIO(_tzif(tzid)), key=tzid)


def observances(tzid: str) -> tuple[Observance, ...] | None:
    """The zone's clocks by its yearly rule; None where the rule is none that RRULE says simply.

    Such are changes at or past 24 h or before midnight of their day, and rules by day number.
    """
    match = _FOOTER.fullmatch(_tzif(tzid).rsplit(b"\n", 2)[-2].decode())
    if match is None:
        return None
    name, offset, summer_name, summer_offset, *rules = match.groups()
    standard = -_hours(offset)
    if summer_name is None:
        return (Observance(name.strip("<>"), standard, standard, None),)
    summer = -_hours(summer_offset) if summer_offset else standard + timedelta(hours=1)
    begins, ends = (_onset(*rules[i : i + 4]) for i in (0, 4))
    if any(not timedelta(0) <= onset.clock < _UNUSUAL for onset in (begins, ends)):
        return None
    return (
        Observance(name.strip("<>"), summer, standard, ends),
        Observance(summer_name.strip("<>"), standard, summer, begins),
    )


def rule_holds(tzid: str, years: range) -> bool:
    """Whether the zone changes its clocks in these years at the rule's moments and at no other."""
    found = observances(tzid)
    if found is None:
        return False
    by_rule = {
        (each.onset.on(year), each.before, each.offset)
        for each in found
        if each.onset is not None
        for year in years
    }
    at_first, *changes = changes_of(tzid, years)
    kept = {each.offset for each in found}
    return at_first.offset in kept and by_rule == {
        (change.onset, change.before, change.offset) for change in changes
    }


def changes_of(tzid: str, years: range) -> tuple[Change, ...]:
    """Every change of these years after one for the clock kept when they begin."""
    zone = zone_of(tzid)
    day, end = (datetime(year, 1, 1, tzinfo=UTC) for year in (years.start, years.stop))
    offset = _offset(zone, day)
    found = [_change(zone, day, offset)]
    while day < end:
        next_day = day + timedelta(days=1)
        next_offset = _offset(zone, next_day)
        if offset != next_offset:
            found.append(_change(zone, _moment(zone, day, next_day), offset))
        day, offset = next_day, next_offset
    return tuple(found)


def _change(zone: ZoneInfo, moment: datetime, before: timedelta) -> Change:
    after = moment.astimezone(zone)
    return Change(
        onset=moment.replace(tzinfo=None) + before,
        name=after.tzname() or zone.key,
        before=before,
        offset=_offset(zone, moment),
        summer=bool(after.dst()),
    )


def _moment(zone: ZoneInfo, early: datetime, late: datetime) -> datetime:
    """The first second with the later offset, between two instants with different ones."""
    while late - early > timedelta(seconds=1):
        middle = early + timedelta(seconds=(late - early) // timedelta(seconds=2))
        if _offset(zone, middle) == _offset(zone, early):
            early = middle
        else:
            late = middle
    return late


def _offset(zone: ZoneInfo, moment: datetime) -> timedelta:
    return moment.astimezone(zone).utcoffset() or timedelta(0)


@lru_cache(maxsize=512)
def _tzif(tzid: str) -> bytes:
    parts = tzid.split("/")
    file = files("tzdata").joinpath("zoneinfo", *parts)
    if not all(re.fullmatch(r"[A-Za-z0-9_+\-]+", part) for part in parts) or not file.is_file():
        raise UnknownZone(f"There is no time zone {tzid!r}; write one like Europe/London.")
    return file.read_bytes()


def _onset(month: str, week: str, weekday: str, clock: str | None) -> Onset:
    at = _hours(clock) if clock else timedelta(hours=2)
    return Onset(int(month), int(week), int(weekday), at)


def _hours(text: str) -> timedelta:
    hours, minutes, seconds = ([int(part) for part in text.lstrip("+-").split(":")] + [0, 0])[:3]
    size = timedelta(hours=hours, minutes=minutes, seconds=seconds)
    return -size if text.startswith("-") else size
