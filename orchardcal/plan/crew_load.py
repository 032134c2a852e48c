"""What crews have to do, day by day and week by week, beside the hours they have for it.

Hours here are the crew's on the clock, not person-hours: of two people who work together for an
hour it is one. The way is driven from home to each site in turn and back.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

from orchardcal.plan.crew_hours import ARRIVE_MIN, drive_min, works_on
from orchardcal.plan.crew_tours import legs_km
from orchardcal.plan.plan import DONE, Job, Plan, SitePlan
from orchardcal.season import Season, is_southern
from orchardcal.sites.crew_settings import CrewSettings

WEEK = timedelta(days=7)


@dataclass(frozen=True)
class CrewDay:
    """A crew's day out.

    sites: keys in the order visited. jobs: UIDs in the order done. work_min: at the trees.
    around_min: driving and arriving. capacity_min: time away from home that the crew has.
    """

    crew: str
    day: date
    sites: tuple[str, ...]
    jobs: tuple[str, ...]
    work_min: int
    around_min: int
    capacity_min: int
    km: float


@dataclass(frozen=True)
class CrewWeek:
    """A crew's week. trips: days out. visits: sites visited, each once a day.

    capacity_min: of the week's days from the plan's as-of day on.
    """

    crew: str
    monday: date
    capacity_min: int
    work_min: int
    around_min: int
    trips: int
    visits: int
    km: float

    @property
    def away_min(self) -> int:
        """Time away from home."""
        return self.work_min + self.around_min


@dataclass(frozen=True)
class CrewLoad:
    """All of a crew's days out, and its weeks, those without work among them."""

    crew: CrewSettings
    days: tuple[CrewDay, ...]
    weeks: tuple[CrewWeek, ...]


def crew_loads(plan: Plan) -> tuple[CrewLoad, ...]:
    """The load of each crew of a plan, in their order. Work that is done does not count.

    The weeks run from the as-of day, or the first day of the season, to the season's end: the
    season of the sites a crew works at, of all sites where it has no work.
    """
    sites = {site.site: site for site in plan.sites}
    jobs: dict[str, dict[date, list[Job]]] = {crew.key: {} for crew in plan.crews}
    for job in plan.jobs:
        if job.crew in jobs and job.state != DONE:
            jobs[job.crew].setdefault(job.day, []).append(job)
    loads = []
    for crew in plan.crews:
        by_day = sorted(jobs[crew.key].items())
        days = tuple(_day(crew, day, own, sites) for day, own in by_day)
        theirs = {key: sites[key] for day in days for key in day.sites} or sites
        loads.append(CrewLoad(crew, days, _weeks(crew, days, plan.as_of, theirs.values())))
    return tuple(loads)


def _day(crew: CrewSettings, day: date, jobs: list[Job], sites: dict[str, SitePlan]) -> CrewDay:
    def begin(job: Job) -> tuple[datetime, str]:
        zone = ZoneInfo(sites[job.site].timezone)
        return datetime.combine(day, job.start, zone), job.uid

    in_turn = sorted(jobs, key=begin)
    visited = tuple(dict.fromkeys(job.site for job in in_turn))
    legs = legs_km(crew, [sites[key] for key in visited])
    return CrewDay(
        crew=crew.key,
        day=day,
        sites=visited,
        jobs=tuple(job.uid for job in in_turn),
        work_min=sum(_lasts_min(job) for job in in_turn),
        around_min=sum(map(drive_min, legs)) + ARRIVE_MIN * len(visited),
        capacity_min=_capacity_min(crew, day),
        km=sum(legs),
    )


def _lasts_min(job: Job) -> int:
    lasts = datetime.combine(job.day, job.end) - datetime.combine(job.day, job.start)
    return int(lasts.total_seconds()) // 60


def _capacity_min(crew: CrewSettings, day: date) -> int:
    return crew.minutes_a_day if works_on(crew, day) else 0


def _weeks(
    crew: CrewSettings, days: Sequence[CrewDay], as_of: date, sites: Iterable[SitePlan]
) -> tuple[CrewWeek, ...]:
    out: dict[date, list[CrewDay]] = {}
    for day in days:
        out.setdefault(_monday(day.day), []).append(day)
    seasons = [
        Season(year, is_southern(site.latitude_deg)) for site in sites for year in site.seasons
    ]
    mondays = set(out)
    if seasons:
        first = max(as_of, min(season.first for season in seasons))
        last = max(season.last for season in seasons)
        mondays |= {_monday(day) for day in (first, last) if first <= last}
    if not mondays:
        return ()
    weeks, monday = [], min(mondays)
    while monday <= max(mondays):
        weeks.append(_week(crew, monday, out.get(monday, []), as_of))
        monday += WEEK
    return tuple(weeks)


def _week(crew: CrewSettings, monday: date, days: Sequence[CrewDay], as_of: date) -> CrewWeek:
    ahead = [day for day in (monday + timedelta(days=n) for n in range(7)) if day >= as_of]
    return CrewWeek(
        crew=crew.key,
        monday=monday,
        capacity_min=sum(_capacity_min(crew, day) for day in ahead),
        work_min=sum(day.work_min for day in days),
        around_min=sum(day.around_min for day in days),
        trips=len(days),
        visits=sum(len(day.sites) for day in days),
        km=sum((day.km for day in days), 0.0),
    )


def _monday(day: date) -> date:
    return day - timedelta(days=day.weekday())
