"""The coming days by the forecast: yes, no, or not known; against oil's published limits."""

from __future__ import annotations

from array import array
from datetime import date, timedelta

import numpy as np
import pytest

from orchardcal.sites.forecast import Forecast
from orchardcal.species.rules import DayConditions
from orchardcal.windows.near_days import NearDays, near_days
from orchardcal.windows.site_ensemble import Observed

AS_OF = date(2027, 2, 10)
# K-State (Upham): not under 4.4 °C; Missouri (Balek): 24 freeze-free hours; dry a day.
OIL = DayConditions(
    high_min_c=4.4, high_max_c=29.0, freeze_free_days_after=1, dry_days_before=1, dry_days_after=1
)


def coming(lows: list[float], highs: list[float], rain: list[float], wind: float = 2.0) -> NearDays:
    count = len(lows)
    forecast = Forecast(
        AS_OF + timedelta(days=1),
        array("d", lows),
        array("d", highs),
        array("d", rain),
        array("d", [wind] * count),
    )
    known = Observed(AS_OF - timedelta(days=20), np.full(21, 2.0), np.full(21, 8.0), np.zeros(21))
    found = near_days(forecast, known, AS_OF)
    assert found is not None
    return found


@pytest.mark.parametrize(
    ("change", "answer"),
    [
        ({}, True),
        ({"highs": [4.3, 9, 9, 9]}, False),
        ({"lows": [2, -0.5, 2, 2]}, False),
        ({"rain": [0, 1.2, 0, 0]}, False),
        ({"rain": [0, 0.4, 0, 0]}, True),
        ({"wind": 5.0}, False),
        ({"highs": [29.5, 20, 9, 9]}, False),
    ],
)
def test_the_first_day_suits_oil_or_not(change: dict[str, object], answer: bool) -> None:
    plain: dict[str, object] = {"lows": [2, 2, 2, 2], "highs": [9, 9, 9, 9], "rain": [0, 0, 0, 0]}
    near = coming(**{**plain, **change})  # type: ignore[arg-type]
    assert near.suits(AS_OF + timedelta(days=1), OIL, spraying=True) is answer


def test_a_day_whose_morrow_is_not_forecast_is_not_known() -> None:
    near = coming([2] * 4, [9] * 4, [0] * 4)
    assert near.suits(AS_OF + timedelta(days=4), OIL, spraying=True) is None
    assert near.suits(AS_OF, OIL, spraying=True) is None


def test_missing_rain_is_not_taken_for_dry() -> None:
    near = coming([2] * 4, [9] * 4, [float("nan")] * 4)
    assert near.suits(AS_OF + timedelta(days=1), OIL, spraying=True) is None


def test_a_forecast_from_before_the_as_of_day_is_not_used() -> None:
    old = Forecast(AS_OF - timedelta(days=3), *(array("d", [1.0] * 3) for _ in range(4)))
    assert near_days(old, None, AS_OF) is None
