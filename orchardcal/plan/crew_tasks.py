"""Which tasks of a site a crew does, what skills they need, and how much fits on one day."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace

from orchardcal import care as cares
from orchardcal.plan.care_tasks import SiteSeason
from orchardcal.plan.quantities import person_minutes
from orchardcal.plan.task import Task
from orchardcal.plan.volunteers import FOR_VOLUNTEERS
from orchardcal.sites.crew_settings import LADDER, PRUNING, SPRAYING
from orchardcal.sites.site import Planting, Site
from orchardcal.species.rules import SpeciesRules

# What a crew is sent for; looks, checks and notices are the site lead's: common practice, no source
FOR_CREWS = frozenset({*FOR_VOLUNTEERS, cares.DORMANT_OIL_SPRAY, cares.DEFERRED_CUT})
CUTS = frozenset({cares.DORMANT_PRUNING, cares.IN_LEAF_PRUNING, cares.DEFERRED_CUT})
FROM_THE_GROUND_M = 2.5  # cut with both feet on the ground; common practice, no source


def is_for_crews(care: str, site: Site) -> bool:
    """Whether a crew does this care here, should one come; volunteers go before."""
    return care in FOR_CREWS and not (site.volunteers and care in FOR_VOLUNTEERS)


def skills_for(task: Task, site: Site) -> frozenset[str]:
    """The skills somebody in the crew must hold for a task."""
    needed = set()
    if task.care in CUTS:
        needed.add(PRUNING)
        if any((one.height_m or 0.0) > FROM_THE_GROUND_M for one in task.plantings):
            needed.add(LADDER)
    if task.care == cares.DORMANT_OIL_SPRAY and site.spray.licence_needed:
        needed.add(SPRAYING)
    return frozenset(needed)


def in_crew_days(task: Task, here: SiteSeason, crew_day_min: int | None) -> Iterable[Task]:
    """The task in parts that a crew can do on one day each, planting by planting.

    crew_day_min: the most person-minutes of a day; None where no crew comes. One planting is never
    divided: if it alone is too much for a day, no crew will have a place for it.
    """
    if crew_day_min is None or not is_for_crews(task.care, here.site):
        yield task
        return
    part: list[Planting] = []
    for planting in task.plantings:
        if part and crew_minutes(task, [*part, planting], here.rules) > crew_day_min:
            yield replace(task, plantings=tuple(part))
            part = []
        part.append(planting)
    yield replace(task, plantings=tuple(part))


def crew_minutes(task: Task, plantings: Sequence[Planting], rules: dict[str, SpeciesRules]) -> int:
    """Person-minutes of a skilled crew."""
    return person_minutes(task.care, plantings, rules, task.season.harvest_year, False)
