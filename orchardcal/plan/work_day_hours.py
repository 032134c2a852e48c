"""When the jobs of a work day begin and end: welcome, work in teams one job after another."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, time, timedelta

from orchardcal.plan.quantities import person_minutes
from orchardcal.plan.task import Task
from orchardcal.plan.volunteers import (
    CLEAN_UP_MIN,
    DEMONSTRATION_MIN,
    WELCOME_MIN,
    group_for,
    settings_for,
)
from orchardcal.sites.site import Site
from orchardcal.species.rules import SpeciesRules

STEP_MIN = 5  # clock times are told to five minutes


@dataclass(frozen=True)
class Shift:
    """One job of a work day: who does it, until when, and how the whole day lies."""

    people: int
    leaders: int
    end: datetime
    welcome: time
    over: time


def shifts_of(
    at: int,
    today: Sequence[int],
    tasks: Sequence[Task],
    begin: datetime,
    closes: time,
    rules: dict[str, SpeciesRules],
    site: Site,
) -> dict[int, Shift]:
    """The shift of every volunteers' task of the day, if task `at` is one of them; none else.

    today: numbers of the day's tasks in turn. begin: when the first of them can begin. The first
    shift holds the welcome and the demonstration, the last one the clean-up.
    """
    settings = settings_for(site, tasks[at].care)
    if settings is None:
        return {}
    own = [one for one in today if settings_for(site, tasks[one].care) is not None]
    minutes = [
        person_minutes(
            tasks[one].care, tasks[one].plantings, rules, tasks[one].season.harvest_year, True
        )
        for one in own
    ]
    left_min = (datetime.combine(begin.date(), closes) - begin).total_seconds() / 60
    group = group_for(sum(minutes), int(left_min), settings)
    ends: list[datetime] = []
    work_begins = begin + timedelta(minutes=WELCOME_MIN + DEMONSTRATION_MIN)
    for number in range(len(own)):
        share = sum(minutes[: number + 1]) / sum(minutes)
        worked_min = STEP_MIN * round(group.work_min * share / STEP_MIN)
        earliest = (ends[-1] if ends else work_begins) + timedelta(minutes=STEP_MIN)
        ends.append(max(work_begins + timedelta(minutes=worked_min), earliest))
    ends[-1] += timedelta(minutes=CLEAN_UP_MIN)
    return {
        one: Shift(group.people, group.leaders, end, begin.time(), ends[-1].time())
        for one, end in zip(own, ends, strict=True)
    }
