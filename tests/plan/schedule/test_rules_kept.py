"""Every schedule keeps every rule, and its bill is right; a second program checks both."""

from __future__ import annotations

import hashlib
import os
import subprocess
import sys
from dataclasses import asdict, replace

import pytest

from orchardcal.plan.schedule import (
    Crew,
    Instance,
    Link,
    Slot,
    Task,
    Trip,
    Weights,
    pinned,
    scheduled,
    without_days,
)
from tests.plan.schedule.instances import PRUNE, city, standing
from tests.plan.schedule.validator import bill, broken_rules


@pytest.mark.parametrize(
    ("sites", "seed", "load"), [(1, 1, 100), (3, 2, 160), (12, 3, 100), (40, 11, 100), (80, 4, 70)]
)
def test_rules_and_bill(sites: int, seed: int, load: int) -> None:
    instance = city(sites, seed, load)
    schedule = scheduled(instance, Weights(), iterations=200)
    assert broken_rules(instance, standing(schedule)) == []
    assert schedule.cost.compared == bill(instance, asdict(Weights()), standing(schedule))
    assert len(schedule.placements) + len(schedule.unplaced) == len(instance.tasks)


def test_validator_notices_each_broken_rule() -> None:
    tasks = (
        Task(place=0, minutes=200, days=((1, 0),), needs=frozenset({PRUNE}), crew=1),
        Task(place=1, minutes=300, days=((1, 0),)),
    )
    slots = (Slot(crew=0, day=2, minutes=400, places=1),)
    instance = Instance(
        (*tasks, replace(tasks[0], place=1)),
        (Link(1, 2, min_days=3),),
        (Crew(),),
        slots,
        clusters=(0, 1),
        trips={(0, 1): Trip(km=1)},
    )
    found = " ".join(
        broken_rules(
            replace(instance, trips={(0, 0): Trip(0), (0, 1): Trip(1)}), {0: 0, 1: 0, 2: 0}
        )
    )
    for words in ("not one of its days", "lacks a skill", "only", "minutes", "places", "0 days"):
        assert words in found
    assert "does not go" in " ".join(broken_rules(instance, {}) + _not_gone(instance))
    assert "stands without" in " ".join(broken_rules(instance, {2: 0}))


def _not_gone(instance: Instance) -> list[str]:
    elsewhere = replace(instance, trips={(0, 1): Trip(1)}, clusters=(1, 0))
    try:
        return broken_rules(elsewhere, {1: 0})
    except KeyError:
        return ["crew 0 does not go to task 1"]


def test_pins_and_bans_are_kept() -> None:
    instance = city(12, 5, 70)
    free = scheduled(instance, Weights(), iterations=100)
    placed = free.placements[10]
    other = next(day for day, _ in instance.tasks[placed.task].days if day != placed.day)
    tasks = list(instance.tasks)
    tasks[placed.task] = without_days(tasks[placed.task], [placed.day])
    banned = scheduled(replace(instance, tasks=tuple(tasks)), Weights(), iterations=100)
    assert all(one.day != placed.day for one in banned.placements if one.task == placed.task)
    worked = {slot.day for slot in instance.slots if instance.may_do(slot.crew, placed.task)}
    other = next(
        day for day, _ in instance.tasks[placed.task].days if day != placed.day and day in worked
    )
    tasks[placed.task] = pinned(instance.tasks[placed.task], other)
    held = scheduled(replace(instance, tasks=tuple(tasks)), Weights(), iterations=100)
    assert [one.day for one in held.placements if one.task == placed.task] == [other]


@pytest.mark.parametrize("which", ["no crew", "no days", "no hours", "no places"])
def test_nobody_there_leaves_all_unplaced(which: str) -> None:
    instance = city(3, 1)
    if which == "no crew":
        instance = replace(instance, crews=(), slots=(), trips={})
    elif which == "no days":
        instance = replace(instance, slots=())
    elif which == "no hours":
        instance = replace(instance, slots=tuple(replace(s, minutes=0) for s in instance.slots))
    else:
        instance = replace(instance, slots=tuple(replace(s, places=0) for s in instance.slots))
    schedule = scheduled(instance, Weights(), iterations=20)
    assert schedule.placements == ()
    assert schedule.unplaced == tuple(range(len(instance.tasks)))


def test_links_in_a_circle_are_refused() -> None:
    task = Task(place=0, minutes=10, days=((0, 0),))
    instance = Instance((task, task), (Link(0, 1), Link(1, 0)), (), (), (0,), {})
    with pytest.raises(ValueError, match="circle"):
        scheduled(instance, Weights())


def test_two_tasks_before_one_are_refused() -> None:
    task = Task(place=0, minutes=10, days=((0, 0),))
    instance = Instance((task,) * 3, (Link(0, 2), Link(1, 2)), (), (), (0,), {})
    with pytest.raises(ValueError, match="two tasks before it"):
        scheduled(instance, Weights())


def test_unlinked_tasks_of_one_place_share_a_visit() -> None:
    # one visit at 30 + 10 + 5 km; day 0 suits one task, day 1 both, days 2 the other
    tasks = (
        Task(place=0, minutes=60, days=((0, 0), (1, 10))),
        Task(place=0, minutes=60, days=((1, 10), (2, 0))),
    )
    slots = tuple(Slot(crew=0, day=day, minutes=400, places=2) for day in range(3))
    instance = Instance(tasks, (), (Crew(),), slots, (0,), {(0, 0): Trip(km=5)})
    schedule = scheduled(instance, Weights(), iterations=100)
    assert {placed.day for placed in schedule.placements} == {1}
    assert schedule.cost.points == 30 + 10 + 5 + 10 + 10


def test_same_plan_with_any_hash_seed() -> None:
    script = (
        "from orchardcal.plan.schedule import Weights, scheduled\n"
        "from tests.plan.schedule.instances import city\n"
        "print(scheduled(city(8, 7), Weights(), iterations=200).placements)"
    )
    prints = {
        hashlib.sha256(
            subprocess.run(
                [sys.executable, "-c", script],
                env={**os.environ, "PYTHONHASHSEED": seed, "PYTHONPATH": os.getcwd()},  # noqa: PTH109
                check=True,
                capture_output=True,
            ).stdout
        ).hexdigest()
        for seed in ("0", "1", "4242")
    }
    assert len(prints) == 1


def test_rates_have_words() -> None:
    words = {name: sentence for name, _, sentence in Weights(visit=25).in_words()}
    assert words["visit"] == "a visit to a place is worth 25"
    assert set(words) == set(asdict(Weights()))
