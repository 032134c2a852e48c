"""Chill and heat of the shipped rules against published ranges and single published pairs."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest

from orchardcal.species.reading_facts import FIRST_BLOOM_SHARE
from orchardcal.species.rules import CHILL, Need, SpeciesRules
from orchardcal.species.sources import NO_SOURCE

TABLE = Path(__file__).resolve().parent.parent / "published" / "chill_heat_needs.csv"
ROWS = list(
    csv.DictReader(
        line for line in TABLE.read_text(encoding="utf-8").splitlines() if line[:1] != "#"
    )
)


@pytest.mark.parametrize("row", ROWS, ids=lambda row: f"{row['species']}-{row['kind']}")
def test_the_shipped_range_holds_the_published_one(
    shipped: dict[str, SpeciesRules], row: dict[str, str]
) -> None:
    rules = shipped[row["species"]]
    ranges = rules.chill if row["kind"] in CHILL else rules.heat
    found = ranges[row["kind"]]
    assert found.low <= float(row["low"])
    assert found.high >= float(row["high"])


@pytest.mark.parametrize(
    ("cultivar", "portions", "gdh"),
    [("boskoop", 59.2, 4430), ("cox", 79.6, 4268)],
)
def test_apple_pairs_published_drepper_2020(
    shipped: dict[str, SpeciesRules], cultivar: str, portions: float, gdh: float
) -> None:
    """Drepper et al. 2020, Agronomy 10:73; counted to the start of flowering."""
    found = shipped["apple"].cultivars[cultivar]
    assert (found.portions, found.printed_gdh) == (portions, gdh)
    assert found.printed_to == "first_bloom"
    assert found.heat_gdh * FIRST_BLOOM_SHARE == pytest.approx(gdh, abs=0.5)


def test_golden_delicious_lies_between_the_digits_seen(shipped: dict[str, SpeciesRules]) -> None:
    """Drepper et al. 2020: 59.8 portions and 4900-4999 (last digits cut off in the copy seen)."""
    found = shipped["apple"].cultivars["golden delicious"]
    assert found.portions == 59.8
    assert 4900 <= found.printed_gdh <= 4999


@pytest.mark.parametrize(
    ("species", "cultivar", "portions"),
    [
        ("sweet_cherry", "sam", 70),
        ("sweet_cherry", "cristobalina", 30),
        ("peach_nectarine", "flordaprince", 8),
        ("peach_nectarine", "redhaven", 75),
        ("peach_nectarine", "fantasia", 42),
        ("almond", "ferragnes", 32),
        ("apricot", "goldrich", 62),
        ("walnut", "payne", 38),
        ("walnut", "hartley", 54),
    ],
)
def test_cultivar_portions_published_pope_uc(
    shipped: dict[str, SpeciesRules], species: str, cultivar: str, portions: float
) -> None:
    """Pope, Univ. of California Fruit & Nut Center, chill portions requirements by cultivar."""
    assert shipped[species].cultivars[cultivar].portions == portions


def test_apple_ends_published_delgado_2021(shipped: dict[str, SpeciesRules]) -> None:
    """Delgado et al. 2021, Eur. J. Agron. 130: 59 portions Granny Smith, 90 Regona."""
    cultivars = shipped["apple"].cultivars
    assert (cultivars["granny smith"].portions, cultivars["regona"].portions) == (59, 90)


def test_a_cultivar_without_its_own_heat_takes_the_early_one_and_says_so(
    shipped: dict[str, SpeciesRules],
) -> None:
    early, sam = shipped["sweet_cherry"].needs["early"], shipped["sweet_cherry"].cultivars["sam"]
    assert sam == Need(
        70, early.heat_gdh, "uc_chill_portions", early.printed_gdh, "full_bloom", NO_SOURCE
    )


def test_early_is_the_careful_side(shipped: dict[str, SpeciesRules]) -> None:
    for rules in shipped.values():
        if rules.deciduous:
            early, typical, late = (rules.needs[which] for which in ("early", "typical", "late"))
            assert early.portions <= typical.portions <= late.portions
            assert early.heat_gdh <= typical.heat_gdh
            assert rules.needs["early"].source


def test_bloom_follows_the_order_of_the_orchard(shipped: dict[str, SpeciesRules]) -> None:
    """Where winter gives chill enough the heats order the bloom.

    Ruml et al. 2021 (Acta Hort. 1322:215): Japanese plum about 9 days before European plum; the
    rest of the order is common practice, no source.
    """
    heat = {key: rules.needs["typical"].heat_gdh for key, rules in shipped.items() if rules.needs}
    assert heat["apricot"] < heat["peach_nectarine"] < heat["apple"]
    assert heat["apricot"] < heat["sweet_cherry"] < heat["apple"]
    assert heat["pear_european"] < heat["apple"] < heat["quince"]
    assert heat["plum_japanese"] < heat["plum_european"] < heat["apple"]
