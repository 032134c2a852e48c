"""Where crews come in: the day and hour a crew does a task, or why no crew does."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, time

from orchardcal.sentence import Sentence


@dataclass(frozen=True)
class CrewPlace:
    """A task's place with a crew. begin: when the crew's work at the site begins that day."""

    crew: str
    name: str
    day: date
    begin: time
    people: int


@dataclass(frozen=True)
class NoCrew:
    """Why no crew has a place for a task, and the smallest change found that would give one."""

    why: tuple[Sentence, ...]
    nearest: Sentence | None
