"""An independent check of a written plan: reads plan.json and the files, shares no planner code."""

from __future__ import annotations

from collections import defaultdict
from datetime import date, timedelta
from itertools import pairwise
from typing import Any

from astral import LocationInfo
from astral.sun import sun

from orchardcal.sites.site import Site

PAINT, OIL, NOTICE = "Whitewash painting", "Dormant oil spray", "Spray notice"
PRUNINGS = ("Dormant pruning", "In-leaf pruning")


def faults(plan: dict[str, Any], sites: dict[str, Site]) -> list[str]:
    """Everything in the plan that breaks a rule of the trade or of a site."""
    found = []
    for written in plan["sites"]:
        site = sites[written["key"]]
        for job in written["jobs"]:
            if job["state"] != "done":
                found += [f"{site.key} {job['care']} {job['day']}: {f}" for f in _job(job, site)]
                if date.fromisoformat(job["day"]) < date.fromisoformat(plan["as_of"]):
                    found.append(f"{site.key} {job['care']} {job['day']}: in the past")
        found += [f"{site.key}: {fault}" for fault in _order(written["jobs"], site)]
        found += [f"{site.key}: {fault}" for fault in _overlaps(written["jobs"])]
        found += [f"{site.key}: {fault}" for fault in _work_days(written, site)]
    return found


def _job(job: dict[str, Any], site: Site) -> list[str]:
    found = []
    day = date.fromisoformat(job["day"])
    first, last = job["window"]["first"], job["window"]["last"]
    if not first <= job["day"] <= last:
        found.append(f"outside its window {first} to {last}")
    if day.weekday() not in site.weekdays:
        found.append("on a weekday without visits")
    for closure in site.closures:
        if not closure.rule and not closure.every_year and day in closure.span:
            found.append(f"in the closure {closure.name}")
    if not job["start"] < job["end"]:
        found.append("ends before it begins")
    if job["start"] < site.opens.isoformat("minutes"):
        found.append("before the site opens")
    light = _light(site, day)
    if light is not None and not (light[0] <= job["start"] and job["end"] <= light[1]):
        found.append(f"outside daylight {light[0]} to {light[1]}")
    if job["care"] == OIL:
        for near in (day, day + timedelta(days=1)):
            if _pupils(site, near):
                found.append(f"sprayed with pupils on the ground on {near}")
    if not job["why"]:
        found.append("without a reason")
    power = {one.id for one in site.plantings if one.near_power_line}
    if job["care"] in PRUNINGS and power & set(job["plantings"]):
        found.append("cuts beside a power line")
    return found


def _work_days(written: dict[str, Any], site: Site) -> list[str]:
    """Volunteers come on days they can, in daylight, for work in its window, and never to spray."""
    found = []
    jobs = {job["uid"]: job for job in written["jobs"]} if written.get("work_days") else {}
    for one in written.get("work_days", ()):
        days = [one["day"], *([one["rain_day"]] if one["rain_day"] else [])]
        if days != sorted(set(days)):
            found.append(f"rain day {days[-1]} not after its work day {days[0]}")
        if site.work_days is None:
            found.append(f"a work day {days[0]} where volunteers never come")
            continue
        for day in map(date.fromisoformat, days):
            if day in site.work_days.banned:
                found.append(f"a work day on the banned {day}")
            if day not in site.work_days.pinned and day.weekday() not in site.work_days.weekdays:
                found.append(f"a work day on {day}, when volunteers cannot come")
        light = _light(site, date.fromisoformat(days[0]))
        if light is not None and not light[0] <= one["start"] < one["end"] <= light[1]:
            found.append(f"work day {days[0]} outside daylight {light[0]} to {light[1]}")
        if not one["leaders"] * site.work_days.volunteers_per_leader >= one["people"]:
            found.append(f"work day {days[0]} with too few leaders")
        for job in (jobs[uid] for uid in one["jobs"]):
            if job["care"] not in (*PRUNINGS, PAINT):
                found.append(f"work day {days[0]} with {job['care']}")
            if not all(job["window"]["first"] <= day <= job["window"]["last"] for day in days):
                found.append(f"work day {days} outside the window of {job['care']}")
    return found


def _pupils(site: Site, day: date) -> bool:
    if day.weekday() not in site.pupil_weekdays:
        return False
    closed = any(not one.rule and not one.every_year and day in one.span for one in site.closures)
    simple = [one for one in site.pupil_terms if not one.rule and not one.every_year]
    return not closed and any(day in one.span for one in simple)


def _light(site: Site, day: date) -> tuple[str, str] | None:
    place = LocationInfo("", "", site.timezone, site.latitude_deg, site.longitude_deg)
    try:
        times = sun(place.observer, day, tzinfo=place.tzinfo)
    except ValueError:
        return None
    return times["sunrise"].strftime("%H:%M"), times["sunset"].strftime("%H:%M")


def _order(jobs: list[dict[str, Any]], site: Site) -> list[str]:
    """Prune, then paint, then oil, with their gaps; a notice long enough before every spray."""
    by_tree: dict[tuple[str, int], dict[str, list[date]]] = defaultdict(lambda: defaultdict(list))
    for job in jobs:
        for tree in job["plantings"]:
            name = f"{job['care']}/{job['part']}" if job["care"] == PAINT else job["care"]
            by_tree[tree, job["season"]][name].append(date.fromisoformat(job["day"]))
    found = []
    for (tree, _), days in by_tree.items():
        for pruned in days["Dormant pruning"]:
            found += [
                f"{tree} painted {day} before its pruning {pruned}"
                for day in days[f"{PAINT}/after dormant pruning"]
                if day < pruned
            ]
            found += [f"{tree} oiled {day}, pruned {pruned}" for day in days[OIL] if day <= pruned]
            found += [
                f"{tree} pruned {pruned} before its dormancy check {day}"
                for day in days["Dormancy check"]
                if day >= pruned
            ]
            found += [
                f"{tree} cuts looked at {day} too soon after {pruned}"
                for day in days["Look at cuts"]
                if pruned <= day < pruned + timedelta(days=30)
            ]
        painted = days[f"{PAINT}/after dormant pruning"]
        found += [
            f"{tree} oiled {oil}, painted {paint}: not dry"
            for oil in days[OIL]
            for paint in painted
            if oil < paint + timedelta(days=2)
        ]
        stands = timedelta(hours=site.spray.notice_h)
        for oil in days[OIL]:
            if not any(oil - day >= stands for day in days[NOTICE]):
                found.append(f"{tree} oiled {oil} without notice")
    return found


def _overlaps(jobs: list[dict[str, Any]]) -> list[str]:
    """Jobs of one day at a site follow each other."""
    found = []
    by_day: dict[str, list[dict[str, Any]]] = defaultdict(list)
    for job in jobs:
        if job["state"] != "done":
            by_day[job["day"]].append(job)
    for day, todays in by_day.items():
        todays.sort(key=lambda job: job["start"])
        for one, other in pairwise(todays):
            if other["start"] < one["end"]:
                found.append(f"{one['care']} and {other['care']} overlap on {day}")
    return found
