"""A work day of the invented plan, with words of choice in the texts that people write."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, time

from orchardcal.plan.plan import Plan
from orchardcal.plan.work_day import Announcement, RunStep, WorkDay
from orchardcal.sentence import say
from tests.outputs.invented_plan import PRUNE, PRUNE_UID

WORK_DAY = WorkDay(
    site="larkfield",
    day=PRUNE.day,
    start=time(9),
    end=time(11, 30),
    jobs=(PRUNE_UID,),
    trees=6,
    minutes=360,
    fit_minutes=330,
    people=4,
    leaders=1,
    pinned=True,
    rain_day=date(2027, 1, 16),
    rain_why=None,
    announcements=(
        Announcement(date(2026, 11, 10), say("Save the date")),
        Announcement(date(2026, 12, 26), say("Invitation")),
        Announcement(date(2027, 1, 2), say("Last call")),
    ),
    run_sheet=(
        RunStep(time(9), time(9, 20), say("Welcome, sign-in and safety talk")),
        RunStep(time(9, 20), time(11, 30), say("Work in teams: {work}", work=PRUNE.title)),
    ),
    tools=(say("{count} lopper", plural="{count} loppers", count=2),),
    cautions=(say("Volunteers stay on the ground."),),
    lesson=(say("Look: find a leaf bud."),),
    notes=(say("The coordinator pinned this day."),),
)


def with_work_day(plan: Plan, words: str = "") -> Plan:
    """The plan with the day at its first site, the words in every text of the day."""
    told = (say("{what}", what=words),) if words else ()
    day = replace(
        WORK_DAY,
        tools=(*WORK_DAY.tools, *told),
        cautions=(*WORK_DAY.cautions, *told),
        lesson=(*WORK_DAY.lesson, *told),
        notes=(*WORK_DAY.notes, *told),
    )
    first, *others = plan.sites
    return replace(plan, sites=(replace(first, work_days=(day,)), *others))
