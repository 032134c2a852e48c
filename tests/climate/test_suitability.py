"""Suitable days against a plain day-by-day reading of the conditions, on real records."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest

from orchardcal.climate.ensemble import Ensemble
from orchardcal.climate.suitability import (
    effective_members,
    share_interval,
    share_with_one_in_seven,
    smoothed_share,
    suitable,
)

# Dormant oil, as extension guides give it: 4.4 to 21 °C (40 to 70 °F), no freeze for 48 h, dry
# for 24 h (KSU; OMAFRA 2006).
OIL_LOW_HIGH_C, OIL_HIGH_C = 4.4, 21.0


def test_oil_days_as_read_day_by_day(real_ensemble: Callable[[str], Ensemble]) -> None:
    climate = real_ensemble("brussels")
    assert climate.rain_mm is not None
    found = suitable(
        climate.low_c,
        climate.high_c,
        climate.rain_mm,
        high_min_c=OIL_LOW_HIGH_C,
        high_max_c=OIL_HIGH_C,
        freeze_free_days_after=2,
        dry_days_before=1,
        dry_days_after=1,
        no_hard_freeze_c=-2.2,
        no_hard_freeze_days=4,
    )
    for member in (0, 17):
        low, high, rain = climate.low_c[member], climate.high_c[member], climate.rain_mm[member]
        for day in range(365):
            fit = (
                OIL_LOW_HIGH_C <= high[day] <= OIL_HIGH_C
                and all(low[(day + k) % 365] > 0 for k in range(3))
                and all(rain[(day + k) % 365] < 1 for k in (-1, 0, 1))
                and all(low[(day + k) % 365] > -2.2 for k in range(5))
            )
            assert found[member, day] == fit


def test_without_rain_only_temperature_counts() -> None:
    mild = np.full((4, 365), 8.0)
    assert suitable(mild, mild + 5, None, dry_days_before=1, dry_days_after=2).all()
    assert not suitable(mild, mild + 5, mild, dry_days_after=0).any()


def test_shares_keep_their_total_and_stay_within_bounds(
    real_ensemble: Callable[[str], Ensemble],
) -> None:
    climate = real_ensemble("cordoba")
    fit = suitable(climate.low_c, climate.high_c, climate.rain_mm, low_min_c=2, high_min_c=10)
    smooth = smoothed_share(fit)
    low, high = share_interval(fit)
    assert smooth.mean() == pytest.approx(fit.mean())
    bounds = np.array([np.zeros(365), low, smooth, high, np.ones(365)])
    assert (np.diff(bounds, axis=0) >= -1e-12).all()
    raw = fit.mean(axis=0)
    assert np.abs(np.diff(smooth)).max() < np.abs(np.diff(raw)).max()


def test_one_in_seven_as_read_week_by_week(real_ensemble: Callable[[str], Ensemble]) -> None:
    climate = real_ensemble("champion")
    fit = suitable(climate.low_c, climate.high_c, None, low_min_c=2, high_min_c=10)
    found = share_with_one_in_seven(fit)
    for day in (0, 180, 200, 362):
        week = [(day + k) % 365 for k in range(7)]
        assert found[day] == pytest.approx(np.mean([member[week].any() for member in fit]))


def test_independent_days_pool_and_spells_do_not() -> None:
    """Rain-or-shine by the toss of a coin: pooling is worth 1 / sum(w^2), some 10 days."""
    tosses = np.random.Generator(np.random.PCG64(1)).random((40, 365)) < 0.5
    assert 300 < effective_members(tosses) < 450
    spells = np.repeat(tosses[:, ::20], 20, axis=1)[:, :365]
    assert effective_members(spells) == 40
    assert effective_members(np.ones((30, 365), dtype=bool)) == 30
