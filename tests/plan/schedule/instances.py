"""Invented instances of any size, the same for a seed on every machine."""

from __future__ import annotations

import math
from dataclasses import replace
from random import Random

from orchardcal.plan.schedule import Schedule
from orchardcal.plan.schedule.instance import Crew, Instance, Link, Slot, Task, Trip

PRUNE, SPRAY = 0, 1  # skills
SEASON_DAYS = 364


class Draw:
    """Numbers from random(), whose sequence Python promises to keep."""

    def __init__(self, seed: int) -> None:
        self.random = Random(seed).random

    def between(self, low: int, high: int) -> int:
        return low + int(self.random() * (high - low + 1))


def city(sites: int, seed: int, load_percent: int = 100, crews: int | None = None) -> Instance:
    """A city's schools: clusters of near sites, staff crews by territory, volunteers on Saturdays.

    load_percent: 100 is tight (some tasks may find no place), 70 has slack. A crew has about 36
    sites of its own and helps out at those of the crew beside it.
    """
    draw = Draw(seed)
    staff = crews or max(1, round(sites / 36))
    side_km = 8 * math.isqrt(staff) + 8
    clusters = max(staff, sites // 4)
    # in strips, so that neighbours in the list are neighbours on the ground
    centres = sorted(
        ((draw.between(0, side_km), draw.between(0, side_km)) for _ in range(clusters)),
        key=lambda centre: (centre[0] // 12, centre[1]),
    )
    cluster_of = tuple(draw.between(0, clusters - 1) for _ in range(sites))

    trips: dict[tuple[int, int], Trip] = {}
    homes = [centres[(2 * crew + 1) * clusters // (2 * staff)] for crew in range(staff)]
    for cluster, (x, y) in enumerate(centres):
        own = cluster * staff // clusters
        beside = [crew for crew in (own - 1, own + 1) if 0 <= crew < staff]
        way = {crew: abs(x - homes[crew][0]) + abs(y - homes[crew][1]) for crew in [own, *beside]}
        backup = sorted(beside, key=lambda crew: (way[crew], crew))[:1]
        for crew in [own, *backup]:
            trips[crew, cluster] = Trip(km=way[crew] + 3, minutes=2 * way[crew] + 6)
        trips[staff + own, cluster] = Trip(km=0)  # the volunteers who live there

    people = [
        Crew(skills=frozenset({PRUNE, SPRAY}), even_week_minutes=1400 * 3 // 4)
        for _ in range(staff)
    ] + [Crew(skills=frozenset({PRUNE}), pace_percent=60) for _ in range(staff)]
    slots = _staff_slots(draw, staff) + _volunteer_slots(draw, staff)
    slots.sort(key=lambda slot: (slot.day, slot.crew))

    tasks: list[Task] = []
    links: list[Link] = []
    for place in range(sites):
        _winter(draw, place, load_percent, tasks, links)
        if draw.between(1, 10) <= 7:
            _in_leaf(draw, place, load_percent, tasks)
    return Instance(tuple(tasks), tuple(links), tuple(people), tuple(slots), cluster_of, trips)


def _staff_slots(draw: Draw, crews: int) -> list[Slot]:
    slots = []
    for crew in range(crews):
        weekdays = set(range(5)) - {draw.between(0, 9)}  # every second crew has a day off
        for day in range(SEASON_DAYS):
            if day % 7 in weekdays and draw.between(1, 100) <= 93:  # the rest: holidays, leave
                slots.append(Slot(crew, day, minutes=420, places=4, visit_minutes=25))
    return slots


def _volunteer_slots(draw: Draw, crews: int) -> list[Slot]:
    return [
        Slot(crews + crew, day, minutes=900, places=1, visit_minutes=90, work_day=True)
        for crew in range(crews)
        for day in range(5, SEASON_DAYS, 7)
        if draw.between(1, 3) == 1
    ]


def _winter(draw: Draw, place: int, load: int, tasks: list[Task], links: list[Link]) -> None:
    """Check, prune, paint, scout and spray; a second species at some sites."""
    leaf_fall = draw.between(130, 165)
    bud_swell = leaf_fall + draw.between(60, 95)
    closed = {draw.between(leaf_fall, bud_swell) for _ in range(10)}
    check = len(tasks)
    tasks.append(_task(draw, place, 20 * load, leaf_fall, leaf_fall + 25, closed, ()))
    for _ in range(1 + (draw.between(1, 10) <= 3)):
        prune = len(tasks)
        first = leaf_fall + draw.between(5, 15)
        last = bud_swell - draw.between(5, 20)
        hours = draw.between(2, 6)
        tasks.append(_task(draw, place, hours * 60 * load, first, last, closed, (PRUNE,)))
        links.append(Link(check, prune, min_days=1))
        paint = len(tasks)
        tasks.append(_task(draw, place, hours * 15 * load, first, last + 14, closed, ()))
        links.append(Link(prune, paint, max_days=14))
        oil = len(tasks)
        spray_last = bud_swell + 5
        tasks.append(
            _task(draw, place, hours * 12 * load, spray_last - 40, spray_last, closed, (SPRAY,), 2)
        )
        links.append(Link(paint, oil, min_days=2, needed=False))


def _in_leaf(draw: Draw, place: int, load: int, tasks: list[Task]) -> None:
    first = draw.between(290, 310)
    last = min(SEASON_DAYS - 1, first + draw.between(20, 50))
    minutes = draw.between(2, 4) * 50 * load
    tasks.append(_task(draw, place, minutes, first, last, set(), (PRUNE,)))


def _task(
    draw: Draw,
    place: int,
    minutes_percent: int,
    first: int,
    last: int,
    closed: set[int],
    needs: tuple[int, ...],
    times: int = 1,
) -> Task:
    """A window with weather that wanders; days worse than two in three unsuited are left out."""
    odds = draw.between(5, 40)
    days = []
    for day in range(first, last + 1):
        odds = min(90, max(0, odds + draw.between(-12, 12)))
        if odds <= 66 and day not in closed and 0 <= day < SEASON_DAYS:
            days.append((day, odds * times))
    return Task(
        place=place,
        minutes=max(1, minutes_percent // 100),
        days=tuple(days),
        needs=frozenset(needs),
        priority=draw.between(1, 3),
    )


def published(instance: Instance, schedule: Schedule, with_crews: bool = True) -> Instance:
    """The instance once people were told of a schedule: the days alone, or who comes as well."""
    told = {placed.task: placed for placed in schedule.placements}
    return replace(
        instance,
        tasks=tuple(
            replace(
                task,
                published=told[number].day if number in told else None,
                published_crew=told[number].crew if number in told and with_crews else None,
            )
            for number, task in enumerate(instance.tasks)
        ),
    )


def standing(schedule: Schedule) -> dict[int, int]:
    """Task -> slot of a schedule."""
    return {placed.task: placed.slot for placed in schedule.placements}
