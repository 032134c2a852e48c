"""Quick chill beside the Dynamic Model hour by hour, which stands in for a source here.

The model itself is checked in tests/published and tests/computed_elsewhere.
"""

from __future__ import annotations

import numpy as np
import pytest

from orchardcal.climate.daily_totals import daily_totals, portions_between
from orchardcal.climate.hours_side_by_side import DailyExtremes
from orchardcal.climate.solver import CHILL_FROM, CHILL_TO, Wave
from orchardcal.climate.steady_chill import LOWS_C, steady_portions

WINTER = slice(CHILL_FROM, CHILL_TO)
WINTERS = {  # mean low, amplitude, daily range [°C]
    "mild": (12.0, 6.0, 9.0),
    "maritime": (4.0, 6.0, 7.0),
    "temperate": (7.0, 8.0, 10.5),
    "continental": (3.1, 16.0, 10.5),
}


@pytest.mark.parametrize("name", WINTERS)
@pytest.mark.parametrize("latitude_deg", [32.0, 52.0])
def test_quick_chill_of_a_winter_is_near_the_models(name: str, latitude_deg: float) -> None:
    mean_low_c, amplitude_c, range_c = WINTERS[name]
    low_c, high_c = Wave(mean_low_c, 201.0, amplitude_c, range_c, 0.18 * range_c, 1.0).seasons()
    quick = steady_portions(low_c[:30, WINTER], high_c[:30, WINTER])
    seasons = DailyExtremes(low_c, high_c, latitude_deg)
    (whole,) = portions_between([seasons], CHILL_FROM, CHILL_TO)
    assert quick == pytest.approx(whole.mean(), rel=0.06)


def test_portions_of_a_stretch_are_those_of_the_daily_totals() -> None:
    low_c, high_c = Wave(7.0, 201.0, 8.0, 10.5, 1.9, 1.0).seasons()
    by_day = daily_totals(low_c[:40], high_c[:40], 45.0, CHILL_FROM).portions
    seasons = DailyExtremes(low_c[:40], high_c[:40], 45.0)
    (alone,) = portions_between([seasons], CHILL_FROM, CHILL_TO)
    np.testing.assert_allclose(alone, by_day[:, WINTER].sum(axis=1), rtol=1e-12)


def test_days_beyond_the_table_count_as_its_last() -> None:
    at_the_end, colder, hot = (np.full((1, 10), low_c) for low_c in (LOWS_C[0], -60.0, 40.0))
    assert steady_portions(colder, colder + 5) == steady_portions(at_the_end, at_the_end + 5)
    assert steady_portions(hot, hot + 5) == pytest.approx(0.0, abs=0.1)
