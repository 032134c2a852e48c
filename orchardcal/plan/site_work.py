"""What is to be done at one site: windows, tasks, and the days the site by itself would choose."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta

from orchardcal.journal.published import Published
from orchardcal.plan.care_tasks import OF_WINDOWS, Found, SiteSeason, window_tasks
from orchardcal.plan.coming_days import with_forecast
from orchardcal.plan.crew_tasks import in_crew_days, is_for_crews
from orchardcal.plan.days import SiteDays
from orchardcal.plan.deferred import deferred_cuts
from orchardcal.plan.done_jobs import done_jobs
from orchardcal.plan.follow_ups import (
    follow_ups,
    with_notice,
    without_double_painting,
    without_over,
)
from orchardcal.plan.identity import Slot, seen_before, uids, wanted
from orchardcal.plan.outcome import Outcome, outcome_of
from orchardcal.plan.plan import CareWindow, Job, NotPlaced
from orchardcal.plan.site_notes import site_notes
from orchardcal.plan.task import Task
from orchardcal.plan.volunteers import with_pins
from orchardcal.plan.wording import title
from orchardcal.season import Span
from orchardcal.sentence import Sentence
from orchardcal.sites.site import Site
from orchardcal.species.rules import SpeciesRules

LONGEST_AFTER_DAYS = 130  # looks and late paint follow work of a season's last days


@dataclass(frozen=True)
class SiteWork:
    """What is to be done at one site, and its days by the site's own lights; small, for pickling.

    outcome: the tasks on the days the site by itself would choose. done: published work since done.
    last: the last day of the seasons planned. windows, not_placed, notes: as SitePlan has them, so
    far as no day decides about them.
    """

    site: Site
    rules: dict[str, SpeciesRules]
    grade: str
    seasons: tuple[int, ...]
    last: date
    calendar: SiteDays
    outcome: Outcome
    published: tuple[Published, ...]
    done: tuple[Job, ...]
    windows: tuple[CareWindow, ...]
    not_placed: tuple[NotPlaced, ...]
    notes: tuple[Sentence, ...]


def site_work(
    seasons: tuple[SiteSeason, ...], published: Sequence[Published], crew_day_min: int | None = None
) -> SiteWork:
    """The work of one site for one season or two that follow each other.

    seasons: the same site, rules and journal; the climate as of the day. published: what
    subscribers last saw of this site. crew_day_min: the most person-minutes of work that a crew can
    do here on one day, where crews come.
    """
    here = seasons[0]
    site = here.site
    calendar = SiteDays(site, _horizon(seasons), here.as_of, here.known, here.near)
    found = [window_tasks(one, calendar.open) for one in seasons]
    cuts = deferred_cuts(seasons)
    tasks = [
        with_pins(with_forecast(task, here.near), site)
        for task in (*_tasks(seasons, found, calendar, crew_day_min), *cuts.tasks)
    ]
    seen = seen_before([wanted(task, site.key) for task in tasks], published, here.as_of)
    tasks = [
        replace(
            task,
            previous_day=before.day,
            missed=before.missed,
            previous_crew=before.crew,
            for_crews=crew_day_min is not None and is_for_crews(task.care, site),
        )
        for task, before in zip(tasks, seen, strict=True)
    ]
    return SiteWork(
        site=site,
        rules=here.rules,
        grade=here.climate.ensemble.grade,
        seasons=tuple(one.season.harvest_year for one in seasons),
        last=seasons[-1].season.last,
        calendar=calendar,
        outcome=outcome_of(tasks, calendar),
        published=tuple(published),
        done=tuple(done_jobs(seasons, published, set())),
        windows=_care_windows(tasks, here, published),
        not_placed=(*(entry for one in found for entry in one.not_placed), *cuts.not_placed),
        notes=site_notes(seasons),
    )


def _tasks(
    seasons: tuple[SiteSeason, ...],
    found: list[Found],
    calendar: SiteDays,
    crew_day_min: int | None,
) -> list[Task]:
    def some_day(task: Task) -> bool:
        return bool(calendar.days_for(task).free)

    tasks: list[Task] = []
    for one, its in zip(seasons, found, strict=True):
        noticed = [part for task in its.tasks for part in with_notice(task, one, some_day)]
        own = [part for task in noticed for part in in_crew_days(task, one, crew_day_min)]
        every = without_double_painting([*own, *follow_ups(own, one)])
        tasks.extend(without_over(every, calendar.as_of))
    return tasks


def _horizon(seasons: tuple[SiteSeason, ...]) -> Span:
    """The days any task may fall on: to the end of the seasons, and what follows them."""
    last = seasons[-1].season.last + timedelta(days=LONGEST_AFTER_DAYS)
    return Span(min(seasons[0].as_of, last), last)


def _care_windows(
    tasks: Sequence[Task], here: SiteSeason, published: Sequence[Published]
) -> tuple[CareWindow, ...]:
    """The windows subscribers see: those of cares with a window of their own."""
    shown = [task for task in tasks if task.care in OF_WINDOWS and task.windows]
    slots = [f"{task.slot}/window" for task in shown]
    named = [
        (Slot(here.site.key, slot, task.season.harvest_year), task.ids)
        for slot, task in zip(slots, shown, strict=True)
    ]
    known = uids(named, published)
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
