"""Pruning, canker, oil and paint rules against the guides they are taken from."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest

from orchardcal.care import TITLES
from orchardcal.species.rules import Anchor, CareRule, SpeciesRules

TABLE = Path(__file__).resolve().parent.parent / "published" / "guides_for_care.csv"
ROWS = list(
    csv.DictReader(
        line for line in TABLE.read_text(encoding="utf-8").splitlines() if line[:1] != "#"
    )
)
CANKER_PRONE = ("apricot", "sweet_cherry", "pluot")
EVERGREEN = ("citrus", "olive", "loquat")


def rule_of(shipped: dict[str, SpeciesRules], species: str, care: str) -> CareRule:
    rule = shipped[species].care(care)
    assert rule is not None
    return rule


@pytest.mark.parametrize("row", ROWS, ids=lambda row: f"{row['species']}-{row['field']}")
def test_day_conditions_keep_to_the_named_guide(
    shipped: dict[str, SpeciesRules], row: dict[str, str]
) -> None:
    shipped_value = getattr(rule_of(shipped, row["species"], row["care"]).day, row["field"])
    value = float(row["value"])
    compared = {"is": shipped_value == value, "at_most": shipped_value <= value}
    assert compared.get(row["compare"], shipped_value >= value)


@pytest.mark.parametrize("species", CANKER_PRONE)
def test_canker_prone_stone_fruit_is_cut_in_a_dry_summer_spell(
    shipped: dict[str, SpeciesRules], species: str
) -> None:
    """UCCE Butte, Contra Costa and UC Visalia: six weeks before rain, not after 15 September.

    Not before July: UCCE Butte for apricot (July, August), Penn State for cherry (early July).
    """
    assert rule_of(shipped, species, "dormant_pruning").never
    summer = rule_of(shipped, species, "in_leaf_pruning")
    harvest, july = summer.opens
    assert (harvest.at, july.at, july.month, july.day) == ("harvest_end", "month_day", 7, 1)
    by_anchor = {one.at: one for one in summer.closes}
    assert by_anchor["first_wet_month"].offset_days <= -42
    assert by_anchor["first_wet_month"].climate == "dry_summer"
    assert (by_anchor["month_day"].month, by_anchor["month_day"].day) == (9, 15)
    assert by_anchor["first_freeze"].offset_days == -60
    assert by_anchor["first_freeze"].climate == "wet_summer"
    assert dict(summer.day_by_climate)["wet_summer"].dry_days_after == 7
    assert dict(summer.day_by_climate)["wet_summer"].high_max_c == 37.8


def test_peach_waits_for_february(shipped: dict[str, SpeciesRules]) -> None:
    """Marini, Virginia Cooperative Extension 422-020: not before February."""
    opens = rule_of(shipped, "peach_nectarine", "dormant_pruning").opens
    assert any((one.at, one.month, one.day) == ("month_day", 2, 1) for one in opens)


def test_oil_ends_before_the_stage_each_guide_names(shipped: dict[str, SpeciesRules]) -> None:
    """West Virginia column: apple half-inch green, stone fruit dormant only; Balek 2015: quince."""
    last = {
        "apple": "half_inch_green",
        "peach_nectarine": "first_swelling",
        "apricot": "first_swelling",
        "sweet_cherry": "first_swelling",
        "sour_cherry": "swollen_bud",
        "plum_european": "first_swelling",
        "quince": "scales_separating",
        "blueberry": "bud_swell",
    }
    for species, stage in last.items():
        (end,) = rule_of(shipped, species, "dormant_oil_spray").closes
        assert end.at == stage
        assert end.offset_days <= -3
        assert end.share == 0.9


@pytest.mark.parametrize("species", ["walnut", "citrus"])
def test_no_dormant_oil_published_uc_ipm(shipped: dict[str, SpeciesRules], species: str) -> None:
    """UC IPM 2017, dormant treatments: it damages walnut, and citrus has no dormancy."""
    assert "UC IPM" in rule_of(shipped, species, "dormant_oil_spray").never
    assert shipped[species].care("oil_scouting") is None


def test_oil_only_after_scouting_pruning_and_dry_paint(shipped: dict[str, SpeciesRules]) -> None:
    """California Education Code 17608-17614 asks for the least toxic way first."""
    for rules in shipped.values():
        oil = rules.care("dormant_oil_spray")
        if oil is None or oil.never:
            continue
        gaps = {after.care: after.gap_days for after in oil.follows}
        assert oil.only_if_pests
        assert gaps == {"oil_scouting": 0, "dormant_pruning": 1, "whitewash_painting": 2}
        scouting = rules.care("oil_scouting")
        assert scouting is not None
        assert [end.offset_days + 14 for end in scouting.closes] == [
            end.offset_days for end in oil.closes
        ]
        assert oil.opens == (
            Anchor("dormancy", 28, source="kent_2008 + common practice, no source"),
        )


def test_paint_follows_every_pruning_and_keeps_to_young_bark(
    shipped: dict[str, SpeciesRules],
) -> None:
    """UC IPM 2017: young trees each year; UCCE Sonoma: the same day as a summer pruning."""
    paint = rule_of(shipped, "apple", "whitewash_painting")
    assert paint.last_age == 5
    assert {f.care: f.within_days for f in paint.follows} == {
        "dormant_pruning": 14,
        "in_leaf_pruning": 2,
    }
    sunburned = [key for key, rules in shipped.items() if rules.sunburn_risk == "high"]
    assert "sweet_cherry" in sunburned
    assert all(rule_of(shipped, key, "whitewash_painting").last_age is None for key in sunburned)
    assert {one.climate for one in paint.opens} == {"cold_winter", "mild_winter"}


@pytest.mark.parametrize("species", EVERGREEN)
def test_evergreens_are_cut_in_leaf_and_get_no_dormancy_check(
    shipped: dict[str, SpeciesRules], species: str
) -> None:
    """UC IPM 2017 (citrus), UC Master Gardeners Fresno 2018 (olive), UF HS5 (loquat)."""
    rules = shipped[species]
    assert rules.leaf == "evergreen"
    assert rules.care("dormancy_check") is None
    assert rules.care("dormant_pruning") is None
    assert not rule_of(shipped, species, "in_leaf_pruning").never


def test_citrus_is_cut_after_frost_and_fruit_set(shipped: dict[str, SpeciesRules]) -> None:
    """UC IPM 2017: just after fruit set; NCDC: the safe spring date is the 10 percent one."""
    opens = rule_of(shipped, "citrus", "in_leaf_pruning").opens
    assert opens[0].at == "last_freeze"
    assert opens[0].share == 0.9


def test_every_deciduous_species_is_checked_and_dormant_cuts_open_with_it(
    shipped: dict[str, SpeciesRules],
) -> None:
    """The trade: no large cut before dormancy, so each opening holds the field check."""
    for rules in shipped.values():
        if not rules.deciduous:
            continue
        assert rules.care("dormancy_check") is not None
        pruning = rules.care("dormant_pruning")
        assert pruning is not None
        if not pruning.never:
            assert "dormancy" in [one.at for one in pruning.opens]
            assert pruning.closes


def test_spur_keepers_head_beyond_the_lowest_spur(shipped: dict[str, SpeciesRules]) -> None:
    """The trade names apple, pear and fig; cuts about 12 in (30 cm) beyond the lowest spur kept."""
    for key in ("apple", "pear_european", "fig"):
        assert shipped[key].keeps_spurs
        (spurs,) = [step for step in shipped[key].steps if step.id == "spurs"]
        assert "30 cm (12 inches) beyond the lowest spur" in spurs.text
    assert not [step for step in shipped["peach_nectarine"].steps if step.id == "spurs"]


def test_shares_begin_with_structure(shipped: dict[str, SpeciesRules]) -> None:
    """The trade: 90 to 10 in the first year, half and half by the second or third."""
    first, second = shipped["apple"].shares[:2]
    assert (first.structure, first.fruiting) == (90, 10)
    assert (second.from_age, second.structure, second.fruiting) == (2, 50, 50)


def test_every_planned_care_has_steps_and_every_species_cautions(
    shipped: dict[str, SpeciesRules],
) -> None:
    for key, rules in shipped.items():
        assert len(rules.cautions) >= 7, key
        told = {step.care for step in rules.steps}
        assert {rule.care for rule in rules.cares if not rule.never} <= told, key
        assert all("{" not in step.text for step in rules.steps), key
        assert all(rule.care in TITLES for rule in rules.cares)
