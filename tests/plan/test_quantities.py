"""Quantities against worked figures."""

from __future__ import annotations

import math

import pytest

from orchardcal import care as cares
from orchardcal.plan.quantities import (
    paint_mix_l,
    people_for,
    person_minutes,
    spray_l,
    visit_minutes,
)
from tests.invented import planting, shipped


def test_paint_for_one_trunk_by_hand() -> None:
    """pi x 0.10 m x 0.9 m = 0.283 m2, half as much again, at 4 m2 a litre (350 square feet a
    gallon, 8.6 m2/L, on smooth walls; bark takes about twice that): 0.106 L."""
    tree = planting("A", "apple", count=1, trunk_diameter_m=0.10)
    assert paint_mix_l([tree]) == pytest.approx(0.106, abs=0.0005)
    assert paint_mix_l([tree], coats=2) == pytest.approx(2 * math.pi * 0.09 * 1.5 / 4)


def test_a_small_tree_is_painted_to_its_top_at_most() -> None:
    small = planting("A", "apple", count=1, trunk_diameter_m=0.10, height_m=0.45)
    assert paint_mix_l([small]) == pytest.approx(0.053, abs=0.0005)


def test_young_trees_take_less_spray_and_time_than_grown_ones() -> None:
    young, grown = planting("A", "apple", 2026), planting("B", "apple", 2010)
    assert spray_l([young], 2027) < spray_l([grown], 2027)
    rules = shipped()
    times = [
        person_minutes(cares.DORMANT_PRUNING, [tree], rules, 2027, volunteers=False)
        for tree in (young, grown)
    ]
    assert times[0] < times[1]
    assert times[1] < person_minutes(cares.DORMANT_PRUNING, [grown], rules, 2027, volunteers=True)


@pytest.mark.parametrize("minutes", range(15, 2000, 37))
def test_a_visit_is_long_enough_and_no_longer_than_its_slot(minutes: int) -> None:
    people = people_for(minutes, 300)
    takes = visit_minutes(minutes, people)
    assert takes * people >= minutes
    assert takes <= 165  # two and a half hours, to the next quarter
