"""A day on which volunteers are invited to a site, as it is announced and held."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, time

from orchardcal.sentence import Sentence


@dataclass(frozen=True)
class RunStep:
    """One stretch of the day's run sheet."""

    start: time
    end: time
    what: Sentence


@dataclass(frozen=True)
class Announcement:
    """What volunteers are told, and by when."""

    day: date
    what: Sentence


@dataclass(frozen=True)
class WorkDay:
    """Volunteers at one site on one day.

    start, end: local clock times, welcome and clean-up included. jobs: UIDs, none where a pinned
    day found no work. minutes: person-minutes of the work; fit_minutes: how many of them the
    group can do that day. people: volunteers wanted; leaders: how many they need beside them.
    rain_day: where it goes if it is rained off, None for nowhere; rain_why says why. notes: what
    is to know, first of all what does not fit. tools, cautions, lesson: what to bring for so many
    people, what to take care of, and what pupils learn.
    """

    site: str
    day: date
    start: time
    end: time
    jobs: tuple[str, ...]
    trees: int
    minutes: int
    fit_minutes: int
    people: int
    leaders: int
    pinned: bool
    rain_day: date | None
    rain_why: Sentence | None
    announcements: tuple[Announcement, ...]
    run_sheet: tuple[RunStep, ...]
    tools: tuple[Sentence, ...]
    cautions: tuple[Sentence, ...]
    lesson: tuple[Sentence, ...]
    notes: tuple[Sentence, ...]

    @property
    def key(self) -> str:
        """The name of its page: site and day."""
        return f"{self.site}-{self.day.isoformat()}"

    @property
    def enough(self) -> bool:
        """Whether the one day is enough for all its work."""
        return self.fit_minutes >= self.minutes
