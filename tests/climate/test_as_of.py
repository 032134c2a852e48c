"""Observed days, then forecast days, then each season's remainder."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest

from orchardcal.climate.as_of import ensemble_as_of, forecast_errors_c, without_year
from orchardcal.climate.daily_totals import daily_totals
from orchardcal.climate.ensemble import Ensemble
from orchardcal.climate.stages import chill_met


def test_members_share_the_observed_days_and_keep_their_own_after(
    real_ensemble: Callable[[str], Ensemble],
) -> None:
    climate = real_ensemble("brussels")
    own = climate.low_c.copy()
    observed_low, observed_high = climate.low_c[4, :150], climate.high_c[4, :150]
    as_of = ensemble_as_of(climate, observed_low, observed_high)
    assert as_of.observed_days == 150
    assert (as_of.low_c[:, :150] == observed_low).all()
    assert np.array_equal(as_of.low_c[:, 150:], own[:, 150:])
    assert np.array_equal(climate.low_c, own)  # the ensemble itself is left as it was
    assert np.array_equal(as_of.rain_mm, climate.rain_mm)  # no rain observed: the members' own


def test_a_day_not_observed_stays_the_members_own(
    real_ensemble: Callable[[str], Ensemble],
) -> None:
    climate = real_ensemble("brussels")
    low, high = climate.low_c[0, :50].copy(), climate.high_c[0, :50].copy()
    low[20], high[20] = np.nan, np.nan
    as_of = ensemble_as_of(climate, low, high)
    assert np.array_equal(as_of.low_c[:, 20], climate.low_c[:, 20])
    assert (as_of.high_c >= as_of.low_c).all()


def test_forecast_errors_grow_from_one_to_three_and_a_half_degrees() -> None:
    errors = forecast_errors_c(4000)
    assert errors[:, 0].std() == pytest.approx(1.0, rel=0.05)
    assert errors[:, 13].std() == pytest.approx(3.5, rel=0.05)
    assert np.corrcoef(errors[:, 5], errors[:, 6])[0, 1] == pytest.approx(0.7, abs=0.04)


def test_forecast_days_follow_the_observed_ones(real_ensemble: Callable[[str], Ensemble]) -> None:
    climate = real_ensemble("brussels")
    low, high, rain = np.full(100, 4.0), np.full(100, 9.0), np.zeros(100)
    ahead = np.full(10, -5.0)
    as_of = ensemble_as_of(climate, low, high, rain, ahead, ahead + 8, np.full(10, 3.0))
    assert as_of.observed_days == 100
    assert as_of.rain_mm is not None
    assert (as_of.rain_mm[:, 100:110] == 3.0).all()
    assert as_of.low_c[:, 100:110].mean() == pytest.approx(-5, abs=0.6)
    assert as_of.low_c[:, 109].std() > as_of.low_c[:, 100].std() > 0
    assert as_of.high_c[:, 100:110] - as_of.low_c[:, 100:110] == pytest.approx(8)
    assert np.array_equal(as_of.low_c[:, 110:], climate.low_c[:, 110:])


def test_chill_met_sharpens_through_autumn(real_ensemble: Callable[[str], Ensemble]) -> None:
    """As weather becomes known, the spread of dates shrinks; a past season left out of its own."""
    climate = real_ensemble("brussels")
    year = climate.years[10]
    spreads = []
    for day in (62, 123, 184):
        others = without_year(climate, year)
        assert others.members == climate.members - 1
        as_of = ensemble_as_of(others, climate.low_c[10, :day], climate.high_c[10, :day])
        totals = daily_totals(as_of.low_c, as_of.high_c, as_of.latitude_deg)
        spreads.append(float(np.std(chill_met(totals.portions, 60.0))))
    assert spreads[0] > spreads[1] > spreads[2]


def test_a_whole_season_and_an_empty_one(real_ensemble: Callable[[str], Ensemble]) -> None:
    climate = real_ensemble("brussels")
    ahead = np.zeros(10)
    whole = ensemble_as_of(climate, climate.low_c[0], climate.high_c[0], None, ahead, ahead + 5)
    assert (whole.low_c == climate.low_c[0]).all()
    empty = ensemble_as_of(climate, np.empty(0), np.empty(0))
    assert np.array_equal(empty.low_c, climate.low_c)
