"""Tasks with the forecast's own answer for the coming days in place of the odds."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

from orchardcal import care as cares
from orchardcal.plan.task import Task
from orchardcal.season import Span
from orchardcal.windows.near_days import NearDays


def with_forecast(task: Task, near: NearDays | None) -> Task:
    """The task with a plain yes (1) or no (0) for the days the forecast reaches."""
    if near is None or task.odds is None:
        return task
    last = near.first_day + timedelta(days=len(near.low_c) - 1)
    days = task.span.overlap(Span(near.known_from, last))
    if days is None:
        return task
    odds, known = dict(task.odds), set()
    spraying = task.care == cares.DORMANT_OIL_SPRAY
    for day in days.days():
        answers = [near.suits(day, one, spraying) for one in task.conditions]
        if answers and None not in answers:
            odds[day] = float(all(answers))
            known.add(day)
    return replace(task, odds=odds, by_forecast=frozenset(known))
