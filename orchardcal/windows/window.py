"""A window: when one care may be done for some plantings, with the odds of each day and reasons."""

from __future__ import annotations

from dataclasses import dataclass

from orchardcal.season import Season, Span
from orchardcal.sentence import Sentence
from orchardcal.species.rules import CareRule, DayConditions

ANY_DAY = DayConditions()


@dataclass(frozen=True)
class Window:
    """When one care may be done for some plantings of a site in one season.

    part: tells two rounds of one care apart ("" for the main one, "before winter sun", …).
    span: None where the site cannot give a window; `why` then says why not.
    target: the day the work would best be near. day_odds: share of seasons whose weather suits
    each day of the span (smoothed); week_odds: share with a suitable day in the week from it;
    both None where weather does not decide. opens_why, closes_why: what decides the first and the
    last day; None where there is no window. conditions: of its weather, at this site and age.
    """

    care: str
    part: str
    season: Season
    plantings: tuple[str, ...]
    rule: CareRule
    span: Span | None
    target: int | None
    day_odds: tuple[float, ...] | None
    week_odds: tuple[float, ...] | None
    why: tuple[Sentence, ...]
    opens_why: Sentence | None = None
    closes_why: Sentence | None = None
    conditions: DayConditions = ANY_DAY
