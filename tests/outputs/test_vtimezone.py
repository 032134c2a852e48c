"""Zones as VTIMEZONE: read back by dateutil, they keep the same clock as the zone itself."""

from __future__ import annotations

from datetime import UTC, date, datetime, time, timedelta, tzinfo
from importlib.resources import files
from io import StringIO

import pytest
from dateutil.tz import tzical

from orchardcal.outputs.clock_rules import UnknownZone, observances, zone_of
from orchardcal.outputs.vtimezone import covering, vtimezone

YEARS = range(2026, 2030)
BY_RULE = [
    "Europe/London",
    "Europe/Dublin",  # its winter is the exception: a negative DST in its rule
    "America/New_York",
    "America/Denver",
    "America/St_Johns",
    "Australia/Hobart",
    "Australia/Lord_Howe",  # half an hour
    "Pacific/Auckland",
    "Pacific/Chatham",
    "Asia/Tokyo",
    "Asia/Kolkata",
    "Africa/Johannesburg",
    "Etc/UTC",
]
ONE_BY_ONE = ["America/Santiago", "Africa/Cairo", "Asia/Jerusalem", "America/Nuuk"]


@pytest.mark.parametrize("tzid", BY_RULE + ONE_BY_ONE)
def test_dateutil_expands_the_zone_to_its_real_clock(tzid: str) -> None:
    """RFC 5545 3.6.5; dateutil's tzical is the reader, the tzdata package's table the truth."""
    _same_clock(tzid)


@pytest.mark.slow
def test_every_zone_there_is_keeps_its_clock() -> None:
    tzids = files("tzdata").joinpath("zones").read_text().split()
    assert len(tzids) > 400
    for tzid in tzids:
        _same_clock(tzid, every_days=3)


@pytest.mark.parametrize("tzid", BY_RULE)
def test_a_zone_with_a_rule_is_short_and_without_rdate(tzid: str) -> None:
    text = vtimezone(tzid, YEARS)
    assert text.warning == ""
    assert b"RDATE" not in text.vtimezone
    assert len(text.vtimezone) < 500


@pytest.mark.parametrize("tzid", ONE_BY_ONE)
def test_a_zone_without_a_simple_rule_says_so(tzid: str) -> None:
    text = vtimezone(tzid, YEARS)
    assert tzid in text.warning
    assert "2026-2029" in text.warning
    assert b"RRULE" not in text.vtimezone
    assert b"RDATE" not in text.vtimezone


@pytest.mark.parametrize(
    ("tzid", "summer_begins", "summer_ends"),
    [
        # Directive 2000/84/EC: last Sundays of March and October at 01:00 UTC
        ("Europe/London", "2027-03-28T01:00Z", "2027-10-31T01:00Z"),
        # Energy Policy Act of 2005, section 110: second Sunday of March, first of November, 02:00
        ("America/New_York", "2027-03-14T07:00Z", "2027-11-07T06:00Z"),
        # New Zealand Daylight Time Order 2007: last Sunday of September to first of April, 02:00
        # standard time
        ("Pacific/Auckland", "2027-09-25T14:00Z", "2027-04-03T14:00Z"),
        # Tasmania, Daylight Saving Act 2007: first Sundays of October and April, 02:00 standard
        ("Australia/Hobart", "2027-10-02T16:00Z", "2027-04-03T16:00Z"),
    ],
)
def test_changes_of_2027_as_the_law_has_them(
    tzid: str, summer_begins: str, summer_ends: str
) -> None:
    read = _read(tzid)
    for text, forward in ((summer_begins, True), (summer_ends, False)):
        moment = datetime.fromisoformat(text)
        before = (moment - timedelta(minutes=1)).astimezone(read).utcoffset()
        after = moment.astimezone(read).utcoffset()
        assert before is not None
        assert after is not None
        assert (after > before) is forward
        assert before != after


def test_rules_are_read_as_posix_writes_them() -> None:
    """RFC 8536 3.3.1 and POSIX TZ: 02:00 unless said, a fifth week is the last."""
    found = observances("America/New_York")
    assert found is not None
    starts = {each.name: each.onset.on(2027) for each in found if each.onset is not None}
    assert starts == {"EST": datetime(2027, 11, 7, 2), "EDT": datetime(2027, 3, 14, 2)}  # noqa: DTZ001


def test_the_zone_is_that_of_the_tzdata_package() -> None:
    assert zone_of("Europe/London").key == "Europe/London"
    moment = datetime.combine(date(2027, 7, 1), time(12), UTC)
    assert moment.astimezone(zone_of("Asia/Tokyo")).hour == 21


@pytest.mark.parametrize(
    "tzid", ["Mars/Olympus", "../../etc/passwd", "", "Europe", "Europe/Lond on"]
)
def test_an_unknown_zone_is_refused(tzid: str) -> None:
    with pytest.raises(UnknownZone, match="no time zone"):
        vtimezone(tzid, YEARS)


def test_years_covered_leave_one_to_spare() -> None:
    assert covering(date(2026, 12, 20), date(2027, 7, 10)) == range(2025, 2029)


def _read(tzid: str) -> tzinfo:
    """The zone as dateutil reads it, which wants a calendar around."""
    calendar = f"BEGIN:VCALENDAR\r\n{vtimezone(tzid, YEARS).vtimezone.decode()}END:VCALENDAR\r\n"
    assert f"\r\nTZID:{tzid}\r\n" in calendar
    zone = tzical(StringIO(calendar)).get(tzid)
    assert zone is not None
    return zone


def _same_clock(tzid: str, every_days: int = 1) -> None:
    """Local mornings, for each reader takes DTSTART as a local time and asks for its offset."""
    read, real = _read(tzid), zone_of(tzid)
    day = date(YEARS.start, 1, 2)
    while day.year < YEARS.stop:
        for moment in (time(4, 30), time(9), time(17)):
            local = datetime.combine(day, moment)
            assert local.replace(tzinfo=read).utcoffset() == local.replace(tzinfo=real).utcoffset()
        day += timedelta(days=every_days)
