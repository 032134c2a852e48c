"""Crews on a programme's season: which crew does which task on which day, and what finds no place.

Each site's work is known first, with the days it may be done on; then all of it is put on the
crews' days together; then each site's plan is made with the days the crews have for it.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from concurrent.futures import Executor
from dataclasses import dataclass, replace
from datetime import time

from orchardcal.plan.crew_numbers import Numbers, numbers
from orchardcal.plan.crew_place import CrewPlace, NoCrew
from orchardcal.plan.crew_tasks import crew_minutes
from orchardcal.plan.crew_tours import Stop, Tour, tour_of
from orchardcal.plan.crew_wording import lacking_skill, no_crew, no_hours
from orchardcal.plan.outcome import outcome_of
from orchardcal.plan.quantities import crew_clock_minutes
from orchardcal.plan.schedule import (
    Instance,
    Schedule,
    Weights,
    explain_unplaced,
    scheduled,
    scheduled_by_territory,
    without_days,
)
from orchardcal.plan.schedule.territories import CREWS_TOGETHER
from orchardcal.plan.site_work import SiteWork
from orchardcal.plan.task import Task
from orchardcal.plan.wording import title
from orchardcal.sites.crew_settings import CrewSettings

Scheduler = Callable[[Instance, Weights, int | None], Schedule]
MOST_TURNS = 5  # searches anew without the days on which a tour broke a site's hours
ROUNDS_A_PLACE_AGAIN = 10  # in each of them: little has changed


def in_one_go_or_by_territory(
    instance: Instance,
    weights: Weights,
    rounds_a_place: int | None = None,
    executor: Executor | None = None,
) -> Schedule:
    """The schedule of an instance of any size; the executor only matters to large ones."""
    if len(instance.crews) > CREWS_TOGETHER:
        return scheduled_by_territory(instance, weights, executor, rounds_a_place)
    places = len(instance.clusters)
    return scheduled(instance, weights, rounds_a_place and rounds_a_place * places)


def works_with_crews(
    works: Sequence[SiteWork],
    crews: Sequence[CrewSettings],
    weights: Weights,
    scheduler: Scheduler = in_one_go_or_by_territory,
) -> list[SiteWork]:
    """The work of all sites with the crews' tasks on the crews' days.

    Sites no crew comes to stay as they are. The same input gives the same days.
    """
    numbered = numbers(works, crews)
    if numbered is None:
        return _with(works, {})
    found, tours, dropped = _in_hours(works, numbered, weights, scheduler)
    outcome: dict[tuple[int, int], CrewPlace | NoCrew] = {
        at: lacking_skill(skill) for at, skill in numbered.lacking.items()
    }
    for placement in found.placements:
        at, number = numbered.task_of[placement.task]
        crew = numbered.crews[placement.crew]
        if placement.task in dropped:
            outcome[at, number] = no_hours(crew)
            continue
        day = numbered.day(placement.day)
        begin = tours[placement.slot][at]
        outcome[at, number] = CrewPlace(crew.key, crew.name, day, begin, crew.people)
    for account in explain_unplaced(numbered.instance, found):
        at, number = numbered.task_of[account.task]
        waits = None
        if account.waits_for is not None:
            site, other = numbered.task_of[account.waits_for]
            waited = works[site].outcome.tasks[other]
            waits = title(waited.care, waited.plantings, works[site].rules)
        outcome[at, number] = no_crew(account, numbered.crews, numbered.day, waits)
    return _with(works, outcome)


def _with(
    works: Sequence[SiteWork], outcome: Mapping[tuple[int, int], CrewPlace | NoCrew]
) -> list[SiteWork]:
    changed: dict[int, list[Task]] = {}
    for (at, number), what in outcome.items():
        tasks = changed.setdefault(at, list(works[at].outcome.tasks))
        if isinstance(what, CrewPlace):
            tasks[number] = replace(tasks[number], crew=what)
        else:
            tasks[number] = replace(tasks[number], no_crew=what)
    return [
        replace(work, outcome=outcome_of(changed[at], work.calendar)) if at in changed else work
        for at, work in enumerate(works)
    ]


@dataclass(frozen=True)
class _CrewDay:
    """What stands on one slot: the tasks of each site."""

    slot: int
    tasks: Mapping[int, Sequence[int]]  # site -> tasks of the instance


def _in_hours(
    works: Sequence[SiteWork], numbered: Numbers, weights: Weights, scheduler: Scheduler
) -> tuple[Schedule, dict[int, dict[int, time]], set[int]]:
    """A schedule, when work begins at each site of each slot, and the tasks no tour has room for.

    The schedule counts minutes and knows no clock. Where no order of a day's sites keeps to their
    hours, the smallest work that breaks it is sent to other days and the rest stays if it can.
    """
    instance = numbered.instance
    found = scheduler(instance, weights, None)
    for turn in range(MOST_TURNS):
        tours: dict[int, dict[int, time]] = {}
        astray = _ahead_of_another_crew(found, instance)
        for one in _crew_days(found, numbered):
            begins, left_over = _tour(one, works, replace(numbered, instance=instance))
            tours[one.slot] = begins
            astray += left_over
        if not astray or turn == MOST_TURNS - 1:
            return found, tours, set(astray)
        instance = _sent_elsewhere(instance, found, astray)
        found = scheduler(instance, weights, ROUNDS_A_PLACE_AGAIN)
    raise AssertionError("the last turn returns")


def _crew_days(found: Schedule, numbered: Numbers) -> list[_CrewDay]:
    standing: dict[int, dict[int, list[int]]] = {}
    for placement in found.placements:
        at, _ = numbered.task_of[placement.task]
        standing.setdefault(placement.slot, {}).setdefault(at, []).append(placement.task)
    return [_CrewDay(slot, standing[slot]) for slot in sorted(standing)]


def _tour(
    one: _CrewDay, works: Sequence[SiteWork], numbered: Numbers
) -> tuple[dict[int, time], list[int]]:
    """When work begins at each site of a crew's day, and the tasks that keep no hours there."""
    slot = numbered.instance.slots[one.slot]
    crew, day = numbered.crews[slot.crew], numbered.day(slot.day)
    stops = {}
    for at, tasks in one.tasks.items():
        hours = works[at].calendar.work_hours(day)
        assert hours is not None  # a free day has
        work_min = _clock_minutes(works[at], [numbered.task_of[task][1] for task in tasks], crew)
        stops[at] = Stop(works[at].site, hours, work_min)
    kept = dict(stops)
    left_over: list[int] = []
    found: Tour | None = None
    while kept:
        found = tour_of(crew, day, list(kept.values()))
        if found is not None:
            break
        at = min(kept, key=lambda at: (kept[at].work_min, at))
        left_over += one.tasks[at]
        del kept[at]
    if found is None:
        return {}, left_over
    by_site = {stop.site.key: begin for stop, begin in zip(found.stops, found.begins, strict=True)}
    return {at: by_site[stop.site.key] for at, stop in kept.items()}, left_over


def _clock_minutes(work: SiteWork, tasks: Sequence[int], crew: CrewSettings) -> int:
    """How long the crew works at a site, job after job."""
    return sum(
        crew_clock_minutes(crew_minutes(task, task.plantings, work.rules), crew.people)
        for task in (work.outcome.tasks[number] for number in tasks)
    )


def _sent_elsewhere(instance: Instance, found: Schedule, astray: Sequence[int]) -> Instance:
    """The instance with the tasks astray not on their day, the rest as if told of theirs."""
    tasks = list(instance.tasks)
    for placement in found.placements:
        task = tasks[placement.task]
        if placement.task in astray:
            tasks[placement.task] = without_days(task, [placement.day])
        elif task.published is None:
            tasks[placement.task] = replace(task, published=placement.day)
    return replace(instance, tasks=tuple(tasks))


def _ahead_of_another_crew(found: Schedule, instance: Instance) -> list[int]:
    """Tasks on the same day as the work before them, which another crew does."""
    standing = {placement.task: placement for placement in found.placements}
    pairs = ((standing.get(link.before), standing.get(link.after)) for link in instance.links)
    return [
        after.task
        for before, after in pairs
        if before is not None and after is not None
        if before.day == after.day and before.crew != after.crew
    ]
