"""One site's plan: windows, tasks, days, jobs, and what found no place."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from functools import partial

from orchardcal import care as cares
from orchardcal.journal.published import Published
from orchardcal.plan.care_tasks import AFTER, OF_WINDOWS, Found, SiteSeason, window_tasks
from orchardcal.plan.coming_days import with_forecast
from orchardcal.plan.days import DayList, SiteDays, funnel, nearest_change
from orchardcal.plan.deferred import deferred_cuts
from orchardcal.plan.done_jobs import done_jobs
from orchardcal.plan.follow_ups import (
    follow_ups,
    with_notice,
    without_double_painting,
    without_over,
)
from orchardcal.plan.identity import Slot, Wanted, seen_before, uids
from orchardcal.plan.moves import moved_because
from orchardcal.plan.placing import Order, Placed, orders, placed
from orchardcal.plan.plan import CareWindow, NotPlaced, SitePlan
from orchardcal.plan.site_notes import site_notes
from orchardcal.plan.task import Task, slot_of, together
from orchardcal.plan.visits import jobs
from orchardcal.plan.volunteers import with_pins
from orchardcal.plan.wording import title
from orchardcal.plan.work_days import work_days
from orchardcal.season import Season, Span
from orchardcal.sentence import Sentence, say


def site_plan(seasons: tuple[SiteSeason, ...], published: Sequence[Published]) -> SitePlan:
    """The plan of one site for one season or two that follow each other.

    seasons: the same site, rules and journal; the climate as of the day. published: what
    subscribers last saw of this site.
    """
    here = seasons[0]
    site = here.site
    calendar = SiteDays(site, _horizon(seasons), here.as_of, here.known, here.near)
    found = [window_tasks(one, calendar.open) for one in seasons]
    cuts = deferred_cuts(seasons)
    tasks = [
        with_pins(with_forecast(task, here.near), site)
        for task in (*_tasks(seasons, found, calendar), *cuts.tasks)
    ]
    seen = seen_before([_wanted(task, site.key) for task in tasks], published, here.as_of)
    tasks = [
        replace(task, previous_day=before.day, missed=before.missed)
        for task, before in zip(tasks, seen, strict=True)
    ]
    outcome = _outcome(tasks, calendar)
    joined = _joined(outcome, here.as_of)
    known = uids([_wanted(task, site.key) for task, _ in joined], published)
    made = jobs([t for t, _ in joined], [day for _, day in joined], known, here.rules, calendar)
    finished = done_jobs(seasons, published, {job.uid for job in made})
    return SitePlan(
        site=site.key,
        name=site.name,
        where=site.where,
        latitude_deg=site.latitude_deg,
        longitude_deg=site.longitude_deg,
        timezone=site.timezone,
        lead=site.lead,
        grade=here.climate.ensemble.grade,
        seasons=tuple(one.season.harvest_year for one in seasons),
        jobs=tuple(sorted((*made, *finished), key=lambda job: (job.day, job.start, job.uid))),
        windows=_care_windows(tasks, here, published),
        not_placed=(
            *(entry for one in found for entry in one.not_placed),
            *cuts.not_placed,
            *_without_days(outcome, seasons),
        ),
        notes=site_notes(seasons),
        pupils_take_part=site.pupils_take_part,
        work_days=work_days(made, joined, calendar, seasons[-1].season.last),
    )


LONGEST_AFTER_DAYS = 130  # looks and late paint follow work of a season's last days
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


def _outcome(tasks: Sequence[Task], calendar: SiteDays) -> Outcome:
    """The tasks on days; what serves work that found no day falls away with it."""
    lists = [calendar.days_for(task) for task in tasks]
    outcome = placed(tasks, [days.free for days in lists], orders(tasks))
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
    return _outcome([task for task in served if task is not None], calendar)


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


def _joined(outcome: Outcome, as_of: date) -> list[tuple[Task, date]]:
    """The placed tasks with their days; those of one slot and season on one day are one job."""
    alike: dict[tuple[str, Season, date], list[Task]] = {}
    rules = orders(outcome.tasks)
    for at, task in enumerate(outcome.tasks):
        days, day = outcome.day_lists[at], outcome.placed.days[at]
        if day is not None and at not in outcome.idle:
            moved = moved_because(
                task, day, days, as_of, partial(outcome.placed.in_order, at, rules=rules)
            )
            alike.setdefault((task.slot, task.season, day), []).append(replace(task, moved=moved))
    return [(together(tasks, day), day) for (_, _, day), tasks in alike.items()]


def _wanted(task: Task, site: str) -> Wanted:
    return Slot(site, task.slot, task.season.harvest_year), task.ids


def _tasks(seasons: tuple[SiteSeason, ...], found: list[Found], calendar: SiteDays) -> list[Task]:
    def some_day(task: Task) -> bool:
        return bool(calendar.days_for(task).free)

    tasks: list[Task] = []
    for one, its in zip(seasons, found, strict=True):
        own = [part for task in its.tasks for part in with_notice(task, one, some_day)]
        every = without_double_painting([*own, *follow_ups(own, one)])
        tasks.extend(without_over(every, calendar.as_of))
    return tasks


def _horizon(seasons: tuple[SiteSeason, ...]) -> Span:
    """The days any task may fall on: to the end of the seasons, and what follows them."""
    last = seasons[-1].season.last + timedelta(days=LONGEST_AFTER_DAYS)
    return Span(min(seasons[0].as_of, last), last)


def _without_days(outcome: Outcome, seasons: tuple[SiteSeason, ...]) -> Iterable[NotPlaced]:
    """The tasks that got no day: which rule left none, and the nearest change that would."""
    for at, task in enumerate(outcome.tasks):
        if outcome.placed.days[at] is not None or at in outcome.idle:
            continue
        here = next(one for one in seasons if one.season == task.season)
        days, blocked = outcome.day_lists[at], outcome.placed.blocked_by.get(at)
        if blocked is None or not days.free:
            reason, nearest = funnel(task, days, here.site), nearest_change(task, days)
            kind = "no day"
        else:
            kind, (reason, nearest) = "order", _out_of_order(days, outcome, blocked, here)
        why = (*task.why, reason)
        yield here.not_placed(task.care, task.plantings, kind, why, nearest, task.span)


def _out_of_order(
    days: DayList, outcome: Outcome, blocked: Order, here: SiteSeason
) -> tuple[Sentence, Sentence]:
    earlier = outcome.tasks[blocked.earlier]
    last = days.free[-1]
    work = title(earlier.care, earlier.plantings, here.rules)
    reason = say(
        "It must come at least {count} day after other work ({work}), and its own last free day is"
        " {last}.",
        plural="It must come at least {count} days after other work ({work}), and its own last"
        " free day is {last}.",
        count=blocked.gap,
        work=work,
        last=last,
    )
    nearest = say(
        "{day} would do, if that work ({work}) were done by {latest}.",
        day=last,
        work=work,
        latest=last - timedelta(days=blocked.gap),
    )
    return reason, nearest


def _care_windows(
    tasks: Sequence[Task], here: SiteSeason, published: Sequence[Published]
) -> tuple[CareWindow, ...]:
    """The windows subscribers see: those of cares with a window of their own."""
    shown = [task for task in tasks if task.care in OF_WINDOWS and task.windows]
    slots = [f"{task.slot}/window" for task in shown]
    wanted = [
        (Slot(here.site.key, slot, task.season.harvest_year), task.ids)
        for slot, task in zip(slots, shown, strict=True)
    ]
    known = uids(wanted, published)
    return tuple(
        CareWindow(
            uid=uid,
            site=here.site.key,
            care=task.care,
            season=task.season.harvest_year,
            plantings=task.ids,
            span=task.span,
            title=title(task.care, task.plantings, here.rules),
            why=task.why,
            day_odds=None if task.odds is None else tuple(task.odds[d] for d in task.span.days()),
            slot=slot,
        )
        for task, slot, uid in zip(shown, slots, known, strict=True)
    )
