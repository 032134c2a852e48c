"""Generated seasons against the normals asked for and the real records those came from."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest

from orchardcal.climate.ensemble import Ensemble
from orchardcal.climate.frost import freeze_odds
from orchardcal.climate.generator import (
    CARRIED,
    FRESH,
    SAME_DAY,
    fixed_departures,
    generated_seasons,
)
from orchardcal.climate.grades import ensemble_from_normals
from orchardcal.climate.months import month_lengths, monthly_means, monthly_totals
from orchardcal.climate.normals import (
    MonthlyNormals,
    daily_means,
    normals_of_seasons,
    yearly_wave,
)
from orchardcal.climate.solver import mean_winter_portions

STATIONS = ("champion", "brussels", "cordoba")


def normals_and_generated(climate: Ensemble) -> tuple[MonthlyNormals, Ensemble]:
    southern = climate.latitude_deg < 0
    normals = normals_of_seasons(climate.low_c, climate.high_c, climate.rain_mm, southern)
    assert normals.rain_days is not None
    assert normals.rain_mm is not None
    generated = ensemble_from_normals(
        climate.latitude_deg,
        normals.low_c.tolist(),
        normals.high_c.tolist(),
        normals.rain_days.tolist(),
        normals.rain_mm.tolist(),
    )
    return normals, generated


def test_departures_are_those_of_richardson_1981() -> None:
    """M0 and M1 of the WGEN documentation (Richardson & Wright 1984) give both matrices."""
    next_day = np.array([[0.621, 0.445], [0.563, 0.674]])
    assert pytest.approx(next_day @ np.linalg.inv(SAME_DAY), abs=6e-4) == CARRIED
    spread = FRESH @ FRESH.T
    assert pytest.approx(SAME_DAY - CARRIED @ next_day.T, abs=2e-3) == spread


def test_departures_are_fixed_centred_and_of_unit_spread() -> None:
    departures = fixed_departures()
    assert departures.low.shape == (150, 365)
    for part in (departures.low, departures.high):
        assert np.abs(part.mean(axis=0)).max() < 1e-12
        assert part.std() == pytest.approx(1.0, abs=0.03)
    slow = 0.12
    same_day = float((departures.low * departures.high).mean())
    next_day = float((departures.low[:, 1:] * departures.low[:, :-1]).mean())
    assert same_day == pytest.approx((1 - slow) * 0.633 + slow, abs=0.03)
    assert next_day == pytest.approx((1 - slow) * 0.674 + slow * np.exp(-1 / 30), abs=0.03)
    fixed_departures.cache_clear()
    assert np.array_equal(fixed_departures().low, departures.low)


@pytest.mark.parametrize("southern", [False, True])
def test_daily_means_keep_the_months_of_a_smooth_year(southern: bool) -> None:
    angle = 2 * np.pi * np.arange(365) / 365
    year = 11 - 9 * np.cos(angle - 3.4) + 1.5 * np.sin(2 * angle) + 0.5 * np.cos(4 * angle)
    monthly = monthly_means(year[np.newaxis], southern)[0]
    assert daily_means(monthly, southern) == pytest.approx(year, abs=1e-9)
    amplitude_c, low_day = yearly_wave(11 - 9 * np.cos(2 * np.pi * (np.arange(365) - 201) / 365))
    assert (amplitude_c, low_day) == (pytest.approx(9), pytest.approx(201))


@pytest.mark.parametrize("name", STATIONS)
def test_generated_months_have_the_means_of_the_record(
    real_ensemble: Callable[[str], Ensemble], name: str
) -> None:
    climate = real_ensemble(name)
    southern = climate.latitude_deg < 0
    normals, generated = normals_and_generated(climate)
    lows = monthly_means(generated.low_c, southern).mean(axis=0)
    highs = monthly_means(generated.high_c, southern).mean(axis=0)
    assert np.abs(lows - normals.low_c).max() < 0.5  # four harmonics, twelve months
    assert np.abs(highs - normals.high_c).max() < 0.6
    assert generated.rain_mm is not None
    assert normals.rain_mm is not None
    assert normals.rain_days is not None
    amounts = monthly_totals(generated.rain_mm, southern).mean(axis=0)
    wet = (generated.rain_mm >= 1.0).astype(float)
    days = monthly_totals(wet, southern).mean(axis=0)
    assert amounts == pytest.approx(normals.rain_mm, rel=0.2, abs=2)
    assert days == pytest.approx(normals.rain_days, rel=0.1, abs=0.5)
    assert (generated.high_c > generated.low_c).all()


@pytest.mark.parametrize("name", STATIONS)
def test_from_normals_alone_freezes_and_chill_come_near_the_record(
    real_ensemble: Callable[[str], Ensemble], name: str
) -> None:
    """What a record says of freezes and chill, against seasons generated from its normals alone.

    Twelve means know nothing of a station's spread: freezes to 11 days, chill to 8 portions.
    """
    climate = real_ensemble(name)
    _, generated = normals_and_generated(climate)
    truth, modelled = (freeze_odds(e.low_c) for e in (climate, generated))
    assert modelled.mean_first == pytest.approx(truth.mean_first, abs=11)
    assert modelled.mean_last == pytest.approx(truth.mean_last, abs=11)
    portions = [
        mean_winter_portions(e.low_c, e.high_c, e.latitude_deg) for e in (climate, generated)
    ]
    assert portions[1] == pytest.approx(portions[0], abs=8)


@pytest.mark.parametrize("name", STATIONS)
def test_years_differ_as_much_as_in_the_record(
    real_ensemble: Callable[[str], Ensemble], name: str
) -> None:
    """Standard deviation of a month's mean low from year to year, averaged over the months."""
    climate = real_ensemble(name)
    southern = climate.latitude_deg < 0
    _, generated = normals_and_generated(climate)
    truth, modelled = (
        float(monthly_means(e.low_c, southern).std(axis=0).mean()) for e in (climate, generated)
    )
    assert 0.7 < modelled / truth < 1.4


def test_wet_days_come_in_spells() -> None:
    """P(wet after wet) exceeds P(wet after dry) by 0.3, within the .25 to .35 of Richardson."""
    normals = MonthlyNormals(
        np.full(12, 5.0), np.full(12, 15.0), month_lengths(False) * 0.4, np.full(12, 60.0)
    )
    _, _, rain_mm = generated_seasons(normals, southern=False)
    assert rain_mm is not None
    wet = rain_mm > 0
    after_wet = wet[:, 1:][wet[:, :-1]].mean()
    after_dry = wet[:, 1:][~wet[:, :-1]].mean()
    assert wet.mean() == pytest.approx(0.4, abs=0.01)
    assert after_wet - after_dry == pytest.approx(0.3, abs=0.02)


def test_months_without_rain_stay_dry() -> None:
    days = np.array([8, 6, 5, 3, 0, 0, 0, 0, 0, 3, 6, 8.0])
    normals = MonthlyNormals(np.full(12, 10.0), np.full(12, 20.0), days, days * 7)
    _, _, rain_mm = generated_seasons(normals, southern=False)
    assert rain_mm is not None
    assert (monthly_totals(rain_mm, southern=False)[:, 4:9] == 0).all()
