"""A small invented plan: two sites, one in each hemisphere, that every output can be tried on."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, time

from orchardcal.care import DORMANT_OIL_SPRAY, DORMANT_PRUNING, WHITEWASH_PAINTING
from orchardcal.plan.plan import Before, CareWindow, Job, Plan, SitePlan
from orchardcal.season import Span
from orchardcal.sentence import Celsius, Length, Listed, Volume, Words, say

PRUNE_UID = "6f1c2a54-7d0b-5b6e-9f0e-0a4a1f7e0001"
PAINT_UID = "6f1c2a54-7d0b-5b6e-9f0e-0a4a1f7e0002"
SPRAY_UID = "6f1c2a54-7d0b-5b6e-9f0e-0a4a1f7e0003"
SOUTH_UID = "6f1c2a54-7d0b-5b6e-9f0e-0a4a1f7e0004"
WINDOW_UID = "6f1c2a54-7d0b-5b6e-9f0e-0a4a1f7e0005"
AS_OF = date(2026, 11, 25)

PRUNE = Job(
    uid=PRUNE_UID,
    site="larkfield",
    care=DORMANT_PRUNING,
    season=2027,
    plantings=("A1", "B2"),
    trees=6,
    day=date(2027, 1, 9),
    start=time(9, 30),
    end=time(12, 10),
    window=Span(date(2026, 12, 20), date(2027, 2, 11)),
    minutes=360,
    people=3,
    title=say(
        "Dormant pruning: {trees}",
        trees=Listed((Words("4 apples"), Words("2 pears"))),
    ),
    why=(
        say(
            "Leaves were down by {day} in {count} of {seasons} winters.",
            day=date(2026, 12, 20),
            count=27,
            seasons=30,
        ),
        say("The night before stays above {low}.", low=Celsius(-6.7)),
    ),
    do=(say("Head the laterals about {length} beyond the lowest spur.", length=Length(0.3)),),
    bring=(say("Two loppers, alcohol and rags; {paint} of paint.", paint=Volume(0.6)),),
    then=(say("Paint the bared bark by {day}.", day=date(2027, 1, 23)),),
    cautions=(say("Pupils use hand pruners on the ground only."),),
    open_to_volunteers=True,
)
PAINT = replace(
    PRUNE,
    uid=PAINT_UID,
    care=WHITEWASH_PAINTING,
    day=date(2027, 1, 16),
    start=time(10),
    end=time(11),
    title=say("Whitewash painting: {trees}", trees=Words("4 apples")),
    befores=(Before(PRUNE_UID, 4),),
)
SPRAY = replace(
    PRUNE,
    uid=SPRAY_UID,
    care=DORMANT_OIL_SPRAY,
    day=date(2027, 1, 23),
    start=time(10),
    end=time(11),
    title=say("Dormant oil spray: {trees}", trees=Words("4 apples")),
    befores=(Before(PAINT_UID, 48),),
    open_to_volunteers=False,
)
SOUTH = replace(
    PRUNE,
    uid=SOUTH_UID,
    site="kereru",
    day=date(2027, 7, 10),
    window=Span(date(2027, 6, 25), date(2027, 8, 5)),
    title=say("Dormant pruning: {trees}", trees=Words("3 plums")),
    open_to_volunteers=False,
)
WINDOW = CareWindow(
    uid=WINDOW_UID,
    site="larkfield",
    care=DORMANT_OIL_SPRAY,
    season=2027,
    plantings=("A1",),
    span=Span(date(2027, 1, 18), date(2027, 1, 22)),
    title=say("Oil may go on"),
    why=(say("Buds are still tight."),),
    day_odds=(0.42, 0.41, 0.78, 0.8, 0.9),
)
LARKFIELD = SitePlan(
    site="larkfield",
    name="Larkfield School",
    where="orchard behind the gym",
    latitude_deg=44.0212345,
    longitude_deg=-103.4,
    timezone="America/Denver",
    lead="ada",
    grade="A",
    seasons=(2027,),
    jobs=(PRUNE, PAINT, SPRAY),
    windows=(WINDOW,),
    not_placed=(),
    notes=(),
)
KERERU = SitePlan(
    site="kereru",
    name="Kererū Street Kindergarten",
    where="",
    latitude_deg=-43.55,
    longitude_deg=172.63,
    timezone="Pacific/Auckland",
    lead="moana",
    grade="C",
    seasons=(2027,),
    jobs=(SOUTH,),
    windows=(),
    not_placed=(),
    notes=(),
)
PLAN = Plan(
    name="Two Orchards",
    language="en",
    units="metric",
    base_url="https://trees.example/cal",
    as_of=AS_OF,
    sites=(LARKFIELD, KERERU),
)


def with_job(plan: Plan, job: Job) -> Plan:
    """The plan with the job in place of the one of the same UID."""
    sites = tuple(
        replace(site, jobs=tuple(job if each.uid == job.uid else each for each in site.jobs))
        for site in plan.sites
    )
    return replace(plan, sites=sites)


def without_job(plan: Plan, uid: str) -> Plan:
    """The plan without one of its jobs."""
    sites = tuple(
        replace(site, jobs=tuple(job for job in site.jobs if job.uid != uid)) for site in plan.sites
    )
    return replace(plan, sites=sites)


def in_zone(timezone: str, day: date, start: time) -> Plan:
    """A plan of one job of two hours at one site in that zone."""
    end = start.replace(hour=start.hour + 2)
    job = replace(PRUNE, day=day, start=start, end=end, window=Span(day, day))
    site = replace(LARKFIELD, timezone=timezone, jobs=(job,), windows=())
    return replace(PLAN, sites=(site,))
