"""The plan: jobs on days, windows around them, and what found no place, each with its reasons.

A plan holds keys, never addresses: what is made from it cannot leak them.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, time

from orchardcal.plan.season_supplies import VisitSupplies
from orchardcal.plan.work_day import WorkDay
from orchardcal.season import Span
from orchardcal.sentence import Sentence
from orchardcal.sites.crew_settings import CrewSettings

PLANNED, DONE, OVERDUE = "planned", "done", "overdue"


@dataclass(frozen=True)
class Before:
    """A job that must be finished first, and the hours to leave between the two."""

    uid: str
    gap_h: int


@dataclass(frozen=True)
class Job:
    """One care at one site on one day for the plantings that share it: one calendar event.

    start, end: local clock times of the site. trees: how many trees in all.
    minutes: person-minutes of the work. people: hands to expect on the day.
    why, do, bring, then, care_for: the reasons, the steps, the tools and supplies, what follows,
    and the cautions. open_to_volunteers: may appear in the volunteers' feed. part: tells two
    rounds of one care apart ("after dormant pruning"), "" for the main one. odds: share of
    seasons whose weather suits the day, None where weather does not decide. missed: the first
    day it was planned for and passed undone. moved: why it left the day people had seen; said in
    lists of changes only, so that it changes no event. planned: of a job done, the day it was last
    planned for (its odds are then those of that day). crew: the key of the crew
    that does it, "" for none.
    """

    uid: str
    site: str
    care: str
    season: int
    plantings: tuple[str, ...]
    trees: int
    day: date
    start: time
    end: time
    window: Span
    minutes: int
    people: int
    title: Sentence
    why: tuple[Sentence, ...]
    do: tuple[Sentence, ...]
    bring: tuple[Sentence, ...]
    then: tuple[Sentence, ...]
    cautions: tuple[Sentence, ...]
    befores: tuple[Before, ...] = ()
    state: str = PLANNED
    open_to_volunteers: bool = False
    part: str = ""
    odds: float | None = None
    missed: date | None = None
    moved: Sentence | None = None
    planned: date | None = None
    crew: str = ""

    @property
    def slot(self) -> str:
        """Care and part: what tells the job from the site's others of the season."""
        return f"{self.care}/{self.part}" if self.part else self.care


@dataclass(frozen=True)
class CareWindow:
    """When one care may be done for some plantings: an all-day event beside the dated job.

    day_odds: share of seasons that suit, one for each day of the span; None where weather does
    not decide.
    """

    uid: str
    site: str
    care: str
    season: int
    plantings: tuple[str, ...]
    span: Span
    title: Sentence
    why: tuple[Sentence, ...]
    day_odds: tuple[float, ...] | None = None
    slot: str = ""


@dataclass(frozen=True)
class NotPlaced:
    """A care without a day: why, and the smallest change found that would give it one.

    kind: "no window" (the climate or the rules give none), "passed" (its window is over),
    "no day" (no day of the window is free), "order" (none keeps its distance from the work before
    it), "no crew" (no crew has a place for it), "later" (it waits for a season not yet planned),
    "not needed" (scouting found nothing), "never" (not done on that species).
    """

    site: str
    care: str
    season: int
    plantings: tuple[str, ...]
    kind: str
    why: tuple[Sentence, ...]
    nearest: Sentence | None = None
    window: Span | None = None


@dataclass(frozen=True)
class SitePlan:
    """One site's part of the plan.

    seasons: the harvest years planned. notes: on its climate. supplies: of the visits still to make
    that take any.
    """

    site: str
    name: str
    where: str
    latitude_deg: float
    longitude_deg: float
    timezone: str
    lead: str
    grade: str
    seasons: tuple[int, ...]
    jobs: tuple[Job, ...]
    windows: tuple[CareWindow, ...]
    not_placed: tuple[NotPlaced, ...]
    notes: tuple[Sentence, ...]
    pupils_take_part: bool = False
    work_days: tuple[WorkDay, ...] = ()
    supplies: tuple[VisitSupplies, ...] = ()


@dataclass(frozen=True)
class Plan:
    """Everything known of the programme's season as of one day. crews: all it has."""

    name: str
    language: str
    units: str
    base_url: str
    as_of: date
    sites: tuple[SitePlan, ...]
    crews: tuple[CrewSettings, ...] = ()

    @property
    def jobs(self) -> tuple[Job, ...]:
        return tuple(job for site in self.sites for job in site.jobs)

    @property
    def work_days(self) -> tuple[WorkDay, ...]:
        """Those of all sites, by day."""
        every = (one for site in self.sites for one in site.work_days)
        return tuple(sorted(every, key=lambda one: (one.day, one.site)))
