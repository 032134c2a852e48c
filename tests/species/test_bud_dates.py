"""The needs on real winters: bloom in the order and the weeks that growers of the place know."""

from __future__ import annotations

import csv
import gzip
from datetime import date
from pathlib import Path

import numpy as np
import pytest

from orchardcal.climate.daily_totals import daily_totals
from orchardcal.climate.stages import chill_met, heat_reached
from orchardcal.season import DAYS, Season
from orchardcal.species.rules import SpeciesRules

REAL = Path(__file__).resolve().parent.parent / "real"
MIDWINTER = Season(2027, southern=False).season_day(date(2027, 1, 1))


@pytest.fixture(scope="module")
def brussels_bloom(shipped: dict[str, SpeciesRules]) -> dict[str, date]:
    """Median full bloom (figs: leaves out) by species, Brussels 1977-2005, typical needs."""
    with gzip.open(REAL / "brussels.csv.gz", "rt", encoding="utf-8") as lines:
        rows = {row["day"]: row for row in csv.DictReader(lines)}
    seasons = [Season(year, southern=False) for year in range(1977, 2006)]
    days = [[season.day(day).isoformat() for day in range(DAYS)] for season in seasons]
    low_c = np.array([[float(rows[day]["low_c"]) for day in season] for season in days])
    high_c = np.array([[float(rows[day]["high_c"]) for day in season] for season in days])
    totals = daily_totals(low_c, high_c, 50.8)
    bloom = {}
    for key, rules in shipped.items():
        if rules.needs:
            need = rules.needs["typical"]
            start = np.maximum(chill_met(totals.portions, need.portions), MIDWINTER)
            reached = heat_reached(totals.gdh_asymcur, start, np.array([need.heat_gdh]))
            bloom[key] = Season(2027, southern=False).day(int(np.median(reached[:, 0])))
    return bloom


def test_apple_flowers_in_the_last_weeks_of_april(brussels_bloom: dict[str, date]) -> None:
    """From memory: Belgian apples are in full bloom from the second half of April to early May."""
    assert date(2027, 4, 18) <= brussels_bloom["apple"] <= date(2027, 5, 5)


def test_species_flower_in_the_order_of_the_orchard(brussels_bloom: dict[str, date]) -> None:
    """Ruml et al. 2021 (Japanese before European plum, 9 days); the rest is common practice."""
    order = ["plum_japanese", "apricot", "sweet_cherry", "pear_european", "apple", "quince"]
    order += ["persimmon", "walnut", "pomegranate"]
    days = [brussels_bloom[key] for key in order]
    assert days == sorted(days)
    gap = brussels_bloom["plum_european"] - brussels_bloom["plum_japanese"]
    assert 5 <= gap.days <= 14


def test_no_bud_moves_before_winter(brussels_bloom: dict[str, date]) -> None:
    assert min(brussels_bloom.values()) > date(2027, 3, 1)
