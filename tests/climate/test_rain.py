"""Dry summers and the month the rains come back, at places of known climate."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest

from orchardcal.climate.ensemble import Ensemble
from orchardcal.climate.months import month_of_season_day, monthly_totals
from orchardcal.climate.rain import first_season_day_of, first_wet_month, has_dry_summer
from orchardcal.season import Season

# Peel, Finlayson & McMahon (2007), world map of Köppen-Geiger classes.
KOEPPEN = {"seattle": "Csb", "brussels": "Cfb", "champion": "BSk", "cordoba": "Cwa"}


@pytest.mark.parametrize("name", KOEPPEN)
def test_dry_summers_as_mapped(real_ensemble: Callable[[str], Ensemble], name: str) -> None:
    climate = real_ensemble(name)
    assert climate.rain_mm is not None
    southern = climate.latitude_deg < 0
    assert has_dry_summer(climate.rain_mm, southern) == (KOEPPEN[name][1] == "s")


def test_rains_come_back_to_seattle_in_autumn(real_ensemble: Callable[[str], Ensemble]) -> None:
    climate = real_ensemble("seattle")
    assert climate.rain_mm is not None
    assert first_wet_month(climate.rain_mm, southern=False) in (9, 10)


def test_a_dry_summer_is_dry_in_the_other_half_too(
    real_ensemble: Callable[[str], Ensemble],
) -> None:
    """The same days half a year later: season days keep their rain, months shift by six."""
    rain_mm = real_ensemble("seattle").rain_mm
    assert rain_mm is not None
    north, south = (first_wet_month(rain_mm, southern) for southern in (False, True))
    assert north is not None
    assert south == (north + 5) % 12 + 1


def test_wet_summers_have_no_first_wet_month(real_ensemble: Callable[[str], Ensemble]) -> None:
    rain_mm = real_ensemble("brussels").rain_mm
    assert rain_mm is not None
    assert first_wet_month(rain_mm, southern=False) is None


@pytest.mark.parametrize("southern", [False, True])
def test_months_of_season_days(southern: bool) -> None:
    season = Season(2031, southern)
    months = month_of_season_day(southern)
    assert [season.day(day).month - 1 for day in range(365)] == months.tolist()
    totals = monthly_totals(np.ones((1, 365)), southern)[0]
    assert totals.tolist() == [31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31]
    day = season.day(first_season_day_of(9, southern))
    assert (day.month, day.day) == (9, 1)
