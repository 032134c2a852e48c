"""Schedules against optima known from outside: a textbook, and a solver that proves them."""

from __future__ import annotations

import importlib.util
import json
import statistics
from pathlib import Path
from types import ModuleType

import pytest

from orchardcal.plan.schedule import Crew, Instance, Slot, Task, Trip, Weights, scheduled
from tests.plan.schedule.instances import city, standing
from tests.plan.schedule.validator import broken_rules

SOLVED = Path(__file__).parents[2] / "computed_elsewhere" / "ortools_9.15.6755"
OPTIMA = json.loads((SOLVED / "optima.json").read_text())["optima"]

# T. H. Cormen, C. E. Leiserson, R. L. Rivest, C. Stein, Introduction to Algorithms, 3rd ed.,
# section 16.5, figure 16.7: deadlines and penalties of seven unit tasks. Optimum: 50.
DEADLINES = (4, 2, 4, 3, 1, 4, 6)
PENALTIES = (70, 60, 50, 40, 30, 20, 10)


def unit_tasks(penalties: tuple[int, ...]) -> Instance:
    tasks = tuple(
        Task(place=0, minutes=1, days=tuple((day, 0) for day in range(deadline)), priority=penalty)
        for deadline, penalty in zip(DEADLINES, penalties, strict=True)
    )
    slots = tuple(Slot(crew=0, day=day, minutes=1, places=1) for day in range(7))
    return Instance(tasks, (), (Crew(),), slots, clusters=(0,), trips={(0, 0): Trip(km=0)})


def test_unit_tasks_with_deadlines_and_penalties() -> None:
    assert scheduled(unit_tasks(PENALTIES), Weights(), iterations=100).cost.given_up == 50


def test_unit_tasks_with_penalties_turned_round() -> None:
    # exercise 16.5-1: each penalty w replaced by 80 - w; the two cheapest, 10 and 20, are late
    turned = tuple(80 - penalty for penalty in PENALTIES)
    assert scheduled(unit_tasks(turned), Weights(), iterations=100).cost.given_up == 30


def gap_percent(name: str, iterations: int | None = None) -> float:
    """How far above the proven optimum; the same tasks given up, or the test fails here."""
    seed, load = map(int, name.split("/"))
    instance = city(4, seed, load, crews=1)
    best = OPTIMA[name]
    assert solver_script().fingerprint(instance) == best["instance"], "generator has changed"
    assert best["proven"]
    schedule = scheduled(instance, Weights(), iterations)
    assert broken_rules(instance, standing(schedule)) == []
    assert schedule.cost.compared >= (best["given_up"], best["points"]), "better than the optimum"
    assert schedule.cost.given_up == best["given_up"]
    return 100 * (schedule.cost.points - best["points"]) / best["points"]


@pytest.mark.parametrize("name", ["22/100", "25/100", "26/160", "28/160"])
def test_near_the_proven_optimum(name: str) -> None:
    assert gap_percent(name, iterations=1000) <= 5


@pytest.mark.slow
@pytest.mark.parametrize("load", [100, 160])
def test_ten_instances_of_four_sites(load: int) -> None:
    gaps = [gap_percent(name) for name in OPTIMA if name.endswith(f"/{load}")]
    assert len(gaps) == 10
    assert statistics.median(gaps) == 0
    assert max(gaps) <= 5


def solver_script() -> ModuleType:
    spec = importlib.util.spec_from_file_location("optima", SOLVED / "optima.py")
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module
