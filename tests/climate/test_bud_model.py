"""Buds by chill and daylight heat: the curve, day length, chill overlap; places growers know."""

from __future__ import annotations

import csv
import gzip
from datetime import date
from pathlib import Path

import numpy as np
import pytest
from astral import LocationInfo
from astral.sun import daylight
from hypothesis import given, settings
from hypothesis import strategies as st

from orchardcal.climate.bud_model import SOLSTICE, BudModel, daylight_heat, heat_so_far
from orchardcal.climate.daily_totals import daily_totals
from orchardcal.climate.record import seasons_of_record
from orchardcal.season import DAYS, Season
from tests.hindcast_study.bud_days import bud_days, days_before_bloom, observed_ratios

REAL = Path(__file__).resolve().parent.parent / "real"
PEACH = BudModel(chill_from=35.0, heat_need=450.0)
PEAR = BudModel(chill_from=55.0, heat_need=405.0)
WHOLE = np.ones(1)


def steady(air_c: float) -> np.ndarray:
    return np.full((1, DAYS), air_c)


@pytest.mark.parametrize("apart_c", [0.0, 3.0, 10.0])
@pytest.mark.parametrize("latitude_deg", [-31.4, 36.5, 50.8])
def test_warm_and_cold_of_one_distance_add_up_to_full_days(
    apart_c: float, latitude_deg: float
) -> None:
    """A logistic curve is point-symmetric about its middle, 15 °C, so two steady days as far above
    and below it add up to 24 h, times the square of day length over 12 h; day length by astral."""
    heat = sum(
        daylight_heat(steady(15 + sign * apart_c), steady(15 + sign * apart_c), latitude_deg)
        for sign in (-1, 1)
    )
    place = LocationInfo("", "", "UTC", latitude_deg, 0.0)
    season = Season(2027, latitude_deg < 0)
    for season_day in (20, 173, 250, 300):
        begin, end = daylight(place.observer, season.day(season_day))
        hours = (end - begin).total_seconds() / 3600 % 24
        assert heat[0, season_day] == pytest.approx(24 * (hours / 12) ** 2, rel=0.01)


def test_no_heat_counts_before_the_solstice_or_without_chill() -> None:
    daily = np.full((2, DAYS), 10.0)
    portions = np.vstack([np.full(DAYS, 1.0), np.full(DAYS, 0.1)])  # met on day 34; barely ever
    heat = heat_so_far(daily, portions, BudModel(35.0, 100.0, chill_fall=0.0))
    assert heat[0, SOLSTICE - 1] == 0
    assert heat[0, SOLSTICE] == 10.0
    assert heat[1, 348] == 0
    assert np.isinf(bud_days(heat, BudModel(35.0, 1000.0), WHOLE)[1, 0])


def test_fifty_portions_more_make_heat_worth_e_to_the_fall() -> None:
    daily = np.full((1, DAYS), 1.0)
    portions = np.zeros((1, DAYS))
    portions[0, 100], portions[0, 200] = 40.0, 50.0
    heat = heat_so_far(daily, portions, BudModel(40.0, 1.0, chill_fall=0.15))
    assert heat[0, 199] == pytest.approx(199 - SOLSTICE + 1)
    assert heat[0, 200] == pytest.approx((200 - SOLSTICE + 1) * np.exp(0.15))


@settings(max_examples=25, deadline=None)
@given(st.integers(0, 2**31), st.floats(0.2, 3.0))
def test_more_heat_need_never_brings_buds_forward(seed: int, scale: float) -> None:
    random = np.random.default_rng(seed)
    heat = np.cumsum(random.random((3, DAYS)) * 8, axis=1)
    days = bud_days(heat, PEACH, WHOLE)
    later = bud_days(heat, PEACH, WHOLE, scale)
    assert (later >= days).all() if scale >= 1 else (later <= days).all()


def test_a_tree_on_its_model_has_a_ratio_near_one() -> None:
    heat = np.cumsum(np.full((1, DAYS), 5.0), axis=1)
    day = bud_days(heat, PEACH, WHOLE)[:, 0]
    ratio = observed_ratios(heat, day, PEACH, 1.0)
    assert ratio[0] == pytest.approx(1.0, abs=5.0 / 450)


def test_shares_of_steady_heat_are_shares_of_the_days_to_bloom() -> None:
    """Twenty equal days of heat, 240 to 259: a half is there on the tenth, all on the last."""
    steady_heat = np.full((2, DAYS), 3.0)
    days = days_before_bloom(
        steady_heat, np.array([240.0, 240.0]), np.array([259.0, np.inf]), np.array([0.5, 1.0, 1.2])
    )
    assert days[0].tolist() == [249.0, 259.0, 263.0]
    assert np.isinf(days[1]).all()


@pytest.fixture(scope="module")
def middle_days() -> dict[tuple[str, str], date]:
    """Median days of peach and pear by place, real records."""
    found = {}
    for name, latitude_deg in (("brussels", 50.8), ("champion", 40.4), ("cordoba", -31.4)):
        with gzip.open(REAL / f"{name}.csv.gz", "rt", encoding="utf-8") as lines:
            rows = list(csv.DictReader(lines))
        low, high = (
            np.array([float(row[key] or "nan") for row in rows]) for key in ("low_c", "high_c")
        )
        southern = latitude_deg < 0
        first_day = date.fromisoformat(rows[0]["day"])
        seasons = seasons_of_record(first_day, low, high, None, southern)
        portions = daily_totals(seasons.low_c, seasons.high_c, latitude_deg).portions
        daily = daylight_heat(seasons.low_c, seasons.high_c, latitude_deg)
        for species, model in (("peach", PEACH), ("pear", PEAR)):
            heat = heat_so_far(daily, portions, model)
            for stage, share in (("bud burst", 0.49), ("full bloom", 1.0)):
                day = np.median(bud_days(heat, model, np.array([share])))
                if np.isfinite(day):
                    found[name, f"{species} {stage}"] = Season(2027, southern).day(int(day))
    return found


def test_pears_flower_in_mid_april_near_brussels(
    middle_days: dict[tuple[str, str], date],
) -> None:
    """From memory: Belgian pears (Conference) are in full bloom from about 8 to 22 April; the
    parameters come from Korea."""
    assert date(2027, 4, 8) <= middle_days["brussels", "pear full bloom"] <= date(2027, 4, 22)


def test_warm_january_afternoons_move_no_buds_in_nebraska(
    middle_days: dict[tuple[str, str], date],
) -> None:
    """From memory: peaches on the high plains break bud in the last third of March or in April."""
    assert date(2027, 3, 20) <= middle_days["champion", "peach bud burst"] <= date(2027, 4, 15)


def test_peaches_flower_in_late_winter_at_cordoba(
    middle_days: dict[tuple[str, str], date],
) -> None:
    """From memory: peaches flower in August and September in central Argentina."""
    assert date(2027, 8, 15) <= middle_days["cordoba", "peach full bloom"] <= date(2027, 9, 25)
