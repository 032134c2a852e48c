"""The supplies of each visit to a site, from the work that is done on it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from datetime import date

from orchardcal import care as cares
from orchardcal.plan.quantities import (
    ALCOHOL_L,
    paint_mix_l,
    painting_tools,
    pruning_tools,
    spray_l,
)
from orchardcal.plan.season_supplies import VisitSupplies
from orchardcal.plan.task import Task
from orchardcal.plan.wording import PRUNING


def visit_supplies(site: str, work: Iterable[tuple[Task, date, int]]) -> tuple[VisitSupplies, ...]:
    """What each visit takes, by day and crew; visits that take nothing are left out.

    work: each task of the site with its day and the people who do it. Tasks of one visit are done
    one after another with the same tools.
    """
    found: dict[tuple[date, str], VisitSupplies] = {}
    for task, day, people in work:
        crew = task.crew.crew if task.crew is not None else ""
        visit = found.get((day, crew), VisitSupplies(site, day, crew))
        found[day, crew] = _with(visit, task, people)
    return tuple(visit for _, visit in sorted(found.items()) if visit.takes_any)


def _with(visit: VisitSupplies, task: Task, people: int) -> VisitSupplies:
    if task.care in PRUNING:
        tools = visit.tools.most(pruning_tools(people))
        return replace(visit, alcohol_l=ALCOHOL_L, tools=tools)
    if task.care == cares.WHITEWASH_PAINTING:
        tools = visit.tools.most(painting_tools(people))
        mix_l = visit.paint_mix_l + paint_mix_l(task.plantings)
        return replace(visit, paint_mix_l=mix_l, tools=tools)
    if task.care == cares.DORMANT_OIL_SPRAY:
        spray = spray_l(task.plantings, task.season.harvest_year)
        return replace(visit, spray_l=visit.spray_l + spray)
    return visit
