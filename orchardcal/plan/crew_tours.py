"""A crew's way from site to site on one day: in which order, and when work begins at each."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from itertools import pairwise, permutations
from zoneinfo import ZoneInfo

from orchardcal.plan.crew_hours import ARRIVE_MIN, drive_min
from orchardcal.sites.crew_reach import km_to_site
from orchardcal.sites.crew_settings import CrewSettings
from orchardcal.sites.distance import Place, km_between
from orchardcal.sites.site import Site

EVERY_ORDER_UP_TO = 6  # sites a day; beyond, the nearest next


@dataclass(frozen=True)
class Stop:
    """A site to visit on a day: from when to when people may work there, and for how long."""

    site: Site
    hours: tuple[time, time]
    work_min: int


@dataclass(frozen=True)
class Tour:
    """Stops in the order of the visits, when work begins at each, the way and the whole day."""

    stops: tuple[Stop, ...]
    begins: tuple[time, ...]
    km: float
    away_min: int


def tour_of(crew: CrewSettings, day: date, stops: Sequence[Stop]) -> Tour | None:
    """The shortest tour that keeps to the hours of every site and of the crew, if there is one.

    The crew leaves home so as to be at the first site when work may begin there.
    """
    found = (_tour(crew, day, order) for order in _orders(crew, stops))
    kept = [one for one in found if one is not None and one.away_min <= crew.minutes_a_day]
    return min(kept, key=lambda one: (round(one.km, 3), one.away_min), default=None)


def legs_km(home: Place, sites: Sequence[Place]) -> list[float]:
    """From home to each site in turn and back, in straight lines."""
    return [km_between(one, other) for one, other in pairwise([home, *sites, home])]


def _orders(crew: CrewSettings, stops: Sequence[Stop]) -> Iterable[tuple[Stop, ...]]:
    if len(stops) <= EVERY_ORDER_UP_TO:
        return permutations(stops)
    left = list(stops)
    order = [min(left, key=lambda stop: (stop.hours[1], km_to_site(crew, stop.site)))]
    left.remove(order[0])
    while left:
        here = order[-1].site
        nearest = min(left, key=lambda stop: km_between(here, stop.site))
        order.append(nearest)
        left.remove(nearest)
    return [tuple(order)]


def _tour(crew: CrewSettings, day: date, order: tuple[Stop, ...]) -> Tour | None:
    """The day in this order, None where a site closes before its work is done."""
    begins = []
    first = order[0]
    moment = _moment(day, first.hours[0], first.site)
    left_home = moment - timedelta(minutes=drive_min(km_to_site(crew, first.site)))
    for before, stop in zip((None, *order), order, strict=False):
        if before is not None:
            moment += timedelta(minutes=drive_min(km_between(before.site, stop.site)))
            moment = max(moment, _moment(day, stop.hours[0], stop.site))
        begin = _in_steps(moment + timedelta(minutes=ARRIVE_MIN))
        moment = begin + timedelta(minutes=stop.work_min)
        if moment > _moment(day, stop.hours[1], stop.site):
            return None
        begins.append(begin.astimezone(ZoneInfo(stop.site.timezone)).time())
    home = moment + timedelta(minutes=drive_min(km_to_site(crew, order[-1].site)))
    away_min = int((home - left_home).total_seconds()) // 60
    km = sum(legs_km(crew, [stop.site for stop in order]))
    return Tour(order, tuple(begins), km, away_min)


def _moment(day: date, clock: time, site: Site) -> datetime:
    return datetime.combine(day, clock, ZoneInfo(site.timezone)).astimezone(ZoneInfo("UTC"))


def _in_steps(moment: datetime) -> datetime:
    """The moment, or the next whole five minutes after it."""
    return moment + timedelta(minutes=-moment.minute % 5)
