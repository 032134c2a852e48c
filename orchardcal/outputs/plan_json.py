"""A plan as JSON for other programs: documented in the README, with a version."""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator
from typing import Any

from orchardcal.care import TITLES
from orchardcal.outputs.speech import Speech
from orchardcal.plan.crew_load import CrewLoad, CrewWeek, crew_loads
from orchardcal.plan.plan import CareWindow, Job, NotPlaced, Plan, SitePlan
from orchardcal.plan.work_day import WorkDay
from orchardcal.season import Span

_END = "\n}"
VERSION = 1  # raised when a field changes its meaning or goes away; new fields do not raise it


def plan_json(plan: Plan, speech: Speech) -> bytes:
    """The whole plan, UTF-8, one object, keys in a fixed order."""
    return b"".join(plan_json_of(plan, (site_json(site, speech) for site in plan.sites)))


def plan_json_of(plan: Plan, sites: Iterable[str]) -> Iterator[bytes]:
    """The same in pieces, from a plan at a glance and each site's part as site_json writes it."""
    head = {
        "format": "orchardcal-plan",
        "version": VERSION,
        "programme": plan.name,
        "as_of": plan.as_of.isoformat(),
        "crews": [_crew(load) for load in crew_loads(plan)],
    }
    yield f'{_written(head).removesuffix(_END)},\n "sites": ['.encode()
    number = 0
    for number, site in enumerate(sites, 1):
        yield f"{',' if number > 1 else ''}\n  {site}".encode()
    yield b"\n ]\n}\n" if number else b"]\n}\n"


def site_json(site: SitePlan, speech: Speech) -> str:
    """One site's part of the plan, two steps in: a line break within a JSON text is written \\n."""
    return _written(_site(site, speech)).replace("\n", "\n  ")


def _written(value: dict[str, Any]) -> str:
    return json.dumps(value, ensure_ascii=False, indent=1)


def _crew(load: CrewLoad) -> dict[str, Any]:
    return {
        "key": load.crew.key,
        "name": load.crew.name,
        "people": load.crew.people,
        "weeks": [_week(week) for week in load.weeks],
    }


def _week(week: CrewWeek) -> dict[str, Any]:
    return {
        "monday": week.monday.isoformat(),
        "capacity_minutes": week.capacity_min,
        "work_minutes": week.work_min,
        "driving_and_arriving_minutes": week.around_min,
        "days_out": week.trips,
        "visits": week.visits,
        "km": round(week.km, 1),
    }


def _site(site: SitePlan, speech: Speech) -> dict[str, Any]:
    return {
        "key": site.site,
        "name": site.name,
        "latitude": site.latitude_deg,
        "longitude": site.longitude_deg,
        "timezone": site.timezone,
        "grade": site.grade,
        "seasons": list(site.seasons),
        "notes": [speech.sentence(note) for note in site.notes],
        "jobs": [_job(job, speech) for job in site.jobs],
        "windows": [_window(window, speech) for window in site.windows],
        "not_placed": [_not_placed(entry, speech) for entry in site.not_placed],
        "work_days": [_work_day(one, speech) for one in site.work_days],
    }


def _job(job: Job, speech: Speech) -> dict[str, Any]:
    return {
        "uid": job.uid,
        "care": TITLES[job.care],
        "part": job.part,
        "season": job.season,
        "plantings": list(job.plantings),
        "trees": job.trees,
        "day": job.day.isoformat(),
        "start": job.start.isoformat("minutes"),
        "end": job.end.isoformat("minutes"),
        "window": _span(job.window),
        "share_of_seasons_suitable": job.odds,
        "person_minutes": job.minutes,
        "people": job.people,
        "crew": job.crew,
        "state": job.state,
        "title": speech.sentence(job.title),
        "why": [speech.sentence(one) for one in job.why],
        "do": [speech.sentence(one) for one in job.do],
        "bring": [speech.sentence(one) for one in job.bring],
        "after": [speech.sentence(one) for one in job.then],
        "cautions": [speech.sentence(one) for one in job.cautions],
        "comes_after": [{"uid": one.uid, "gap_hours": one.gap_h} for one in job.befores],
    }


def _window(window: CareWindow, speech: Speech) -> dict[str, Any]:
    return {
        "uid": window.uid,
        "care": TITLES[window.care],
        "season": window.season,
        "plantings": list(window.plantings),
        **_span(window.span),
        "day_odds": None if window.day_odds is None else list(window.day_odds),
        "why": [speech.sentence(one) for one in window.why],
    }


def _not_placed(entry: NotPlaced, speech: Speech) -> dict[str, Any]:
    return {
        "care": TITLES[entry.care],
        "season": entry.season,
        "plantings": list(entry.plantings),
        "kind": entry.kind,
        "window": None if entry.window is None else _span(entry.window),
        "why": [speech.sentence(one) for one in entry.why],
        "nearest": None if entry.nearest is None else speech.sentence(entry.nearest),
    }


def _work_day(one: WorkDay, speech: Speech) -> dict[str, Any]:
    return {
        "day": one.day.isoformat(),
        "start": one.start.isoformat("minutes"),
        "end": one.end.isoformat("minutes"),
        "jobs": list(one.jobs),
        "trees": one.trees,
        "person_minutes": one.minutes,
        "person_minutes_that_fit": one.fit_minutes,
        "enough": one.enough,
        "people": one.people,
        "leaders": one.leaders,
        "pinned": one.pinned,
        "rain_day": None if one.rain_day is None else one.rain_day.isoformat(),
        "why_no_rain_day": None if one.rain_why is None else speech.sentence(one.rain_why),
        "announcements": [
            {"by": each.day.isoformat(), "what": speech.sentence(each.what)}
            for each in one.announcements
        ],
        "run_sheet": [
            {
                "start": step.start.isoformat("minutes"),
                "end": step.end.isoformat("minutes"),
                "what": speech.sentence(step.what),
            }
            for step in one.run_sheet
        ],
        "bring": [speech.sentence(each) for each in one.tools],
        "cautions": [speech.sentence(each) for each in one.cautions],
        "lesson": [speech.sentence(each) for each in one.lesson],
        "notes": [speech.sentence(each) for each in one.notes],
    }


def _span(span: Span) -> dict[str, str]:
    return {"first": span.first.isoformat(), "last": span.last.isoformat()}
