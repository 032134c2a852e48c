"""Placing tasks on crew-days, in whole numbers: knows nothing of sites, species or dates."""

from orchardcal.plan.schedule.cost import Cost, Weights
from orchardcal.plan.schedule.instance import (
    Crew,
    Instance,
    Link,
    Slot,
    Task,
    Trip,
    pinned,
    without_days,
)
from orchardcal.plan.schedule.search import Placement, Schedule, scheduled
from orchardcal.plan.schedule.territories import scheduled_by_territory
from orchardcal.plan.schedule.unplaced import Change, Step, Unplaced, explain_unplaced

__all__ = [
    "Change",
    "Cost",
    "Crew",
    "Instance",
    "Link",
    "Placement",
    "Schedule",
    "Slot",
    "Step",
    "Task",
    "Trip",
    "Unplaced",
    "Weights",
    "explain_unplaced",
    "pinned",
    "scheduled",
    "scheduled_by_territory",
    "without_days",
]
