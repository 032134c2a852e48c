"""What volunteers of a work day are told beside their jobs: order of the day, safety, lesson."""

from __future__ import annotations

import math
from collections.abc import Sequence
from datetime import date, datetime, time, timedelta

from orchardcal import care as cares
from orchardcal.plan.plan import Job
from orchardcal.plan.volunteers import CLEAN_UP_MIN, DEMONSTRATION_MIN, WELCOME_MIN
from orchardcal.plan.wording import COMMON
from orchardcal.plan.work_day import Announcement, RunStep
from orchardcal.sentence import Sentence, say
from orchardcal.sites.site import Site

# City of Eugene NeighborWoods, leader's guide: volunteers are sought two months before, have
# notice two weeks before and a call seven days before.
SAVE_THE_DATE_DAYS, INVITATION_DAYS, LAST_CALL_DAYS = 60, 14, 7
PUPILS_PER_ADULT = 5  # common practice, no source; youth programmes write 1 to 10


def invitation(people: int, leaders: int, welcome: time, over: time) -> Sentence:
    """The line that a work day's jobs open with."""
    return say(
        "Work day from {start} to {end}, welcome and clean-up included: {volunteers} and"
        " {leaders}.",
        start=welcome,
        end=over,
        volunteers=volunteers_counted(people),
        leaders=leaders_counted(leaders),
    )


def volunteers_counted(people: int) -> Sentence:
    return say("{count} volunteer", plural="{count} volunteers", count=people)


def leaders_counted(leaders: int) -> Sentence:
    return say("{count} leader", plural="{count} leaders", count=leaders)


def has_minors(site: Site) -> bool:
    """Whether some who come may be under 18: volunteers of that age, or pupils who take part."""
    return (site.work_days is not None and site.work_days.minors) or site.pupils_take_part


def for_minors(site: Site) -> tuple[Sentence, ...]:
    """What nobody under 18 does at a work day; nothing where only adults come."""
    if not has_minors(site):
        return ()
    return (
        say(
            "Under 18: no ladders, no saws with motors or other power tools, no spraying and"
            " nothing above shoulder height; trained adults do that part.",
            source=COMMON,
        ),
        say(
            "At least one adult for every {count} minors, always in sight of them.",
            count=PUPILS_PER_ADULT,
            source=COMMON,
        ),
    )


def safety(site: Site) -> tuple[Sentence, ...]:
    """What the safety talk says beside the cautions of the jobs."""
    return (
        *for_minors(site),
        say(
            "Show where the first-aid kit, the water and the sign-in table are, and who calls for"
            " help.",
            source=COMMON,
        ),
    )


def announcements(day: date) -> tuple[Announcement, ...]:
    """When volunteers are told of the day."""
    return (
        Announcement(day - timedelta(days=SAVE_THE_DATE_DAYS), say("Save the date")),
        Announcement(day - timedelta(days=INVITATION_DAYS), say("Invitation")),
        Announcement(day - timedelta(days=LAST_CALL_DAYS), say("Last call")),
    )


def run_sheet(day: date, jobs: Sequence[Job]) -> tuple[RunStep, ...]:
    """The order of the day, minute by minute from the first job's start to the last one's end."""
    talk = _later(day, jobs[0].start, WELCOME_MIN)
    work = _later(day, talk, DEMONSTRATION_MIN)
    clean_up = _later(day, jobs[-1].end, -CLEAN_UP_MIN)
    steps = [
        RunStep(jobs[0].start, talk, say("Welcome, sign-in and safety talk")),
        RunStep(talk, work, say("Demonstration on one tree, teams and tools handed out")),
    ]
    for number, job in enumerate(jobs):
        begin = work if number == 0 else job.start
        end = clean_up if number == len(jobs) - 1 else job.end
        steps.append(RunStep(begin, end, say("Work in teams: {work}", work=job.title)))
    thanks = say("Clean up, count the tools, thanks and what comes next")
    steps.append(RunStep(clean_up, jobs[-1].end, thanks))
    return tuple(steps)


def tools(jobs: Sequence[Job], people: int, leaders: int) -> tuple[Sentence, ...]:
    """What the jobs ask for, once each, and what a group of that size needs besides."""
    of_jobs = [one for job in jobs for one in job.bring]
    teams = max(leaders, math.ceil(people / 5))
    return (
        *dict.fromkeys(of_jobs),
        say(
            "{count} bottle of hand cleaner, one for each team",
            plural="{count} bottles of hand cleaner, one for each team",
            count=teams,
            source=COMMON,
        ),
        say("a sign-in table, pens, drinking water, a first-aid kit, an emergency plan"),
        say("a badge or a vest for each leader"),
    )


def lesson(site: Site, jobs: Sequence[Job]) -> tuple[Sentence, ...]:
    """A short lesson where pupils take part: ten minutes at a tree, in the order told."""
    if not site.pupils_take_part or not jobs:
        return ()
    told = [
        say("Look: find a leaf bud, a flower bud and last year's growth ring on one twig."),
        say("Ask: what does the tree do in this season, and why is now a good time?"),
    ]
    if any(job.care in (cares.DORMANT_PRUNING, cares.IN_LEAF_PRUNING) for job in jobs):
        told.append(say("Watch: one cut just outside the branch collar; where will it heal?"))
        told.append(
            say(
                "Do: hand pruners from about 12 years, a hand saw from about 14, an adult beside.",
                source=COMMON,
            )
        )
    if any(job.care == cares.WHITEWASH_PAINTING for job in jobs):
        told.append(say("Try: hold a hand near white and near dark bark in the sun; compare."))
    told.append(say("Keep: measure a trunk, count the cuts, and write both down for next year."))
    return tuple(told)


def _later(day: date, moment: time, minutes: int) -> time:
    return (datetime.combine(day, moment) + timedelta(minutes=minutes)).time()
