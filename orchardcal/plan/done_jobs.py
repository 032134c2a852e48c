"""Jobs that were published and have since been done: they stay in the feeds and say so."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, time

from orchardcal import care as cares
from orchardcal.journal.published import CANCELLED, GONE, WINDOW, Published
from orchardcal.plan.care_tasks import SiteSeason
from orchardcal.plan.plan import DONE, Job
from orchardcal.plan.wording import title
from orchardcal.season import Span
from orchardcal.sentence import say
from orchardcal.sites.site import Planting


def done_jobs(
    seasons: tuple[SiteSeason, ...], published: Sequence[Published], planned: set[str]
) -> list[Job]:
    """A job marked done for every published one whose work is finished on all its plantings.

    planned: UIDs the new plan still uses. A job in the past that nobody ticked and that the plan
    no longer holds is left as subscribers have it.
    """
    here = seasons[0]
    by_id = {planting.id: planting for planting in here.site.plantings}
    found = []
    for row in published:
        if row.uid in planned or row.status in (CANCELLED, GONE, WINDOW):
            continue
        plantings = [by_id[one] for one in row.plantings if one in by_id]
        care, _, part = row.care.partition("/")
        day = _done_on(care, part, plantings, row, here)
        if plantings and day is not None:
            found.append(_done_job(row, care, part, plantings, day, here))
    return found


def _done_on(
    care: str, part: str, plantings: Sequence[Planting], row: Published, here: SiteSeason
) -> date | None:
    """The last day of the work, None unless all of it is done."""
    if care == cares.DEFERRED_CUT:
        cut = next((cut for cut in here.known.cuts if cut.reference == part), None)
        return cut.decision.day if cut is not None and cut.decision is not None else None
    days = []
    for planting in plantings:
        if care == cares.DORMANCY_CHECK:
            days.append(here.known.dormant_on(planting, row.season))
        elif care == cares.OIL_SCOUTING:
            seen = here.known.pests_on(planting, row.season)
            days.append(None if seen is None else seen.day)
        else:
            standing = here.known.standing(planting, care, row.season)
            done = standing is not None and standing.state == "done"
            days.append(standing.last_day if standing is not None and done else None)
    known = [day for day in days if day is not None]
    return max(known) if known and len(known) == len(days) else None


def _done_job(
    row: Published,
    care: str,
    part: str,
    plantings: Sequence[Planting],
    day: date,
    here: SiteSeason,
) -> Job:
    return Job(
        uid=row.uid,
        site=row.site,
        care=care,
        part=part,
        season=row.season,
        plantings=row.plantings,
        trees=sum(planting.count for planting in plantings),
        day=day,
        start=here.site.opens,
        end=_an_hour_later(here.site.opens),
        window=Span(day, day),
        minutes=0,
        people=0,
        title=title(care, plantings, here.rules),
        why=(say("Recorded as done on {day}.", day=day),),
        do=(),
        bring=(),
        then=(),
        cautions=(),
        state=DONE,
        odds=row.odds,
        planned=row.planned,
        crew=row.crew,
    )


def _an_hour_later(clock: time) -> time:
    return clock.replace(hour=min(clock.hour + 1, 23))
