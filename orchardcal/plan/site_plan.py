"""One site's plan: the jobs its tasks become on their days, and what found no place."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from datetime import date, timedelta
from functools import partial

from orchardcal.journal.published import Published
from orchardcal.plan.care_tasks import SiteSeason
from orchardcal.plan.days import DayList, funnel, nearest_change
from orchardcal.plan.identity import uids, wanted
from orchardcal.plan.moves import moved_because
from orchardcal.plan.outcome import Outcome, outcome_of
from orchardcal.plan.placing import Order, orders
from orchardcal.plan.plan import NotPlaced, SitePlan
from orchardcal.plan.site_supplies import visit_supplies
from orchardcal.plan.site_work import SiteWork, site_work
from orchardcal.plan.task import Task, together
from orchardcal.plan.visits import jobs
from orchardcal.plan.wording import title
from orchardcal.plan.work_days import work_days
from orchardcal.season import Season
from orchardcal.sentence import Sentence, say


def site_plan(seasons: tuple[SiteSeason, ...], published: Sequence[Published]) -> SitePlan:
    """The plan of one site that no crew comes to, as site_work takes it."""
    return site_plan_of(site_work(seasons, published))


def with_crews(work: SiteWork, tasks: Sequence[Task]) -> SiteWork:
    """The work with its tasks as crews have them: each with its place, or why it has none."""
    return replace(work, outcome=outcome_of(tasks, work.calendar))


def site_plan_of(work: SiteWork) -> SitePlan:
    """The plan of a site whose tasks have their days."""
    site, calendar, outcome = work.site, work.calendar, work.outcome
    joined = _joined(outcome, calendar.as_of)
    known = uids([wanted(task, site.key) for task, _ in joined], work.published)
    made = jobs([t for t, _ in joined], [day for _, day in joined], known, work.rules, calendar)
    people = {job.uid: job.people for job in made}
    taking = [(task, day, people[uid]) for (task, day), uid in zip(joined, known, strict=True)]
    done = [job for job in work.done if job.uid not in people]
    return SitePlan(
        site=site.key,
        name=site.name,
        where=site.where,
        latitude_deg=site.latitude_deg,
        longitude_deg=site.longitude_deg,
        timezone=site.timezone,
        lead=site.lead,
        grade=work.grade,
        seasons=work.seasons,
        jobs=tuple(sorted((*made, *done), key=lambda job: (job.day, job.start, job.uid))),
        windows=work.windows,
        not_placed=(*work.not_placed, *_without_days(work)),
        notes=work.notes,
        pupils_take_part=site.pupils_take_part,
        work_days=work_days(made, joined, calendar, work.last),
        supplies=visit_supplies(site.key, taking),
    )


def _joined(outcome: Outcome, as_of: date) -> list[tuple[Task, date]]:
    """The placed tasks with their days; those of one slot and season on one day are one job."""
    alike: dict[tuple[str, Season, date, str], list[Task]] = {}
    rules = orders(outcome.tasks)
    for at, task in enumerate(outcome.tasks):
        days, day = outcome.day_lists[at], outcome.placed.days[at]
        if day is not None and at not in outcome.idle:
            moved = moved_because(
                task, day, days, as_of, partial(outcome.placed.in_order, at, rules=rules)
            )
            crew = task.crew.crew if task.crew is not None else ""
            alike.setdefault((task.slot, task.season, day, crew), []).append(
                replace(task, moved=moved)
            )
    return [(together(tasks, day), day) for (_, _, day, _), tasks in alike.items()]


def _without_days(work: SiteWork) -> Iterable[NotPlaced]:
    """The tasks that got no day: which rule left none, and the nearest change that would."""
    outcome = work.outcome
    for at, task in enumerate(outcome.tasks):
        if outcome.placed.days[at] is not None or at in outcome.idle:
            continue
        days, blocked = outcome.day_lists[at], outcome.placed.blocked_by.get(at)
        reasons: tuple[Sentence, ...]
        if task.no_crew is not None:
            kind, reasons, nearest = "no crew", task.no_crew.why, task.no_crew.nearest
        elif blocked is None or not days.free:
            kind, reasons = "no day", (funnel(task, days, work.site),)
            nearest = nearest_change(task, days)
        else:
            reason, nearest = _out_of_order(days, blocked, work)
            kind, reasons = "order", (reason,)
        yield NotPlaced(
            site=work.site.key,
            care=task.care,
            season=task.season.harvest_year,
            plantings=task.ids,
            kind=kind,
            why=(*task.why, *reasons),
            nearest=nearest,
            window=task.span,
        )


def _out_of_order(days: DayList, blocked: Order, work: SiteWork) -> tuple[Sentence, Sentence]:
    earlier = work.outcome.tasks[blocked.earlier]
    last = days.free[-1]
    named = title(earlier.care, earlier.plantings, work.rules)
    reason = say(
        "It must come at least {count} day after other work ({work}), and its own last free day is"
        " {last}.",
        plural="It must come at least {count} days after other work ({work}), and its own last"
        " free day is {last}.",
        count=blocked.gap,
        work=named,
        last=last,
    )
    nearest = say(
        "{day} would do, if that work ({work}) were done by {latest}.",
        day=last,
        work=named,
        latest=last - timedelta(days=blocked.gap),
    )
    return reason, nearest
