"""Freeze dates and chill turned into seasons, against real records and invented climates."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest

from orchardcal.climate.daily_totals import daily_totals
from orchardcal.climate.ensemble import Ensemble
from orchardcal.climate.frost import freeze_odds
from orchardcal.climate.impossible import ClimateRefused, feasible_portions
from orchardcal.climate.months import monthly_means
from orchardcal.climate.solver import (
    Asking,
    FourNumbers,
    Solved,
    Wave,
    alone,
    answered,
    mean_winter_portions,
    solving,
    solving_with_four,
)
from orchardcal.climate.stages import chill_met, heat_reached

# Latitude, mean first and last freeze (season days), mean portions of six invented climates made
# by a richer process than the generator; near those of a cold continental, a maritime, a
# Mediterranean, a high desert, a humid subtropical and a southern place.
SIX_CLIMATES = {
    "continental": (45.0, 106, 297, 100.0),
    "maritime": (51.0, 134, 284, 145.0),
    "mediterranean": (38.0, 152, 241, 89.0),
    "desert": (40.0, 86, 320, 117.0),
    "subtropical": (32.0, 141, 249, 69.0),
    "southern": (-40.0, 129, 278, 114.0),
}
HEAT_GDH = 3000.0
STATIONS = ("champion", "brussels", "cordoba")


@pytest.mark.parametrize("name", ["subtropical"])
def test_solved_seasons_have_the_numbers_given(name: str) -> None:
    latitude_deg, first, last, portions = SIX_CLIMATES[name]
    solution = alone(solving(latitude_deg, first, last, portions))
    odds = freeze_odds(solution.low_c)
    assert odds.mean_first == pytest.approx(first, abs=2.5)
    assert odds.mean_last == pytest.approx(last, abs=2.5)
    found = mean_winter_portions(solution.low_c, solution.high_c, latitude_deg)
    assert found == pytest.approx(portions, rel=0.015)
    again = alone(solving(latitude_deg, first, last, portions))
    assert np.array_equal(again.low_c, solution.low_c)


def test_a_place_solved_beside_others_is_what_it_is_alone() -> None:
    """To the last bit, whoever else asks and however often; one that cannot be is refused alone."""
    asked = [SIX_CLIMATES[name] for name in ("subtropical", "continental", "southern")]
    beside = answered(
        [solving(*asked[0]), solving(45.0, 200, 100, 80.0), *map(_solving, asked[1:])]
    )
    assert isinstance(beside.pop(1), ClimateRefused)
    for given, found in zip(asked, beside, strict=True):
        assert isinstance(found, Solved)
        by_itself = alone(solving(*given))
        assert np.array_equal(found.low_c, by_itself.low_c)
        assert np.array_equal(found.high_c, by_itself.high_c)
        assert found.chill_portions == by_itself.chill_portions


def _solving(given: tuple[float, int, int, float]) -> Asking[Solved]:
    return solving(*given)


@pytest.mark.slow
@pytest.mark.parametrize("name", SIX_CLIMATES)
def test_every_one_of_six_climates_is_solved(name: str) -> None:
    latitude_deg, first, last, portions = SIX_CLIMATES[name]
    solution = alone(solving(latitude_deg, first, last, portions))
    assert solution.chill_portions == pytest.approx(portions, rel=0.015)
    odds = freeze_odds(solution.low_c)
    assert odds.mean_first == pytest.approx(first, abs=2.5)
    assert odds.mean_last == pytest.approx(last, abs=2.5)
    assert 0.6 < solution.wave.spread < 1.7


@pytest.mark.parametrize(
    ("first", "last", "portions"),
    [(190, 210, 120.0), pytest.param(165, 240, 150.0, marks=pytest.mark.slow)],
)
def test_mild_maritime_winters_are_accepted(first: int, last: int, portions: float) -> None:
    solution = alone(solving(50.0, first, last, portions))
    assert solution.chill_portions == pytest.approx(portions, rel=0.015)


def given_of(climate: Ensemble) -> tuple[int, int, float, FourNumbers]:
    """What a site file would say of a place: whole days, whole portions, tenths of a degree."""
    southern = climate.latitude_deg < 0
    odds = freeze_odds(climate.low_c)
    assert odds.mean_first is not None
    assert odds.mean_last is not None
    portions = mean_winter_portions(climate.low_c, climate.high_c, climate.latitude_deg)
    lows = monthly_means(climate.low_c, southern).mean(axis=0)
    highs = monthly_means(climate.high_c, southern).mean(axis=0)
    cold, hot = int((lows + highs).argmin()), int((lows + highs).argmax())
    four = (lows[cold], highs[cold], lows[hot], highs[hot])
    rounded = tuple(round(float(value), 1) for value in four)
    assert len(rounded) == 4
    return round(odds.mean_first), round(odds.mean_last), float(round(portions)), rounded


def chill_and_bud_days(
    low_c: np.ndarray, high_c: np.ndarray, latitude_deg: float
) -> tuple[float, float]:
    """Median days of 40 portions and of 3000 GDH after them."""
    totals = daily_totals(low_c, high_c, latitude_deg)
    met = chill_met(totals.portions, 40.0)
    buds = heat_reached(totals.gdh_asymcur, met, np.array([HEAT_GDH]))[:, 0]
    return float(np.median(met)), float(np.median(buds))


@pytest.mark.parametrize("name", STATIONS)
def test_four_numbers_bring_real_bud_dates_within_two_weeks(
    real_ensemble: Callable[[str], Ensemble], name: str
) -> None:
    """The record's own dates against those from seven numbers taken from it."""
    climate = real_ensemble(name)
    first, last, portions, four = given_of(climate)
    solution = alone(solving_with_four(climate.latitude_deg, first, last, portions, four))
    truth = chill_and_bud_days(climate.low_c, climate.high_c, climate.latitude_deg)
    found = chill_and_bud_days(solution.low_c, solution.high_c, climate.latitude_deg)
    assert found[0] == pytest.approx(truth[0], abs=10)
    assert found[1] == pytest.approx(truth[1], abs=14)
    assert solution.chill_portions == pytest.approx(portions, rel=0.12)
    assert 0.8 < solution.wave.spread < 1.25


def test_four_numbers_are_those_of_the_seasons() -> None:
    four = (-3.0, 5.0, 14.0, 28.0)
    solution = alone(solving_with_four(42.0, 105, 295, 110.0, four))
    lows, highs = (
        monthly_means(days, southern=False).mean(axis=0)
        for days in (solution.low_c, solution.high_c)
    )
    found = (lows.min(), highs.min(), lows.max(), highs.max())
    assert found == pytest.approx(four, abs=0.6)


def test_numbers_of_two_places_are_refused() -> None:
    with pytest.raises(ClimateRefused, match="not of one place"):
        alone(solving_with_four(45.0, 106, 297, 100.0, (8.0, 18.0, 18.0, 30.0)))


def test_least_and_most_chill_are_what_generated_years_come_to() -> None:
    """The interval's ends are reached by years with its stated swing and range."""
    for range_c, amplitude_c, end in ((6.0, 2.5, 1), (14.0, 18.0, 0)):
        wave = Wave(0.0, 201.0, amplitude_c, range_c, 0.18 * range_c, 1.0)
        low, high = -20.0, 30.0  # the mean low that gives a frost season of 135 days
        for _ in range(12):
            mean = (low + high) / 2
            odds = freeze_odds(Wave(mean, *list(vars(wave).values())[1:]).seasons()[0])
            length = 0 if odds.with_freeze < 150 else (odds.mean_last or 0) - (odds.mean_first or 0)
            low, high = (mean, high) if length > 135 else (low, mean)
        lows, highs = Wave(mean, *list(vars(wave).values())[1:]).seasons()
        found = mean_winter_portions(lows, highs, 40.0)
        leeway = (0.9, 1.1)[end]
        assert feasible_portions(135)[end] == pytest.approx(found * leeway, rel=0.03)
