"""The invented plan with two crews: one drives due north to two schools, one has nothing to do.

A minute of latitude is a nautical mile of 1.852 km (SI Brochure, 8th edition, table 8): from the
crew's home it is 5.4 minutes or 10.0 km to the first school, and as far again to the second.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date, time

from orchardcal.care import DORMANT_OIL_SPRAY
from orchardcal.errors import Spot
from orchardcal.plan.plan import DONE, Job, Plan
from orchardcal.plan.season_supplies import Tools, VisitSupplies
from orchardcal.season import Span
from orchardcal.sites.crew_settings import CrewSettings
from tests.outputs.invented_plan import LARKFIELD, PAINT, PLAN, PRUNE

NORTH = CrewSettings(
    key="north",
    name="Crew North",
    latitude_deg=44.0,
    longitude_deg=-103.4,
    spot=Spot("programme.toml", 5),
    days_off=(Span(date(2026, 12, 21), date(2026, 12, 25)),),
)
IDLE = replace(NORTH, key="idle", name="Crew Idle", weekdays=frozenset(), people=1)
OUT_ON = date(2027, 1, 12)  # a Tuesday
TWICE_ON = date(2027, 1, 14)


def at(job: Job, uid: str, site: str, day: date, start: time, end: time) -> Job:
    return replace(job, uid=uid, site=site, day=day, start=start, end=end, crew="north")


NEAR = replace(
    LARKFIELD,
    site="near",
    name="Near School",
    latitude_deg=44.09,
    jobs=(
        at(PRUNE, "near-prune", "near", OUT_ON, time(9), time(10)),
        at(PAINT, "near-paint", "near", OUT_ON, time(10), time(10, 30)),
        at(PAINT, "near-again", "near", TWICE_ON, time(9), time(9, 45)),
        replace(PRUNE, uid="near-lead", site="near", day=OUT_ON),  # the lead's, not the crew's
    ),
    supplies=(
        VisitSupplies("near", OUT_ON, "", 0.0, 0.0, 0.25, Tools(2, 1, 1, 0)),
        VisitSupplies("near", OUT_ON, "north", 0.6, 0.0, 0.25, Tools(5, 3, 2, 5)),
        VisitSupplies("near", TWICE_ON, "north", 0.2, 0.0, 0.0, Tools(brushes=2)),
    ),
)
FAR = replace(
    LARKFIELD,
    site="far",
    name="Far School",
    latitude_deg=44.18,
    jobs=(
        at(PRUNE, "far-prune", "far", OUT_ON, time(11), time(12)),
        replace(at(PRUNE, "far-done", "far", TWICE_ON, time(9), time(10)), state=DONE),
        replace(PRUNE, uid="far-spray", site="far", care=DORMANT_OIL_SPRAY, day=TWICE_ON),
    ),
    supplies=(
        VisitSupplies("far", OUT_ON, "north", 0.0, 0.0, 0.25, Tools(4, 2, 2, 0)),
        VisitSupplies("far", TWICE_ON, "", 0.0, 12.0, 0.0, Tools()),
    ),
)
LOADED: Plan = replace(PLAN, sites=(NEAR, FAR), crews=(NORTH, IDLE))
