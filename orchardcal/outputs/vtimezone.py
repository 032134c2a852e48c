"""VTIMEZONE components as yearly rules, which every reader we know of expands rightly."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, timedelta
from functools import lru_cache

from icalendar import Timezone, TimezoneDaylight, TimezoneStandard
from icalendar.prop import vDatetime, vRecur

from orchardcal.outputs.clock_rules import (
    Observance,
    Onset,
    changes_of,
    observances,
    rule_holds,
)

_WEEKDAYS = ("SU", "MO", "TU", "WE", "TH", "FR", "SA")
_SINCE = 1970  # the rules are written as if they had always held; no event of ours is older


@dataclass(frozen=True)
class ZoneText:
    """A VTIMEZONE as bytes, and what the caller should tell the user about it, "" for nothing."""

    vtimezone: bytes
    warning: str


@lru_cache(maxsize=512)
def vtimezone(tzid: str, years: range) -> ZoneText:
    """The zone for events in these years (RFC 5545 3.6.5).

    icalendar's own VTIMEZONE lists the changes as several dates in one RDATE, of which ical.js
    2.2.1 takes the first alone and shows events an hour off; and icalendar 7.3.2 gives the spring
    changes an hour late. So it is written as an RRULE from the zone's own rule. Where there is no
    such rule, or where the zone departs from it in these years, each change stands alone.
    """
    if rule_holds(tzid, years):
        return ZoneText(_by_rule(tzid).to_ical(), "")
    warning = (
        f"In {years.start}-{years.stop - 1} {tzid} does not change its clocks by one simple yearly "
        "rule: the calendars list the changes of these years one by one."
    )
    return ZoneText(_one_by_one(tzid, years).to_ical(), warning)


def _by_rule(tzid: str) -> Timezone:
    zone = Timezone()
    zone.add("tzid", tzid)
    found = observances(tzid) or ()
    largest = max(each.offset for each in found)
    for each in found:
        # Ireland's rule has winter as the exception; readers expect summer to be DAYLIGHT.
        summer = each.onset is not None and each.offset == largest
        zone.add_component(_component(each, summer))
    return zone


def _component(each: Observance, summer: bool) -> TimezoneStandard | TimezoneDaylight:
    component = TimezoneDaylight() if summer else TimezoneStandard()
    if each.onset is None:
        begins = datetime(_SINCE, 1, 1)  # noqa: DTZ001
    else:
        begins = each.onset.on(_SINCE)
        component.add("rrule", _rrule(each.onset))
    component.add("dtstart", vDatetime(begins))
    component.add("tzoffsetfrom", each.before)
    component.add("tzoffsetto", each.offset)
    component.add("tzname", each.name)
    return component


def _rrule(onset: Onset) -> vRecur:
    week = -1 if onset.week == 5 else onset.week
    day = f"{week}{_WEEKDAYS[onset.weekday]}"
    return vRecur({"FREQ": ["YEARLY"], "BYMONTH": [onset.month], "BYDAY": [day]})


def _one_by_one(tzid: str, years: range) -> Timezone:
    """A component for the clock kept at the start and one for each change after it."""
    zone = Timezone()
    zone.add("tzid", tzid)
    for change in changes_of(tzid, years):
        component = TimezoneDaylight() if change.summer else TimezoneStandard()
        component.add("dtstart", vDatetime(change.onset))
        component.add("tzoffsetfrom", change.before)
        component.add("tzoffsetto", change.offset)
        component.add("tzname", change.name)
        zone.add_component(component)
    return zone


def covering(first: date, last: date) -> range:
    """The years of these days with one to spare on either side, for what recurs or is moved."""
    return range((first - timedelta(days=366)).year, (last + timedelta(days=366)).year + 1)
