"""Closures, terms and public holidays, against calendars printed elsewhere."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date

import pytest

from orchardcal.season import Season, Span
from orchardcal.sites.free_days import closed_days, pupil_days
from orchardcal.sites.site import Site
from tests.sites.elder_lane import SITE

Read = Callable[..., Site]
SEASON = Season(2027, southern=False).span


def _closed(read: Read, closure: str, span: Span = SEASON) -> list[str]:
    site = read(site=f'{SITE}[[closure]]\nname = "Shut"\n{closure}\n')
    return [str(day) for day in closed_days(site, span)]


def test_a_recurring_closure_as_rfc_5545_prints_it(read_site_of: Read) -> None:
    """RFC 5545, section 3.8.5.3, "Monthly on the first Friday for 10 occurrences"."""
    days = _closed(
        read_site_of,
        'rule = "FREQ=MONTHLY;COUNT=10;BYDAY=1FR"\nfirst = 1997-09-05',
        Span(date(1997, 7, 1), date(1998, 6, 30)),
    )
    assert days == [
        *("1997-09-05", "1997-10-03", "1997-11-07", "1997-12-05", "1998-01-02"),
        *("1998-02-06", "1998-03-06", "1998-04-03", "1998-05-01", "1998-06-05"),
    ]


def test_every_other_week_counts_from_its_first_day(read_site_of: Read) -> None:
    """RFC 5545, section 3.8.5.3, "Every other week": 2, 16, 30 September, 14, 28 October 1997 …"""
    days = _closed(
        read_site_of,
        'rule = "FREQ=WEEKLY;INTERVAL=2"\nfirst = 1997-09-02\nlast = 1997-11-30',
        Span(date(1997, 9, 10), date(1998, 6, 30)),
    )
    assert days == [
        "1997-09-16",
        "1997-09-30",
        "1997-10-14",
        "1997-10-28",
        "1997-11-11",
        "1997-11-25",
    ]


def test_a_stretch_of_days_that_a_rule_begins_before_the_span(read_site_of: Read) -> None:
    """Easter Sunday is 28 March 2027 (US Naval Observatory, "The Date of Easter"; from memory)."""
    days = _closed(
        read_site_of,
        'rule = "FREQ=YEARLY;BYEASTER=-49"\nrule_days = 5',
        Span(date(2027, 2, 9), date(2027, 3, 1)),
    )
    assert days == ["2027-02-09", "2027-02-10", "2027-02-11"]  # Carnival begins Sunday 7 February


def test_a_yearly_stretch_over_new_year(read_site_of: Read) -> None:
    days = _closed(
        read_site_of, 'every_year = "12-30 to 01-02"', Span(date(2026, 1, 1), date(2026, 12, 31))
    )
    assert days == ["2026-01-01", "2026-01-02", "2026-12-30", "2026-12-31"]


@pytest.mark.parametrize(("year", "last"), [(2027, "2027-02-28"), (2028, "2028-02-29")])
def test_a_yearly_stretch_to_the_29th_of_february(read_site_of: Read, year: int, last: str) -> None:
    days = _closed(read_site_of, 'every_year = "02-27 to 02-29"', Season(year, southern=False).span)
    assert (days[0], days[-1]) == (f"{year}-02-27", last)


def test_public_holidays_by_country_and_subdivision(read_site_of: Read) -> None:
    """US federal holidays: OPM's list; South Dakota Codified Laws 1-5-1 (October): from memory."""
    country = 'country = "US"\nsubdivision = "SD"\n'
    closed = closed_days(read_site_of(site=country + SITE), SEASON)
    for day in ("2026-11-26", "2026-12-25", "2027-01-01", "2027-01-18", "2027-05-31"):
        assert date.fromisoformat(day) in closed
    assert "Native American" in closed[date(2026, 10, 12)]
    assert date(2026, 11, 25) not in closed
    assert closed_days(read_site_of(), SEASON) == {}


def test_a_closure_names_the_day_before_a_holiday_does(read_site_of: Read) -> None:
    closure = '[[closure]]\nname = "Winter break"\nfirst = 2026-12-21\nlast = 2027-01-03\n'
    site = read_site_of(site=f'country = "US"\n{SITE}{closure}')
    closed = closed_days(site, SEASON)
    assert closed[date(2026, 12, 25)] == "Winter break"
    assert list(closed) == sorted(closed)


def test_pupils_are_there_on_term_weekdays_that_are_not_closed(read_site_of: Read) -> None:
    pupils = (
        '[pupils]\nweekdays = "mon-thu"\n[[pupils.term]]\nname = "Autumn"\n'
        "first = 2026-11-16\nlast = 2026-11-27\n"
    )
    site = read_site_of(
        site='country = "US"\n' + SITE.replace("[pupils]\non_site = false\n", pupils)
    )
    days = sorted(day.day for day in pupil_days(site, SEASON))
    assert days == [16, 17, 18, 19, 23, 24, 25]  # Thanksgiving is Thursday 26 November 2026
