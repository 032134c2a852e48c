"""A programme's crew tasks in whole numbers, as the schedule takes them, and back into dates."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta

from orchardcal import care as cares
from orchardcal.plan.crew_hours import (
    ARRIVE_MIN,
    NEAR_KM,
    STEP_MIN,
    VISIT_MIN,
    crews_for,
    drive_min,
    works_on,
)
from orchardcal.plan.crew_order import crew_links
from orchardcal.plan.crew_tasks import CUTS, crew_minutes, skills_for
from orchardcal.plan.placing import GIVES_WAY_DAYS, PRUNING, day_cost
from orchardcal.plan.schedule import Crew, Instance, Link, Slot, Task, Trip
from orchardcal.plan.site_work import SiteWork
from orchardcal.plan.task import Task as PlanTask
from orchardcal.sites.crew_reach import km_to_site
from orchardcal.sites.crew_settings import SKILLS, CrewSettings
from orchardcal.sites.distance import km_between
from orchardcal.sites.site import Site

# What giving a care up counts, and once more if its day has passed already: common practice, no
# source. Pruning comes first, since paint and oil follow it.
PRIORITY = {**dict.fromkeys(CUTS, 3), cares.DORMANT_OIL_SPRAY: 2, cares.WHITEWASH_PAINTING: 2}
SHORTEST_MIN = 15
# Points; common practice, no source
TOO_FAR_PER_DAY, TOO_LATE_PER_DAY, SPARE_DAYS = 10, 12, 7
EVEN_SHARE = 0.75  # of a crew's hours in a week, above which the week counts as a busy one


@dataclass(frozen=True)
class Numbers:
    """An instance and what its numbers stand for.

    first_day: day 0, a Monday. task_of: for each task its site's number and its number in the
    site's outcome. lacking: tasks no crew holds the skills for, with the skill, left out of the
    instance. crews_of: for each site, who comes.
    """

    instance: Instance
    crews: tuple[CrewSettings, ...]
    first_day: date
    task_of: tuple[tuple[int, int], ...]
    lacking: Mapping[tuple[int, int], str]

    def day(self, number: int) -> date:
        return self.first_day + timedelta(days=number)


def numbers(works: Sequence[SiteWork], crews: Sequence[CrewSettings]) -> Numbers | None:
    """Every task a crew is to do, at sites some crew comes to; None if there is none."""
    crews = tuple(crews)
    coming = [crews_for(work.site, crews) for work in works]
    places: list[int] = []  # the number of each place's site
    task_of: list[tuple[int, int]] = []
    lacking: dict[tuple[int, int], str] = {}
    days_of: list[list[date]] = []
    links: list[Link] = []
    place_of: list[int] = []
    for at, work in enumerate(works):
        own = _own_tasks(at, work, coming[at], lacking)
        if not own:
            continue
        free, tied = crew_links(work, own)
        known = {task: len(task_of) + number for number, task in enumerate(own)}
        for task in own:
            task_of.append((at, task))
            place_of.append(len(places))
            days_of.append(_long_enough(work, task, free[task], coming[at]))
        links += [
            replace(link, before=known[link.before], after=known[link.after]) for link in tied
        ]
        places.append(at)
    days = [day for own_days in days_of for day in own_days]
    if not task_of:
        return None
    first = min(days, default=works[0].calendar.as_of)
    monday = first - timedelta(days=first.weekday())
    tasks = tuple(
        _task(works[at], task, place, own_days, coming[at], monday, crews)
        for (at, task), place, own_days in zip(task_of, place_of, days_of, strict=True)
    )
    sites = [works[at].site for at in places]
    clusters = _clusters(sites, [coming[at] for at in places])
    instance = Instance(
        tasks=tasks,
        links=tuple(links),
        crews=tuple(_crew(crew) for crew in crews),
        slots=_slots(crews, set(days), monday),
        clusters=clusters,
        trips=_trips(sites, [coming[at] for at in places], clusters, crews),
    )
    return Numbers(instance, crews, monday, tuple(task_of), lacking)


def _own_tasks(
    at: int,
    work: SiteWork,
    coming: Sequence[CrewSettings],
    lacking: dict[tuple[int, int], str],
) -> list[int]:
    """The numbers of the site's tasks for crews; those whose skills nobody holds go to lacking."""
    found = []
    for task, day in enumerate(work.outcome.placed.days):
        wanted = work.outcome.tasks[task]
        if day is None or not wanted.for_crews:
            continue
        needed = skills_for(wanted, work.site)
        if any(needed <= crew.skills for crew in coming):
            found.append(task)
        else:
            held = max((crew.skills & needed for crew in coming), key=len)
            lacking[at, task] = min(needed - held)
    return found


def _long_enough(
    work: SiteWork, task: int, days: Sequence[date], coming: Sequence[CrewSettings]
) -> list[date]:
    """The days on which the site's hours are long enough for a crew to do the task in."""
    wanted = work.outcome.tasks[task]
    most = max(crew.people for crew in coming)
    needed_min = crew_minutes(wanted, wanted.plantings, work.rules) / max(most, 1) + ARRIVE_MIN
    found = []
    for day in days:
        hours = work.calendar.work_hours(day)
        if hours is not None:
            begin, end = (datetime.combine(day, clock) for clock in hours)
            if (end - begin).total_seconds() / 60 >= needed_min:
                found.append(day)
    return found


def _task(
    work: SiteWork,
    number: int,
    place: int,
    days: Sequence[date],
    coming: Sequence[CrewSettings],
    monday: date,
    crews: Sequence[CrewSettings],
) -> Task:
    """A task of the instance; its minutes leave room for clock times in whole steps."""
    task = work.outcome.tasks[number]
    most = max(1, *(crew.people for crew in coming))
    minutes = crew_minutes(task, task.plantings, work.rules)
    seen = task.previous_day
    told = [number for number, crew in enumerate(crews) if crew.key == task.previous_crew]
    return Task(
        place=place,
        minutes=max(minutes + STEP_MIN * most, SHORTEST_MIN * most),
        days=tuple(((day - monday).days, _points(task, day)) for day in days),
        needs=frozenset(map(SKILLS.index, skills_for(task, work.site))),
        priority=PRIORITY.get(task.care, 1) + (task.missed is not None),
        published=None if seen is None else (seen - monday).days,
        published_crew=told[0] if told and seen is not None else None,
    )


def _points(task: PlanTask, day: date) -> int:
    """What a day costs a task: more with few days left after it, should the day be rained off.

    For pruning far more also beyond the days it gives way to other work.
    """
    too_far = abs((day - task.target).days) - GIVES_WAY_DAYS if task.care in PRUNING else 0
    left = (task.span.last - day).days
    return (
        round(day_cost(task, day))
        + TOO_FAR_PER_DAY * max(0, too_far)
        + TOO_LATE_PER_DAY * max(0, SPARE_DAYS - left)
    )


def _crew(crew: CrewSettings) -> Crew:
    week_min = crew.people * crew.minutes_a_day * len(crew.weekdays)
    return Crew(
        skills=frozenset(map(SKILLS.index, crew.skills)),
        even_week_minutes=round(week_min * EVEN_SHARE),
    )


def _slots(crews: Sequence[CrewSettings], days: set[date], monday: date) -> tuple[Slot, ...]:
    return tuple(
        Slot(
            crew=number,
            day=(day - monday).days,
            minutes=crew.people * crew.minutes_a_day,
            places=crew.visits_a_day,
            visit_minutes=crew.people * VISIT_MIN,
        )
        for day in sorted(days)
        for number, crew in enumerate(crews)
        if works_on(crew, day)
    )


def _clusters(sites: Sequence[Site], coming: Sequence[Sequence[CrewSettings]]) -> tuple[int, ...]:
    """A number for each site, the same for sites near each other that the same crews come to."""
    members: list[list[int]] = []
    found = []
    for at, site in enumerate(sites):
        fits = (
            number
            for number, others in enumerate(members)
            if coming[others[0]] == coming[at]
            and all(km_between(sites[other], site) <= NEAR_KM for other in others)
        )
        number = next(fits, len(members))
        if number == len(members):
            members.append([])
        members[number].append(at)
        found.append(number)
    return tuple(found)


def _trips(
    sites: Sequence[Site],
    coming: Sequence[Sequence[CrewSettings]],
    clusters: Sequence[int],
    crews: Sequence[CrewSettings],
) -> dict[tuple[int, int], Trip]:
    """There and back to the farthest site of each cluster, for every crew that comes to it."""
    farthest: dict[tuple[int, int], float] = {}
    for site, who, cluster in zip(sites, coming, clusters, strict=True):
        for crew in who:
            key = crews.index(crew), cluster
            farthest[key] = max(farthest.get(key, 0.0), km_to_site(crew, site))
    return {
        (crew, cluster): Trip(round(2 * km), crews[crew].people * 2 * drive_min(km))
        for (crew, cluster), km in farthest.items()
    }
