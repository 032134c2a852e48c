"""Measured hours stand in for rebuilt ones in the seasons they cover, and in no other."""

from __future__ import annotations

from array import array
from datetime import datetime

import numpy as np

from orchardcal.climate.daily_totals import daily_totals
from orchardcal.season import Season
from orchardcal.sites.hourly import HourlyRecord
from orchardcal.windows.measured_hours import hours_of_seasons, with_measured_hours


def steady(first: datetime, days: int, air_c: float, gap_h: range = range(0)) -> HourlyRecord:
    hours = array("d", [air_c] * (days * 24))
    for hour in gap_h:
        hours[hour] = float("nan")
    return HourlyRecord(first, hours)


def test_whole_seasons_are_found_leap_day_left_out() -> None:
    record = steady(datetime(2023, 7, 1), 366 + 100, 6.0)  # noqa: DTZ001
    found = hours_of_seasons(record, southern=False)
    assert list(found) == [2024]
    assert found[2024].shape == (365 * 24,)


def test_a_short_gap_is_filled_and_a_long_one_leaves_the_season_out() -> None:
    first = datetime(2022, 7, 1)  # noqa: DTZ001
    assert hours_of_seasons(steady(first, 365, 6.0, range(1000, 1006)), southern=False)
    assert not hours_of_seasons(steady(first, 365, 6.0, range(1000, 1007)), southern=False)


def test_a_season_of_constant_six_degrees_counts_as_the_models_say() -> None:
    """1000 h at a steady 6 °C give 34.2042 portions (chillR 0.77, Dynamic Model at 273 K)."""
    season = Season(2023, southern=False)
    record = steady(datetime.combine(season.first, datetime.min.time()), 365, 6.0)
    low = np.full((2, 365), -30.0)
    rebuilt = daily_totals(low, low + 1, 45.0)
    measured = with_measured_hours(rebuilt, (2022, 2023), hours_of_seasons(record, southern=False))
    assert np.array_equal(measured.portions[0], rebuilt.portions[0])
    assert rebuilt.portions[0].sum() < 1e-9
    by_hour_1000 = measured.portions[1, 62 : 62 + 42].cumsum()  # 1008 hours
    assert abs(by_hour_1000[-1] - 34.2042) < 1.0
    assert measured.hours_0_72[1, 62:72].tolist() == [24.0] * 10
