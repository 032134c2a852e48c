"""Bud-kill temperatures against the typed tables of Washington and Michigan State Universities."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest

from orchardcal.species.rules import SpeciesRules

TABLE = Path(__file__).resolve().parent.parent / "published" / "wsu_msu_bud_kill.csv"
ROWS = list(
    csv.DictReader(
        line for line in TABLE.read_text(encoding="utf-8").splitlines() if line[:1] != "#"
    )
)
# Species that no table covers use the table of their kin.
KIN = {"pear_asian": "pear_european", "quince": "pear_european", "plum_japanese": "plum_european"}
KIN |= {"pluot": "plum_european", "almond": "peach_nectarine"}


def celsius(fahrenheit: str) -> float:
    return (float(fahrenheit) - 32) * 5 / 9


@pytest.mark.parametrize("row", ROWS, ids=lambda row: f"{row['species']}-{row['stage']}")
def test_bud_kill_published_wsu_msu(shipped: dict[str, SpeciesRules], row: dict[str, str]) -> None:
    stage = shipped[row["species"]].stage(row["stage"])
    assert stage is not None
    assert stage.kill10_c == pytest.approx(celsius(row["kill10_f"]), abs=0.0501)
    if row["kill90_f"]:
        assert stage.kill90_c == pytest.approx(celsius(row["kill90_f"]), abs=0.0501)
    else:
        assert stage.kill90_c is None


def test_every_shipped_kill_temperature_is_in_the_table(shipped: dict[str, SpeciesRules]) -> None:
    typed = {(row["species"], row["stage"]) for row in ROWS}
    for key, rules in shipped.items():
        for stage in rules.stages:
            if stage.kill10_c is not None:
                assert (KIN.get(key, key), stage.key) in typed


def test_kin_share_their_table(shipped: dict[str, SpeciesRules]) -> None:
    for key, kin in KIN.items():
        own = [(s.key, s.kill10_c, s.kill90_c) for s in shipped[key].stages]
        assert own == [(s.key, s.kill10_c, s.kill90_c) for s in shipped[kin].stages]
        assert all("common practice" in stage.kill_source for stage in shipped[key].stages)


def test_buds_grow_more_tender_and_the_stages_need_more_heat(
    shipped: dict[str, SpeciesRules],
) -> None:
    """PSU and WSU: hardiness is lost stage by stage; nine in ten die at or below one in ten."""
    for rules in shipped.values():
        shares = [stage.heat_share for stage in rules.stages]
        assert shares == sorted(set(shares))
        tens = [stage.kill10_c for stage in rules.stages if stage.kill10_c is not None]
        assert tens == sorted(tens)
        for stage in rules.stages:
            if stage.kill10_c is not None and stage.kill90_c is not None:
                assert stage.kill90_c <= stage.kill10_c


def test_every_deciduous_species_has_a_first_stage_and_a_full_one(
    shipped: dict[str, SpeciesRules],
) -> None:
    for key, rules in shipped.items():
        if not rules.deciduous:
            assert rules.stages == ()
            continue
        assert rules.stages[0].heat_share < 1
        full = "leaf_expansion" if key == "fig" else "full_bloom"
        stage = rules.stage(full)
        assert stage is not None
        assert stage.heat_share == 1.0
