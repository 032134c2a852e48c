"""An independent check of crews' work: reads plan.json and the settings, shares no planner code."""

from __future__ import annotations

import math
from collections import defaultdict
from datetime import date, datetime, timedelta
from itertools import pairwise
from typing import Any
from zoneinfo import ZoneInfo

from orchardcal.sites.crew_settings import CrewSettings
from orchardcal.sites.site import Programme, Site

CUTS = ("Dormant pruning", "In-leaf pruning", "Deferred cut")
FOR_CREWS = (*CUTS, "Whitewash painting", "Dormant oil spray")
FROM_VOLUNTEERS = ("Dormant pruning", "In-leaf pruning", "Whitewash painting")
KM_AN_HOUR, ARRIVE, LADDER_FROM_M = 40, timedelta(minutes=15), 2.5  # as the README says
ROUNDED = timedelta(minutes=1)  # a way is counted in whole minutes


def crew_faults(plan: dict[str, Any], programme: Programme) -> list[str]:
    """Everything crews are sent to do that they cannot, may not, or have no time for."""
    found = []
    crews = {crew.key: crew for crew in programme.crews}
    of_day: dict[tuple[str, str], list[tuple[Site, dict[str, Any]]]] = defaultdict(list)
    for written in plan["sites"]:
        site = programme.site(written["key"])
        for job in written["jobs"]:
            if job["state"] == "done":
                continue
            if not job["crew"]:
                found += _left_to_nobody(job, site, programme)
                continue
            of_day[job["crew"], job["day"]].append((site, job))
            found += [
                f"{site.key} {job['care']} {job['day']} by {job['crew']}: {fault}"
                for fault in _job(job, site, crews[job["crew"]])
            ]
    for (key, day), jobs in sorted(of_day.items(), key=lambda pair: pair[0]):
        found += [f"{key} on {day}: {fault}" for fault in _day(crews[key], jobs)]
    return found


def _left_to_nobody(job: dict[str, Any], site: Site, programme: Programme) -> list[str]:
    """Work for crews without one, though one comes to the site."""
    volunteers = site.volunteers and job["care"] in FROM_VOLUNTEERS
    if job["care"] not in FOR_CREWS or volunteers:
        return []
    coming = [crew.key for crew in programme.crews if _comes(crew, site)]
    return [f"{site.key} {job['care']} {job['day']}: no crew, but {coming} come"] if coming else []


def _job(job: dict[str, Any], site: Site, crew: CrewSettings) -> list[str]:
    found = []
    day = date.fromisoformat(job["day"])
    if not _comes(crew, site):
        found.append(f"{_km(crew, site):.0f} km away")
    if day.weekday() not in crew.weekdays or any(day in span for span in crew.days_off):
        found.append("not a day the crew works")
    if job["end"] > site.closes.isoformat("minutes"):
        found.append(f"until {job['end']}, after the site closes")
    if job["people"] != crew.people:
        found.append(f"{job['people']} people of a crew of {crew.people}")
    if job["care"] not in FOR_CREWS or (site.volunteers and job["care"] in FROM_VOLUNTEERS):
        found.append("not a crew's work")
    clock = datetime.fromisoformat(f"{day} {job['end']}") - datetime.fromisoformat(
        f"{day} {job['start']}"
    )
    if clock * crew.people < timedelta(minutes=job["person_minutes"]):
        found.append(f"{job['minutes']} person-minutes in {clock}")
    if job["care"] in CUTS and "pruning" not in crew.skills:
        found.append("without the skill of pruning")
    tall = {one.id for one in site.plantings if (one.height_m or 0) > LADDER_FROM_M}
    if job["care"] in CUTS and tall & set(job["plantings"]) and "ladder" not in crew.skills:
        found.append("tall trees without the skill of ladders")
    licence = site.spray.licence_needed
    if job["care"] == "Dormant oil spray" and licence and "spraying" not in crew.skills:
        found.append("sprays without the licence")
    return found


def _day(crew: CrewSettings, jobs: list[tuple[Site, dict[str, Any]]]) -> list[str]:
    """From home over the sites in turn and back, within the hours of the crew."""
    found = []
    jobs = sorted(jobs, key=lambda pair: _moment(pair[1], "start", pair[0]))
    visits = [jobs[0]]
    for before, after in pairwise(jobs):
        ended, begins = _moment(before[1], "end", before[0]), _moment(after[1], "start", after[0])
        drive = ARRIVE + _drive(_between(before[0], after[0])) if before[0] != after[0] else None
        if drive is not None:
            visits.append(after)
        if begins < ended + (drive or timedelta()) - ROUNDED:
            found.append(f"{after[0].key} begins {begins:%H:%M}, too soon after {ended:%H:%M}")
    if len(visits) > crew.visits_a_day:
        found.append(f"{len(visits)} visits")
    if len({site.key for site, _ in visits}) < len(visits):
        found.append("comes to a site twice")
    first, last = jobs[0], jobs[-1]
    left = _moment(first[1], "start", first[0]) - ARRIVE - _drive(_km(crew, first[0]))
    home = _moment(last[1], "end", last[0]) + _drive(_km(crew, last[0]))
    if home - left > timedelta(minutes=crew.minutes_a_day) + 3 * ROUNDED:
        found.append(f"away for {home - left}")
    return found


def _moment(job: dict[str, Any], clock: str, site: Site) -> datetime:
    local = datetime.fromisoformat(f"{job['day']} {job[clock]}")
    return local.replace(tzinfo=ZoneInfo(site.timezone)).astimezone(ZoneInfo("UTC"))


def _comes(crew: CrewSettings, site: Site) -> bool:
    return site.key in crew.sites if crew.sites else _km(crew, site) <= crew.reach_km


def _km(crew: CrewSettings, site: Site) -> float:
    return _arc_km(crew.latitude_deg, crew.longitude_deg, site.latitude_deg, site.longitude_deg)


def _between(one: Site, other: Site) -> float:
    return _arc_km(one.latitude_deg, one.longitude_deg, other.latitude_deg, other.longitude_deg)


def _arc_km(lat1: float, lon1: float, lat2: float, lon2: float) -> float:
    """By the angle between two vectors, which the planner's formula is not."""
    vectors = []
    for lat, lon in ((lat1, lon1), (lat2, lon2)):
        north, east = math.radians(lat), math.radians(lon)
        vectors.append(
            (
                math.cos(north) * math.cos(east),
                math.cos(north) * math.sin(east),
                math.sin(north),
            )
        )
    (a, b, c), (d, e, f) = vectors
    cross = math.hypot(b * f - c * e, c * d - a * f, a * e - b * d)
    return 6371.0088 * math.atan2(cross, a * d + b * e + c * f)


def _drive(km: float) -> timedelta:
    return timedelta(hours=km / KM_AN_HOUR)
