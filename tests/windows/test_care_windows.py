"""Windows against what the trade's guides say; the guides are named beside each check."""

from __future__ import annotations

from datetime import date, timedelta

import numpy as np
import pytest

from orchardcal import care as cares
from orchardcal.climate.frost import freeze_odds
from orchardcal.outputs.speech import Speech
from orchardcal.season import Season
from orchardcal.windows.anchors import Asked
from orchardcal.windows.care_windows import care_window
from orchardcal.windows.window import Window
from tests.invented import CLIMATES, LATITUDES, climate_of, mirrored, planting, shipped

NORTH = Season(2027, southern=False)


def window(
    species: str, care: str, climate: str, *, southern: bool = False, **more: object
) -> Window:
    normals, latitude_deg = CLIMATES[climate], LATITUDES[climate]
    if southern:
        normals, latitude_deg = mirrored(normals), -latitude_deg
    rules = shipped()[species]
    rule = rules.care(care)
    assert rule is not None
    tree = planting("t", species, **more)  # type: ignore[arg-type]
    season = Season(2027, southern)
    return care_window(rule, Asked(tree, rules, climate_of(normals, latitude_deg), season))


def words(found: Window) -> str:
    speech = Speech()
    told = [*found.why, *(one for one in (found.opens_why, found.closes_why) if one)]
    return " ".join(speech.sentence(one) for one in told)


@pytest.mark.parametrize("species", ["apricot", "sweet_cherry", "pluot"])
@pytest.mark.parametrize("climate", ["dry", "maritime", "continental"])
def test_canker_prone_stone_fruit_is_not_pruned_in_winter(species: str, climate: str) -> None:
    """UCCE Contra Costa, Rutgers: apricot, sweet cherry, pluot after harvest, never dormant."""
    assert window(species, cares.DORMANT_PRUNING, climate).span is None


def test_apricot_is_finished_six_weeks_before_the_rains_return() -> None:
    """UC Visalia: at least 6 weeks before rain, and not after 15 September."""
    found = window("apricot", cares.IN_LEAF_PRUNING, "dry")
    rains = climate_of(CLIMATES["dry"], LATITUDES["dry"]).rains_return
    assert found.span is not None
    assert rains is not None
    assert found.span.last <= NORTH.day(rains) - timedelta(days=42)
    assert found.span.last <= date(2026, 9, 15)


def test_citrus_waits_for_the_last_freeze_of_nine_years_in_ten() -> None:
    """Freeze dates as in the US climate normals: the 10 % spring date is the safe, late one."""
    found = window("citrus", cares.IN_LEAF_PRUNING, "dry")
    climate = climate_of(CLIMATES["dry"], LATITUDES["dry"])
    safe = freeze_odds(climate.ensemble.low_c, 0.0).last[0.1]
    assert found.span is not None
    assert safe is not None
    assert found.span.first >= NORTH.day(int(safe))
    assert found.span.last.month <= 7


def test_citrus_in_a_frost_free_place_is_pruned_in_spring_all_the_same() -> None:
    """UC IPM: citrus just after fruit set, in spring; no frost to wait for here."""
    found = window("citrus", cares.IN_LEAF_PRUNING, "frost free")
    assert found.span is not None
    assert 3 <= found.span.first.month <= 5


@pytest.mark.parametrize("species", ["walnut", "citrus", "olive", "loquat"])
def test_no_dormant_oil_where_it_harms(species: str) -> None:
    """UC IPM: dormant oil damages walnut; citrus has no dormancy to spray in."""
    found = window(species, cares.DORMANT_OIL_SPRAY, "dry")
    assert found.span is None
    assert words(found)


def test_evergreens_get_no_dormancy_check() -> None:
    for species in ("citrus", "olive", "loquat"):
        assert shipped()[species].care(cares.DORMANCY_CHECK) is None


@pytest.mark.parametrize("climate", ["maritime", "continental"])
def test_apple_pruning_ends_before_one_season_in_ten_has_passed_silver_tip_by_a_week(
    climate: str,
) -> None:
    """Utah State and Rutgers: late dormant, done as the buds begin to move."""
    found = window("apple", cares.DORMANT_PRUNING, climate)
    asked = Asked(
        planting("t", "apple"),
        shipped()["apple"],
        climate_of(CLIMATES[climate], LATITUDES[climate]),
        NORTH,
    )
    silver = asked.stages("early").days["silver_tip"]
    assert found.span is not None
    last = NORTH.season_day(found.span.last)
    assert (silver + 7 < last).mean() <= 0.1 + 1e-9


def test_cold_winters_wait_for_the_coldest_fortnight_and_mild_ones_do_not() -> None:
    """Cornell (Miranda Sazo): cuts before deep cold lose hardiness for 10 to 14 days."""
    cold = window("apple", cares.DORMANT_PRUNING, "continental")
    mild = window("apple", cares.DORMANT_PRUNING, "maritime")
    assert cold.span is not None
    assert mild.span is not None
    assert cold.span.first >= date(2027, 1, 10)
    assert mild.span.first <= date(2026, 12, 31)


def test_a_need_never_met_is_said_aloud_and_work_keeps_to_the_coldest_weeks() -> None:
    found = window("apple", cares.DORMANT_PRUNING, "frost free")
    assert found.span is not None
    assert "0 of 150 modelled seasons" in words(found)
    assert found.span.last <= date(2027, 3, 31)


def test_unknown_rain_is_said_where_dry_days_are_asked_for() -> None:
    assert "Temperature only" in words(window("apple", cares.DORMANT_OIL_SPRAY, "continental"))
    assert "Temperature only" not in words(window("apple", cares.DORMANT_OIL_SPRAY, "maritime"))


def test_oil_ends_before_its_last_stage_and_its_days_are_warm_enough() -> None:
    """K-State (Upham), WSU Hortsense: oil at 4.4 to 29 °C; WVU: stone fruit while dormant."""
    climate = climate_of(CLIMATES["maritime"], LATITUDES["maritime"])
    for species, stage in (("apple", "half_inch_green"), ("peach_nectarine", "first_swelling")):
        found = window(species, cares.DORMANT_OIL_SPRAY, "maritime")
        asked = Asked(planting("t", species), shipped()[species], climate, NORTH)
        days = asked.stages("early").days[stage]
        assert found.span is not None
        assert (days < NORTH.season_day(found.span.last)).mean() <= 0.1 + 1e-9
        conditions = found.rule.day
        assert conditions.high_min_c == pytest.approx(4.4)
        assert conditions.high_max_c is not None
        assert conditions.high_max_c <= 29.5


def test_the_same_climate_in_the_south_gives_the_window_half_a_year_later() -> None:
    north = window("apple", cares.DORMANT_PRUNING, "maritime")
    south = window("apple", cares.DORMANT_PRUNING, "maritime", southern=True)
    assert north.span is not None
    assert south.span is not None
    halfway = timedelta(days=181)
    assert abs((south.span.last - north.span.last - halfway).days) <= 5


def test_a_ticked_dormancy_opens_the_window_and_says_so() -> None:
    rules = shipped()["pear_european"]
    rule = rules.care(cares.DORMANT_PRUNING)
    assert rule is not None
    climate = climate_of(CLIMATES["maritime"], LATITUDES["maritime"])
    ticked = NORTH.season_day(date(2026, 12, 20))
    found = care_window(rule, Asked(planting("t", "pear_european"), rules, climate, NORTH, ticked))
    assert found.span is not None
    assert found.span.first >= date(2026, 12, 20)
    assert "The field check said dormant on Sun 20 Dec 2026." in words(found)


def test_odds_are_shares_and_cover_the_span() -> None:
    found = window("apple", cares.DORMANT_OIL_SPRAY, "maritime")
    assert found.span is not None
    assert found.day_odds is not None
    assert (
        len(found.day_odds)
        == NORTH.season_day(found.span.last) - NORTH.season_day(found.span.first) + 1
    )
    assert all(0 <= share <= 1 for share in found.day_odds)
    assert np.std(found.day_odds) > 0


def test_young_trees_bear_less_frost_after_a_cut_than_grown_ones() -> None:
    """Trade default: no cut before a low under -7 °C on young trees, -12 °C on older ones."""
    young = window("apple", cares.DORMANT_PRUNING, "maritime", planted_year=2026)
    grown = window("apple", cares.DORMANT_PRUNING, "maritime", planted_year=2010)
    assert young.day_odds is not None
    assert grown.day_odds is not None
    assert np.mean(young.day_odds) < np.mean(grown.day_odds)
