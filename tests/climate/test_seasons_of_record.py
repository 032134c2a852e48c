"""Cutting a record into seasons: leap days, gaps and missing rain."""

from __future__ import annotations

from datetime import date, timedelta

import numpy as np
import pytest

from orchardcal.climate.record import seasons_of_record

NAN = float("nan")
FIRST_DAY = date(2000, 7, 1)


def days(seasons: int) -> np.ndarray:
    """Each day's value is its number since 1 Jul 2000."""
    length = (date(2000 + seasons, 7, 1) - FIRST_DAY).days
    return np.arange(length, dtype=float)


def position(day: date) -> int:
    return (day - FIRST_DAY).days


def test_leap_days_drop_out_and_every_other_day_keeps_its_place() -> None:
    record = seasons_of_record(FIRST_DAY, days(4), days(4) + 1, None, southern=False)
    assert record.years == (2001, 2002, 2003, 2004)
    leap_season = record.low_c[3]
    day = date(2003, 7, 1)
    for value in leap_season:
        if (day.month, day.day) == (2, 29):
            day += timedelta(days=1)
        assert value == position(day)
        day += timedelta(days=1)
    assert day == date(2004, 7, 1)


def test_southern_seasons_are_calendar_years_and_partial_ones_do_not_count() -> None:
    record = seasons_of_record(FIRST_DAY, days(4), days(4) + 1, None, southern=True)
    assert record.years == (2001, 2002, 2003)
    assert record.low_c[0, 0] == position(date(2001, 1, 1))
    assert record.low_c[2, 364] == position(date(2003, 12, 31))


def test_five_missing_days_are_filled_on_a_straight_line_and_counted() -> None:
    low = days(2)
    gap = slice(position(date(2001, 1, 10)), position(date(2001, 1, 15)))
    low[gap] = NAN
    record = seasons_of_record(FIRST_DAY, low, days(2) + 1, None, southern=False)
    assert record.low_c == pytest.approx(record.high_c - 1)
    assert record.notes == (
        ("Missing days filled from the days on either side: {count}.", {"count": 5}),
    )


@pytest.mark.parametrize(
    ("start", "length", "kept"),
    [
        (date(2001, 1, 10), 6, False),  # a long gap in winter
        (date(2000, 8, 1), 10, True),  # in summer ten days are borne
        (date(2000, 8, 1), 11, False),
        (date(2000, 9, 27), 9, True),  # only five of them from 1 October on
    ],
)
def test_long_gaps(start: date, length: int, kept: bool) -> None:
    low = days(2)
    low[position(start) : position(start) + length] = NAN
    record = seasons_of_record(FIRST_DAY, low, days(2) + 1, None, southern=False)
    assert record.years == ((2001, 2002) if kept else (2002,))
    if not kept:
        text, values = record.notes[0]
        assert "left out" in text
        assert values == {"count": 1, "years": "2001"}


def test_many_short_gaps_leave_a_season_out() -> None:
    high = days(2)
    high[: 37 * 3 : 3] = NAN
    assert seasons_of_record(FIRST_DAY, days(2) - 1, high, None, southern=False).years == (2002,)


def test_a_record_without_one_whole_season_has_none() -> None:
    record = seasons_of_record(FIRST_DAY, days(1)[:300], days(1)[:300], None, southern=False)
    assert record.years == ()
    assert record.low_c.shape == (0, 365)
    assert seasons_of_record(FIRST_DAY, [], [], [], southern=False).years == ()


def test_a_filled_low_never_passes_an_observed_high() -> None:
    low, high = np.full(365, 5.0), np.full(365, 10.0)
    low[100], high[100] = NAN, 2.0
    record = seasons_of_record(FIRST_DAY, low, high, None, southern=False)
    assert record.low_c[0, 100] == record.high_c[0, 100] == 2.0


def test_seasons_without_rain_are_left_out_while_two_thirds_have_it() -> None:
    rain = np.zeros(len(days(6)))
    rain[: position(date(2002, 7, 1))] = NAN
    record = seasons_of_record(FIRST_DAY, days(6), days(6) + 1, rain, southern=False)
    assert record.years == (2003, 2004, 2005, 2006)
    assert record.rain_mm is not None
    rain[: position(date(2003, 7, 1))] = NAN
    record = seasons_of_record(FIRST_DAY, days(6), days(6) + 1, rain, southern=False)
    assert len(record.years) == 6
    assert record.rain_mm is None
    assert "Rain is not used" in record.notes[0][0]


def test_single_days_without_rain_count_as_wet() -> None:
    rain = np.zeros(len(days(3)))
    rain[50:60] = NAN
    record = seasons_of_record(FIRST_DAY, days(3), days(3) + 1, rain, southern=False)
    assert record.rain_mm is not None
    assert int((record.rain_mm >= 1.0).sum()) == 10
    assert record.notes[-1][1] == {"count": 10}
