"""Climate input that cannot be is refused with what to write instead."""

from __future__ import annotations

from datetime import date

import numpy as np
import pytest

from orchardcal.climate.grades import (
    ensemble_from_freeze_dates,
    ensemble_from_normals,
    ensemble_from_record,
)
from orchardcal.climate.impossible import (
    ClimateRefused,
    impossible_freeze_dates,
    impossible_normals,
    wrong_hemisphere,
)

# Uccle, Belgium, 1991-2020 (KMI/IRM; from memory, tenths rounded): lows and highs.
LOW_C = (1.4, 1.3, 3.2, 5.2, 9.2, 12.0, 13.9, 13.6, 10.9, 7.8, 4.6, 2.1)
HIGH_C = (6.1, 7.1, 10.9, 15.0, 18.4, 21.2, 23.2, 23.0, 19.5, 14.9, 9.9, 6.6)


def test_real_normals_pass() -> None:
    assert impossible_normals(50.8, LOW_C, HIGH_C) == []
    assert impossible_normals(-50.8, LOW_C[6:] + LOW_C[:6], HIGH_C[6:] + HIGH_C[:6]) == []


@pytest.mark.parametrize(
    ("latitude_deg", "low_c", "high_c", "said"),
    [
        (-50.8, LOW_C, HIGH_C, "write latitude 50.8"),
        (70.0, LOW_C, HIGH_C, "between -66 and 66"),
        (50.8, HIGH_C, LOW_C, "swap them"),
        (50.8, LOW_C[:11], HIGH_C, "need 12 values"),
        (50.8, [c * 1.8 + 32 for c in LOW_C], [c * 1.8 + 32 for c in HIGH_C], "is it in °F"),
    ],
)
def test_impossible_normals(
    latitude_deg: float, low_c: list[float], high_c: list[float], said: str
) -> None:
    with pytest.raises(ClimateRefused, match=said):
        ensemble_from_normals(latitude_deg, low_c, high_c)


def test_rain_must_fit_its_month() -> None:
    days, amounts = [10.0] * 12, [60.0] * 12
    assert impossible_normals(50.8, LOW_C, HIGH_C, days, amounts) == []
    days[1], amounts[2] = 30.0, -1.0
    found = impossible_normals(50.8, LOW_C, HIGH_C, days, amounts)
    assert len(found) == 2
    assert "February has 30 rain days; write 0 to 29." in found
    days[1], amounts[2], days[3] = 10.0, 60.0, 0.0
    assert "0 rain days" in impossible_normals(50.8, LOW_C, HIGH_C, days, amounts)[0]


def test_all_problems_come_at_once() -> None:
    low_c = list(LOW_C)
    low_c[2], low_c[7] = 20.0, 30.0
    assert len(impossible_normals(50.8, low_c, HIGH_C)) == 2


def test_in_the_tropics_no_hemisphere_is_judged() -> None:
    assert wrong_hemisphere(-15.0, [10, 12, 15, 18, 20, 22, 24, 22, 20, 18, 15, 12]) == []
    assert wrong_hemisphere(-35.0, [15.0, 15.5] * 6) == []  # hardly any seasons


@pytest.mark.parametrize(
    ("first", "last", "portions", "said"),
    [
        (300, 100, 80.0, "swap them"),
        (5, 355, 100.0, "350 days"),
        (195, 205, 60.0, "10 days"),
        (90, 315, 30.0, "cannot go with 225 days"),
        (110, 260, 0.0, "cannot go with 150 days"),
        (110, 260, 1200.0, "in hours or Utah units"),
    ],
)
def test_impossible_freeze_dates(first: int, last: int, portions: float, said: str) -> None:
    found = impossible_freeze_dates(45.0, first, last, portions)
    assert len(found) == 1
    assert said in found[0]


def test_swapped_freeze_dates_are_refused_in_both_halves() -> None:
    for latitude_deg, last, first in ((45.0, (10, 12), (4, 25)), (-40.0, (5, 9), (10, 5))):
        with pytest.raises(ClimateRefused, match="swap them"):
            ensemble_from_freeze_dates(latitude_deg, last, first, 100.0)


def test_a_record_of_two_seasons_is_refused() -> None:
    days = 731 + 5
    with pytest.raises(ClimateRefused, match="2 whole seasons; 3 or more"):
        ensemble_from_record(45.0, date(2010, 7, 1), np.zeros(days), np.ones(days), None)


def test_hottest_below_coldest_is_refused() -> None:
    with pytest.raises(ClimateRefused, match="not colder than the hottest"):
        ensemble_from_freeze_dates(45.0, (4, 25), (10, 12), 100.0, (14.0, 28.0, -3.0, 5.0))
