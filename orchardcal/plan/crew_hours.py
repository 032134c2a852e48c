"""The hours of crews: who comes to a site, how long the way takes, what is left for work there."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, datetime

from orchardcal.sites.crew_reach import goes_to, km_to_site
from orchardcal.sites.crew_settings import CrewSettings
from orchardcal.sites.site import Site

# common practice, no source: a van in town makes 50 km/h on roads a quarter longer than the
# straight line; arriving is parking, unloading and a walk round the trees
STRAIGHT_KM_AN_HOUR = 40
ARRIVE_MIN = 15
NEAR_KM = 3  # sites so near each other are one drive
STEP_MIN = 5  # clock times are told to five minutes
VISIT_MIN = ARRIVE_MIN + 60 * NEAR_KM // STRAIGHT_KM_AN_HOUR + 1


def crews_for(site: Site, crews: Sequence[CrewSettings]) -> tuple[CrewSettings, ...]:
    """The crews that come to a site."""
    return tuple(crew for crew in crews if goes_to(crew, site))


def drive_min(km: float) -> int:
    """Minutes for a way of so many straight kilometres.

    >>> drive_min(10)
    15
    """
    return round(60 * km / STRAIGHT_KM_AN_HOUR)


def crew_day_min(site: Site, crews: Sequence[CrewSettings]) -> int | None:
    """The most person-minutes of work that one crew can do at a site in a day; None: none comes."""
    coming = crews_for(site, crews)
    if not coming:
        return None
    some_day = date(2000, 1, 1)
    opens, closes = (datetime.combine(some_day, clock) for clock in (site.opens, site.closes))
    open_min = int((closes - opens).total_seconds()) // 60
    return max(0, *(_work_min(crew, site, open_min) for crew in coming))


def _work_min(crew: CrewSettings, site: Site, open_min: int) -> int:
    there_and_back_min = 2 * drive_min(km_to_site(crew, site))
    day_min = crew.minutes_a_day - there_and_back_min - VISIT_MIN
    return crew.people * (min(day_min, open_min - ARRIVE_MIN) - STEP_MIN)


def works_on(crew: CrewSettings, day: date) -> bool:
    """Whether a crew has hours to give on a day."""
    return (
        crew.people > 0
        and crew.minutes_a_day > 0
        and day.weekday() in crew.weekdays
        and not any(day in span for span in crew.days_off)
    )
