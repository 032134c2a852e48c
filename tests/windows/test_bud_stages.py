"""Bud stages: order, needs, hemispheres, and what observed dates do."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import numpy as np
import pytest

from orchardcal.season import Season
from orchardcal.sites.site import Amount, SeenStage
from orchardcal.windows.site_climate import SiteClimate
from orchardcal.windows.stages import SOLSTICE, error_days, needs_of, stage_days
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


YEARS = tuple(range(2000, 2020))


def as_observed() -> SiteClimate:
    """Twenty modelled seasons, as if they had been observed."""
    made = climate_of(MARITIME, 51.0).ensemble
    observed = replace(
        made, grade="A", low_c=made.low_c[:20], high_c=made.high_c[:20], years=YEARS, rain_mm=None
    )
    return SiteClimate(observed)


@pytest.mark.parametrize("species", ["peach_nectarine", "apple", "walnut"])
def test_a_tree_that_is_always_a_week_late_is_foretold_most_of_a_week_later(species: str) -> None:
    """Each date is held against its own season, so a steady week shows whatever the spring was;
    the rest is what the scale is drawn toward 1."""
    climate, rules = as_observed(), shipped()[species]

    def days(seen: tuple[SeenStage, ...] = ()) -> dict[str, np.ndarray]:
        tree = planting("p", species, seen=seen)
        return stage_days(tree, rules, climate, "typical", harvest_year=2020).days

    plain = days()
    stage = rules.stages[-2].key

    def seen(later: int) -> tuple[SeenStage, ...]:
        dates = zip(YEARS, plain[stage], strict=True)
        return tuple(
            SeenStage(stage, Season(year, southern=False).day(int(day) + later))
            for year, day in dates
            if np.isfinite(day)
        )

    unchanged = np.median(days(seen(0))[stage] - plain[stage])
    assert abs(unchanged) <= 1
    moved = days(seen(7))
    later = np.median(moved[stage] - plain[stage])
    assert 3 <= later <= 7
    first = rules.stages[0].key
    assert 0 <= np.median(moved[first] - plain[first]) <= later


def test_a_calibrated_species_goes_by_its_model_unless_the_tree_has_a_need() -> None:
    rules = shipped()["peach_nectarine"]
    assert needs_of(planting("p", "peach_nectarine"), rules, "early").heat.model == "daylight"
    own = planting("p", "peach_nectarine", chill_need=Amount(45, "portions"))
    assert needs_of(own, rules, "early").heat.model == "asymcur"


def test_a_stage_seen_now_leads_the_later_ones() -> None:
    climate, rules = climate_of(MARITIME, 51.0), shipped()["apple"]
    plain = stage_days(planting("a", "apple"), rules, climate, "typical").days
    day = int(np.median(plain["silver_tip"])) - 20
    found = stage_days(planting("a", "apple"), rules, climate, "typical", ("silver_tip", day)).days
    assert (found["silver_tip"] == day).all()
    assert (found["green_tip"] >= day).all()
    assert np.median(found["full_bloom"]) < np.median(plain["full_bloom"])
    order = [np.median(found[stage.key]) for stage in rules.stages]
    assert order == sorted(order)


def test_the_error_is_smaller_at_bloom_and_with_dates_seen() -> None:
    climate, rules = climate_of(MARITIME, 51.0), shipped()["apple"]
    bud, bloom = rules.stages[0], rules.stage("full_bloom")
    assert bloom is not None
    seen = planting("a", "apple", seen=(SeenStage("full_bloom", date(2026, 5, 1)),))
    errors = [
        error_days(tree, stage, climate)
        for tree in (planting("a", "apple"), seen)
        for stage in (bud, bloom)
    ]
    assert errors == [6.5, 4.0, 5.0, 3.0]
