"""What volunteers may be given: which cares, on which days, in what group and for how long."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date

from orchardcal import care as cares
from orchardcal.plan.task import Task
from orchardcal.sites.site import Site
from orchardcal.sites.work_day_settings import WorkDaySettings

# No spraying, and nothing that needs a licence: EPA Worker Protection Standard, handlers are
# adults (80 FR 67496); the rest is common practice, no source.
FOR_VOLUNTEERS = frozenset({cares.DORMANT_PRUNING, cares.IN_LEAF_PRUNING, cares.WHITEWASH_PAINTING})

# Three hours in all, as the City of Eugene's NeighborWoods plans a team's day; how they divide is
# common practice, no source.
DAY_MIN = 180
WELCOME_MIN, DEMONSTRATION_MIN, CLEAN_UP_MIN = 10, 10, 20
AROUND_MIN = WELCOME_MIN + DEMONSTRATION_MIN + CLEAN_UP_MIN
SHORTEST_WORK_MIN = 15


@dataclass(frozen=True)
class Group:
    """How many volunteers and leaders a day takes, and how long they work in teams."""

    people: int
    leaders: int
    work_min: int


def group_for(person_min: int, available_min: int, settings: WorkDaySettings) -> Group:
    """The group for so many person-minutes in a day with so many minutes of visit and daylight.

    No more people than can be led, no fewer than the smallest group; what they cannot finish is
    left, and the work lasts no longer than the day.

    >>> group_for(600, 400, WorkDaySettings(smallest=2, largest=10, volunteers_per_leader=5))
    Group(people=5, leaders=1, work_min=120)
    """
    longest_min = max(SHORTEST_WORK_MIN, min(DAY_MIN, available_min) - AROUND_MIN)
    wanted = math.ceil(person_min / longest_min)
    people = min(max(wanted, settings.smallest), settings.most_people)
    work_min = min(longest_min, math.ceil(person_min / people / 15) * 15)
    return Group(people, leaders_for(people, settings), work_min)


def leaders_for(people: int, settings: WorkDaySettings) -> int:
    """One leader for each full or begun group of those one leader takes."""
    return max(1, math.ceil(people / settings.volunteers_per_leader))


def settings_for(site: Site, care: str) -> WorkDaySettings | None:
    """The settings that bind a care at a site, None where volunteers do not do it."""
    return site.work_days if care in FOR_VOLUNTEERS else None


def against_volunteers(site: Site, care: str, day: date) -> Iterable[str]:
    """What keeps volunteers from a care on a day; a pinned day may be on any weekday."""
    settings = settings_for(site, care)
    if settings is None:
        return
    if day.weekday() not in settings.weekdays and day not in settings.pinned:
        yield "volunteers"
    if day in settings.banned:
        yield "banned"


def with_pins(task: Task, site: Site) -> Task:
    """The task with the days that the site's coordinator pinned, where volunteers do it."""
    settings = settings_for(site, task.care)
    if settings is None or not settings.pinned:
        return task
    return replace(task, pinned=frozenset(settings.pinned))
