"""Past seasons judged: where the answer follows from how the seasons were made."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import numpy as np
import pytest

from orchardcal import care as cares
from orchardcal.climate.ensemble import Ensemble
from orchardcal.outputs.hindcast_table import hindcast_tables
from orchardcal.sites.site import SeenStage
from orchardcal.windows.hindcast import (
    AT_REST,
    AVERAGES,
    GUIDE,
    IN_TIME,
    SUITED,
    THIS_PLAN,
    Hindcast,
    hindcast,
)
from tests.invented import CLIMATES, LATITUDES, climate_of, planting, shipped

YEARS = tuple(range(2010, 2022))
EARLY_YEAR = 2015


def alike_seasons() -> Ensemble:
    """Twelve times one and the same season."""
    one = climate_of(CLIMATES["maritime"], LATITUDES["maritime"]).ensemble
    rain_mm = one.rain_mm
    assert rain_mm is not None
    rows = np.zeros(len(YEARS), dtype=int)
    return replace(
        one,
        grade="B",
        low_c=one.low_c[rows],
        high_c=one.high_c[rows],
        rain_mm=rain_mm[rows],
        years=YEARS,
    )


def one_early_spring() -> Ensemble:
    """The same, but in 2015 it is 6 °C warmer from January on."""
    plain = alike_seasons()
    warmer = np.zeros(plain.low_c.shape)
    warmer[YEARS.index(EARLY_YEAR), 184:] = 6.0
    return replace(plain, low_c=plain.low_c + warmer, high_c=plain.high_c + warmer)


def counts(found: Hindcast, care: str, way: str, question: str) -> tuple[int, int]:
    for one in found.verdicts:
        if (one.care, one.way, one.question) == (care, way, question):
            return one.right, one.asked
    raise AssertionError((care, way, question))


@pytest.fixture(scope="module")
def alike() -> Hindcast:
    return hindcast([planting("P-01", "peach_nectarine")], shipped(), alike_seasons())


@pytest.fixture(scope="module")
def one_early() -> Hindcast:
    return hindcast([planting("P-01", "peach_nectarine")], shipped(), one_early_spring())


def test_where_every_season_is_the_same_average_dates_are_right(alike: Hindcast) -> None:
    for question in (AT_REST, IN_TIME):
        assert counts(alike, cares.DORMANT_OIL_SPRAY, AVERAGES, question) == (12, 12)
    lost = {(one.care, one.way): one.median for one in alike.lost}
    assert lost[cares.DORMANT_OIL_SPRAY, AVERAGES] <= 1


def test_where_every_season_is_the_same_answers_are_all_or_none(alike: Hindcast) -> None:
    assert alike.years == YEARS
    assert {one.right for one in alike.verdicts} <= {0, 12}
    assert {one.asked for one in alike.verdicts} == {12}


def test_one_early_spring_is_missed_by_average_dates(one_early: Hindcast) -> None:
    """Its own plan does not know it: the mean of eleven alike seasons comes too late for it,
    while in those eleven the one early season only draws the mean forward."""
    assert counts(one_early, cares.DORMANT_OIL_SPRAY, AVERAGES, IN_TIME) == (11, 12)


def test_a_date_seen_on_the_trees_judges_its_season() -> None:
    """Buds seen on 5 January 2015, long before the model's date, make that season's plan late."""
    seen = SeenStage("first_swelling", date(EARLY_YEAR, 1, 5))
    tree = planting("P-01", "peach_nectarine", seen=(seen,))
    found = hindcast([tree], shipped(), alike_seasons())
    assert found.observed_buds == 1
    assert counts(found, cares.DORMANT_OIL_SPRAY, AVERAGES, IN_TIME) == (11, 12)


def test_alike_trees_are_judged_once_and_counts_are_printed(one_early: Hindcast) -> None:
    trees = [planting(f"P-0{n}", "peach_nectarine") for n in (1, 2)]
    printed = hindcast_tables(hindcast(trees, shipped(), one_early_spring()))
    assert "P-01, P-02" in printed
    assert "11 of 12" in printed
    assert GUIDE in printed
    assert THIS_PLAN in printed
    right, asked = counts(one_early, cares.DORMANT_OIL_SPRAY, THIS_PLAN, SUITED)
    assert f"{right} of {asked}" in printed
