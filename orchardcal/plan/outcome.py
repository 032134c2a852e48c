"""Tasks of one site on days, without those that serve work which found no day."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date

from orchardcal import care as cares
from orchardcal.plan.care_tasks import AFTER
from orchardcal.plan.days import DayList, SiteDays
from orchardcal.plan.placing import Placed, orders, placed
from orchardcal.plan.task import Task, slot_of

# A task's slot -> the slot of the work it serves: without a day for that it has no reason to be.
SERVES = {
    cares.SPRAY_NOTICE: cares.DORMANT_OIL_SPRAY,
    **{
        slot_of(care, part): pruning
        for pruning, part in AFTER.items()
        for care in (cares.WHITEWASH_PAINTING, cares.LOOK_AT_CUTS)
    },
}


@dataclass(frozen=True)
class Outcome:
    """Tasks with the days they may have and the day they got, None for none.

    idle: notices of sprays without a day, by position. They had to be placed along with the sprays,
    which may have no day without them, and are given to nobody.
    """

    tasks: Sequence[Task]
    day_lists: Sequence[DayList]
    placed: Placed
    idle: frozenset[int] = frozenset()


def outcome_of(tasks: Sequence[Task], calendar: SiteDays) -> Outcome:
    """The tasks on days; what serves work that found no day falls away with it."""
    lists = [calendar.days_for(task) for task in tasks]
    free = [_left_to(task, days) for task, days in zip(tasks, lists, strict=True)]
    outcome = placed(tasks, free, orders(tasks))
    served = [_for_placed_work(task, tasks, outcome) for task in tasks]
    idle = {
        at
        for at, task in enumerate(tasks)
        if task.care == cares.SPRAY_NOTICE and served[at] is None
    }
    for at in idle:
        served[at] = tasks[at]
    if served == list(tasks):
        return Outcome(tasks, lists, outcome, frozenset(idle))
    return outcome_of([task for task in served if task is not None], calendar)


def _left_to(task: Task, days: DayList) -> tuple[date, ...]:
    """The free days of a task; the crew's day alone where a crew has it, none where none has."""
    if task.crew is not None:
        return (task.crew.day,)
    return () if task.no_crew is not None else days.free


def _for_placed_work(task: Task, tasks: Sequence[Task], outcome: Placed) -> Task | None:
    """A notice, painting or look with the trees whose spray or pruning has a day; None for none."""
    of = SERVES.get(task.slot)
    if of is None:
        return task
    without_day = {
        planting
        for other, day in zip(tasks, outcome.days, strict=True)
        if other.slot == of and other.season == task.season and day is None
        for planting in other.ids
    }
    with_day = {
        planting
        for other, day in zip(tasks, outcome.days, strict=True)
        if other.slot == of and other.season == task.season and day is not None
        for planting in other.ids
    }
    left = tuple(p for p in task.plantings if p.id not in without_day or p.id in with_day)
    if not left:
        return None
    return task if left == task.plantings else replace(task, plantings=left)
