"""Placed tasks as jobs with clock times: what falls on one day at a site is done in turn."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import date, datetime, time, timedelta

from orchardcal import care as cares
from orchardcal.plan.crew_wording import crew_comes, crew_day
from orchardcal.plan.days import SiteDays
from orchardcal.plan.placing import Order, orders
from orchardcal.plan.plan import OVERDUE, PLANNED, Before, Job
from orchardcal.plan.quantities import (
    crew_clock_minutes,
    people_for,
    person_minutes,
    visit_minutes,
)
from orchardcal.plan.recorded import Recorded
from orchardcal.plan.task import Task
from orchardcal.plan.volunteers import FOR_VOLUNTEERS, settings_for
from orchardcal.plan.wording import cautions, spraying_sign, steps, supplies, title
from orchardcal.plan.work_day_hours import Shift, shifts_of
from orchardcal.plan.work_day_wording import for_minors, invitation
from orchardcal.sentence import Sentence, say
from orchardcal.sites.site import Site
from orchardcal.species.rules import SpeciesRules
from orchardcal.windows.near_days import NearDays

IN_TURN = list(cares.TITLES)  # cares on one day are done in this order
SPRAY_UNTIL = time(12, 0)  # oil goes on in the morning and dries by day


def jobs(
    tasks: Sequence[Task],
    days: Sequence[date],
    known: Sequence[str],
    rules: Mapping[str, SpeciesRules],
    calendar: SiteDays,
) -> list[Job]:
    """One job per task on its day, those of a day one after another inside work hours."""
    made: list[Job] = []
    order = orders(tasks)
    species = dict(rules)
    for day in sorted(set(days)):
        today = [at for at, on in enumerate(days) if on == day]
        today.sort(key=lambda at: _in_turn(tasks[at], calendar.site))
        hours = calendar.work_hours(day) or (calendar.site.opens, calendar.site.closes)
        available = _minutes_between(day, *hours)
        free_from: dict[str, datetime] = {}  # of each crew, and of those who are here anyway ("")
        shifts: dict[int, Shift] = {}
        for at in today:
            place = tasks[at].crew
            crew = place.crew if place is not None else ""
            first = place.begin if place is not None else hours[0]
            begin = free_from.get(crew, datetime.combine(day, first))
            if not shifts:
                shifts = shifts_of(at, today, tasks, begin, hours[1], species, calendar.site)
            given = (available, species, calendar, shifts.get(at))
            job, end = _job(at, tasks, known[at], begin, *given)
            meets = [one for one in made if one.day == day and one.crew and not crew]
            if any(one.start < job.end and job.start < one.end for one in meets):
                after = datetime.combine(day, max(one.end for one in meets))
                job, end = _job(at, tasks, known[at], after, *given)
            free_from[crew] = end
            sign = _sign(at, tasks, days, calendar)
            made.append(replace(job, do=(*sign, *job.do), befores=_befores(at, known, order)))
    return sorted(made, key=lambda job: (job.day, job.start, job.uid))


def _in_turn(task: Task, site: Site) -> tuple[bool, bool, int, str, tuple[str, ...]]:
    """Crews have their hours; volunteers begin the day, so theirs fit into it; then by care."""
    waits = settings_for(site, task.care) is None
    return task.crew is None, waits, IN_TURN.index(task.care), task.part, task.ids


def _job(
    at: int,
    tasks: Sequence[Task],
    uid: str,
    begin: datetime,
    available_min: int,
    rules: dict[str, SpeciesRules],
    calendar: SiteDays,
    shift: Shift | None,
) -> tuple[Job, datetime]:
    task, site = tasks[at], calendar.site
    open_to_volunteers = site.volunteers and task.care in FOR_VOLUNTEERS
    year = task.season.harvest_year
    minutes = person_minutes(task.care, task.plantings, rules, year, open_to_volunteers)
    if task.crew is not None:
        people = task.crew.people
        takes = crew_clock_minutes(minutes, people)
    else:
        people = shift.people if shift else people_for(minutes, available_min)
        takes = visit_minutes(minutes, people)
    end = shift.end if shift else begin + timedelta(minutes=takes)
    together = (invitation(people, shift.leaders, shift.welcome, shift.over),) if shift else ()
    by_crew: tuple[Sentence, ...] = ()
    if task.crew is not None:
        together, by_crew = (crew_comes(task.crew),), (crew_day(task.crew),)
    job = Job(
        uid=uid,
        site=site.key,
        care=task.care,
        part=task.part,
        season=year,
        plantings=task.ids,
        trees=task.trees,
        day=begin.date(),
        start=begin.time(),
        end=end.time(),
        window=task.span,
        minutes=minutes,
        people=people,
        title=title(task.care, task.plantings, rules),
        why=(*_missed(task), *task.why, *_odds(task, begin.date(), calendar.near), *by_crew),
        do=(*together, *steps(task, rules, _left_over(task, calendar.known))),
        bring=supplies(task, people, rules),
        then=_then(at, tasks),
        cautions=(*(for_minors(site) if shift else ()), *cautions(task, rules)),
        state=OVERDUE if task.missed else PLANNED,
        missed=task.missed,
        moved=task.moved,
        open_to_volunteers=open_to_volunteers,
        odds=None if task.odds is None else task.suits(begin.date()),
        crew=task.crew.crew if task.crew is not None else "",
    )
    return job, end


def _sign(
    at: int, tasks: Sequence[Task], days: Sequence[date], calendar: SiteDays
) -> tuple[Sentence, ...]:
    """What a notice says of the spraying it announces."""
    if tasks[at].care != cares.SPRAY_NOTICE:
        return ()
    rule = calendar.site.spray
    return tuple(
        spraying_sign(day, rule.notice_h, rule.sign_h_before, rule.sign_h_after)
        for task, day in zip(tasks, days, strict=True)
        if task.care == cares.DORMANT_OIL_SPRAY
        and task.season == tasks[at].season
        and set(task.ids) & set(tasks[at].ids)
    )


def _left_over(task: Task, known: Recorded) -> tuple[Sentence, ...]:
    """Pruning that the season before left unfinished on these trees."""
    if task.care not in (cares.DORMANT_PRUNING, cares.IN_LEAF_PRUNING):
        return ()
    last_year = task.season.harvest_year - 1
    told = []
    for planting in task.plantings:
        left = known.unfinished(planting, task.care, last_year)
        if left is not None:
            told.append(
                say(
                    "{id}: last season's pruning was left unfinished ({note}); begin with the cuts"
                    " for structure that were left.",
                    id=planting.id,
                    note=left.note or "no note",
                )
            )
    return tuple(told)


def _minutes_between(day: date, begin: time, end: time) -> int:
    between = datetime.combine(day, end) - datetime.combine(day, begin)
    return int(between.total_seconds() // 60)


def _missed(task: Task) -> tuple[Sentence, ...]:
    if task.missed is None:
        return ()
    return (
        say(
            "Not ticked off: it was planned for {day}. If it is done, record it.",
            day=task.missed,
        ),
    )


def _odds(task: Task, day: date, near: NearDays | None) -> tuple[Sentence, ...]:
    """The chosen day's weather as forecast, or its odds in counts of seasons."""
    if task.odds is None:
        return ()
    said = near.said(day) if near is not None and day in task.by_forecast else None
    if said is not None:
        verdict = BY_FORECAST if task.suits(day) else AGAINST_FORECAST
        return (said, verdict)
    return (
        say(
            "{day}: the weather suits in about {count} of 10 seasons; look at the forecast before"
            " you go.",
            day=day,
            count=round(10 * task.suits(day)),
        ),
    )


BY_FORECAST = say("By the forecast that day's weather suits; look once more before you go.")
AGAINST_FORECAST = say(
    "By the forecast that day's weather does not suit, and no nearer day is free."
)


def _befores(at: int, known: Sequence[str], order: Sequence[Order]) -> tuple[Before, ...]:
    return tuple(Before(known[one.earlier], 24 * one.gap) for one in order if one.later == at)


def _then(at: int, tasks: Sequence[Task]) -> tuple[Sentence, ...]:
    """What follows this job, and how soon."""
    care = tasks[at].care
    told = []
    for other in tasks:
        for link in other.links:
            if link.slot != tasks[at].slot or not set(other.ids) & set(tasks[at].ids):
                continue
            template = THEN.get((care, other.care))
            if template is not None:
                told.append(say(template, gap=link.gap_days, within=link.within_days or 0))
    return tuple(dict.fromkeys(told))


THEN = {
    (cares.DORMANT_PRUNING, cares.WHITEWASH_PAINTING): "Then paint the bared bark.",
    (cares.IN_LEAF_PRUNING, cares.WHITEWASH_PAINTING): "Then paint the bared bark.",
    (cares.DORMANT_PRUNING, cares.LOOK_AT_CUTS): (
        "Look at the cuts again after {gap} to {within} days."
    ),
    (cares.IN_LEAF_PRUNING, cares.LOOK_AT_CUTS): (
        "Look at the cuts again after {gap} to {within} days."
    ),
    (cares.WHITEWASH_PAINTING, cares.DORMANT_OIL_SPRAY): (
        "No oil before the paint has dried {gap} days."
    ),
    (cares.OIL_SCOUTING, cares.DORMANT_OIL_SPRAY): (
        "No eggs or scale found: write that down, and the oil spray falls away."
    ),
    (cares.DORMANCY_CHECK, cares.DORMANT_PRUNING): (
        "Write down what you saw: dormant, nearly, growing or not sure. Pruning waits for it."
    ),
}
