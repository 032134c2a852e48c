"""Published days stay: with one window in twenty changed, few days move that need not."""

from __future__ import annotations

from dataclasses import replace

import pytest

from orchardcal.plan.schedule import (
    Instance,
    Weights,
    scheduled,
    scheduled_by_territory,
    without_days,
)
from tests.plan.schedule.instances import Draw, city, published, standing
from tests.plan.schedule.validator import broken_rules

MOST_MOVED = 0.03  # of open dates, beyond those forced: what the project promises


def with_some_windows_cut(instance: Instance, one_in: int) -> Instance:
    """Some tasks no longer suit in their first seven days, or their last."""
    draw = Draw(7)
    tasks = list(instance.tasks)
    for number, task in enumerate(tasks):
        if draw.between(1, one_in) == 1:
            cut = slice(7, None) if draw.between(0, 1) else slice(None, -7)
            tasks[number] = replace(task, days=task.days[cut])
    return replace(instance, tasks=tuple(tasks))


def forced_to_move(instance: Instance, days: dict[int, int]) -> set[int]:
    """Tasks whose told day is no longer theirs, or keeps its gap to no day of one of those."""
    forced = {task for task, day in days.items() if day not in dict(instance.tasks[task].days)}
    growing = True
    while growing:
        growing = False
        for link in instance.links:
            for moves, stays, sign in ((link.before, link.after, 1), (link.after, link.before, -1)):
                if moves not in forced or stays in forced or stays not in days:
                    continue
                gaps = [sign * (days[stays] - day) for day, _ in instance.tasks[moves].days]
                most = link.max_days if link.max_days is not None else 10**6
                if not any(link.min_days <= gap <= most for gap in gaps):
                    forced.add(stays)
                    growing = True
    return forced


def moved_and_open(
    sites: int, seed: int, load: int, iterations: int | None, with_crews: bool = True
) -> tuple[int, int]:
    """How many days move beyond those forced once windows changed, of how many."""
    instance = city(sites, seed, load)
    first = scheduled(instance, Weights(), iterations)
    days = {placed.task: placed.day for placed in first.placements}
    again = with_some_windows_cut(published(instance, first, with_crews), one_in=20)
    forced = forced_to_move(again, days)
    assert forced
    second = scheduled(again, Weights(), iterations)
    assert broken_rules(again, standing(second)) == []
    left = [task for task in second.unplaced if again.tasks[task].days]
    assert len(left) <= len(first.unplaced)
    moved = {placed.task for placed in second.placements if days.get(placed.task) != placed.day}
    return len(moved - forced), len(days)


@pytest.mark.parametrize("with_crews", [True, pytest.param(False, marks=pytest.mark.slow)])
def test_few_days_move_that_need_not(with_crews: bool) -> None:
    moved, days = moved_and_open(40, 15, 60, 2500, with_crews)
    assert moved <= MOST_MOVED * days


@pytest.mark.slow
def test_over_several_cities_few_days_move_that_need_not() -> None:
    """In a single tight city it may be more: a lost window there takes a chain of others along."""
    cities = [(40, 11, 60), (40, 14, 60), (40, 15, 60), (40, 16, 60), (200, 11, 70)]
    counts = [moved_and_open(*one, None) for one in cities]
    assert sum(moved for moved, _ in counts) <= MOST_MOVED * sum(days for _, days in counts)


def test_without_a_price_on_moving_many_days_move() -> None:
    instance = city(16, 13, 80)
    first = scheduled(instance, Weights(), iterations=300)
    again = with_some_windows_cut(published(instance, first, with_crews=False), one_in=20)
    free = scheduled(again, Weights(moved=0, moved_day=0), iterations=300)
    held = scheduled(again, Weights(), iterations=300)
    assert held.cost.moved < free.cost.moved


def test_a_schedule_that_was_told_comes_out_as_it_is() -> None:
    instance = city(16, 13, 80)
    first = scheduled(instance, Weights(), iterations=300)
    assert scheduled(published(instance, first), Weights()).placements == first.placements
    by_territory = scheduled_by_territory(instance, Weights(), iterations=2)
    told = published(instance, by_territory)
    assert scheduled_by_territory(told, Weights()).placements == by_territory.placements


def test_only_where_a_task_lost_its_place_are_days_sought_anew() -> None:
    """A place's task that may no longer be done on its day finds another; the rest stands."""
    instance = city(16, 13, 60)
    first = scheduled(instance, Weights(), iterations=300)
    told = published(instance, first)
    lost = first.placements[0]
    tasks = list(told.tasks)
    tasks[lost.task] = without_days(tasks[lost.task], [lost.day])
    second = scheduled(replace(told, tasks=tuple(tasks)), Weights())
    days = {placed.task: placed.day for placed in first.placements}
    moved = {placed.task for placed in second.placements if days[placed.task] != placed.day}
    assert lost.task in moved
    assert len(moved) <= 3  # it and what is linked to it
