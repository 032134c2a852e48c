"""Bud stages: order, needs, hemispheres, and what observed dates do."""

from __future__ import annotations

from datetime import date

import numpy as np
import pytest

from orchardcal.sites.site import Amount, SeenStage
from orchardcal.windows.stages import SOLSTICE, needs_of, stage_days
from tests.invented import LATITUDES, MARITIME, SUMMER_DRY, climate_of, mirrored, planting, shipped


@pytest.mark.parametrize("species", ["apple", "peach_nectarine", "sweet_cherry", "walnut", "grape"])
def test_stages_come_in_order_and_a_greater_need_comes_later(species: str) -> None:
    climate = climate_of(MARITIME, LATITUDES["maritime"])
    rules = shipped()[species]
    middles = {}
    for which in ("early", "typical", "late"):
        found = stage_days(planting("a", species), rules, climate, which)
        by_stage = [np.median(found.days[stage.key]) for stage in rules.stages]
        assert by_stage == sorted(by_stage)
        middles[which] = by_stage[0]
    assert middles["early"] <= middles["typical"] <= middles["late"]


def test_south_of_the_equator_the_same_climate_gives_the_same_season_days() -> None:
    """Season days begin at midsummer in both hemispheres; day lengths differ by minutes."""
    rules = shipped()["apple"]
    north = stage_days(planting("a", "apple"), rules, climate_of(MARITIME, 51.0), "typical")
    south = stage_days(
        planting("a", "apple"), rules, climate_of(mirrored(MARITIME), -51.0), "typical"
    )
    gap = np.median(north.days["full_bloom"]) - np.median(south.days["full_bloom"])
    assert abs(gap) <= 3


def test_heat_does_not_count_before_the_winter_solstice() -> None:
    """Degree-day models of leafing begin at New Year or later (Ruml 2021, from 1 January)."""
    climate = climate_of(SUMMER_DRY, 38.0)
    found = stage_days(planting("a", "fig"), shipped()["fig"], climate, "early")
    assert np.median(found.chill_met) < SOLSTICE
    assert found.days[shipped()["fig"].stages[0].key].min() >= SOLSTICE


def test_a_need_that_is_never_met_gives_no_date() -> None:
    climate = climate_of(SUMMER_DRY, 38.0)
    tree = planting("a", "apple", chill_need=Amount(300, "portions"))
    found = stage_days(tree, shipped()["apple"], climate, "typical")
    assert np.isinf(found.chill_met).all()
    assert np.isinf(found.days["full_bloom"]).all()


def test_observed_dates_draw_the_model_toward_them_the_more_the_more_there_are() -> None:
    climate = climate_of(MARITIME, 51.0)
    rules = shipped()["apple"]
    plain = np.median(
        stage_days(planting("a", "apple"), rules, climate, "typical").days["full_bloom"]
    )
    late = climate.season.day(int(plain) + 14)
    seen = [SeenStage("full_bloom", late.replace(year=year)) for year in range(2015, 2027)]

    def bloom(count: int) -> float:
        tree = planting("a", "apple", seen=tuple(seen[:count]))
        return float(np.median(stage_days(tree, rules, climate, "typical").days["full_bloom"]))

    assert plain < bloom(1) < bloom(3) < bloom(12)
    assert bloom(12) > plain + 8


def test_named_cultivars_and_own_needs_come_before_the_species() -> None:
    rules = shipped()["apple"]
    assert needs_of(planting("a", "apple", cultivar="Anna"), rules, "typical").chill.amount == 20
    own = planting("a", "apple", cultivar="Anna", chill_need=Amount(450, "utah"))
    assert needs_of(own, rules, "typical").chill == Amount(450, "utah")
    assert needs_of(own, rules, "typical").source == "trees.csv"


def test_another_chill_model_is_counted_in_its_own_units() -> None:
    climate = climate_of(MARITIME, 51.0)
    tree = planting("a", "apple", chill_need=Amount(1000, "hours_0_72"))
    met = stage_days(tree, shipped()["apple"], climate, "typical").chill_met
    running = np.cumsum(climate.daily("hours_0_72"), axis=1)
    for member in range(0, climate.members, 30):
        day = int(met[member])
        assert running[member, day] >= 1000 > running[member, day - 1]


def test_the_day_of_an_observation_in_the_season_in_progress_is_read_as_one() -> None:
    climate = climate_of(MARITIME, 51.0)
    tree = planting("a", "apple", seen=(SeenStage("full_bloom", date(2027, 5, 20)),))
    plain = stage_days(planting("a", "apple"), shipped()["apple"], climate, "typical")
    moved = stage_days(tree, shipped()["apple"], climate, "typical")
    assert np.median(moved.days["full_bloom"]) > np.median(plain.days["full_bloom"])
