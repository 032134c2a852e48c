"""Tasks: windows of like plantings gathered into one piece of work, still without a day."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field, replace
from datetime import date

from orchardcal import care as cares
from orchardcal.plan.crew_place import CrewPlace, NoCrew
from orchardcal.season import Season, Span
from orchardcal.sentence import Sentence
from orchardcal.sites.site import Planting
from orchardcal.species.rules import DayConditions
from orchardcal.windows.window import Window

SHARED_DAYS = 7  # windows that share a week are worked in one visit
ENOUGH_DAYS = 2
FROM_BEST_DAYS = 14  # unless that takes one of them further than this from its best day


@dataclass(frozen=True)
class Task:
    """One care, for plantings of one site, to be put on one day.

    slot: care and part, as "whitewash_painting/before winter sun"; unique with season, plantings.
    odds: share of seasons suitable, per day of the span, the least over the plantings; None where
    weather does not decide. target: the day it is best near. note: on a deferred cut.
    previous_day, missed: the day subscribers last saw, and the first that passed undone.
    previous_crew: the crew that was to come then, "" for none.
    conditions: of the weather. by_forecast: days whose odds are the forecast's own yes or no.
    pinned: days that the coordinator wants work days on. noticed: the days of a spray that a notice
    given stands for, or can still be given for; None where none is asked. for_crews:
    whether a crew is to do it, whose schedule then says when; crew, no_crew: where it does, or why
    none does.
    """

    care: str
    part: str
    season: Season
    plantings: tuple[Planting, ...]
    span: Span
    target: date
    odds: dict[date, float] | None
    why: tuple[Sentence, ...]
    windows: tuple[Window, ...] = ()
    note: tuple[Sentence, ...] = ()
    previous_day: date | None = None
    missed: date | None = None
    previous_crew: str = ""
    conditions: tuple[DayConditions, ...] = ()
    by_forecast: frozenset[date] = frozenset()
    pinned: frozenset[date] = frozenset()
    noticed: Span | None = None
    moved: Sentence | None = None
    links: tuple[Link, ...] = field(default=())
    for_crews: bool = False
    crew: CrewPlace | None = None
    no_crew: NoCrew | None = None

    @property
    def slot(self) -> str:
        return slot_of(self.care, self.part)

    @property
    def ids(self) -> tuple[str, ...]:
        return tuple(planting.id for planting in self.plantings)

    @property
    def trees(self) -> int:
        return sum(planting.count for planting in self.plantings)

    def suits(self, day: date) -> float:
        """Share of seasons whose weather suits the day; 1 where weather does not decide."""
        return 1.0 if self.odds is None else self.odds.get(day, 0.0)


@dataclass(frozen=True)
class Link:
    """The task comes after another: at least so many days, at most so many where given.

    slot, season, plantings: of the earlier task; it binds where they share a planting. needed:
    where the earlier task has no day, this one may have none either.
    """

    slot: str
    gap_days: int
    within_days: int | None = None
    needed: bool = False


def slot_of(care: str, part: str) -> str:
    return f"{care}/{part}" if part else care


def gathered(
    windows: Iterable[tuple[Window, Planting]],
    visitable: Callable[[date, str], bool] = lambda day, care: True,
) -> list[Task]:
    """Windows of one care and part put together where they share a week or more of days.

    visitable: whether a visit for a care may be made on a day; a shared stretch without two of
    them is none.
    """
    tasks: list[Task] = []
    for window, planting in sorted(windows, key=_by_close):
        assert window.span is not None
        for at, task in enumerate(tasks):
            joined = _joined(task, window, planting, visitable)
            if joined is not None:
                tasks[at] = joined
                break
        else:
            tasks.append(_alone(window, planting))
    return tasks


def _by_close(pair: tuple[Window, Planting]) -> tuple[date, date, str]:
    window, planting = pair
    assert window.span is not None
    return window.span.last, window.span.first, planting.id


def _alone(window: Window, planting: Planting) -> Task:
    assert window.span is not None
    odds = window.day_odds
    days = list(window.span.days())
    late = window.care == cares.DORMANT_OIL_SPRAY  # best when pests stir, just before the limit
    target = days[-1 - len(days) // 6] if late else days[len(days) // 3]
    if window.target is not None:
        target = min(max(window.season.day(window.target), days[0]), days[-1])
    by_day = None
    if odds is not None:
        by_day = {day: odds[_season_offset(window, day)] for day in days}
    return Task(
        care=window.care,
        part=window.part,
        season=window.season,
        plantings=(planting,),
        span=window.span,
        target=target,
        odds=by_day,
        why=reasons_of((window,)),
        windows=(window,),
        conditions=(window.conditions,),
    )


def _season_offset(window: Window, day: date) -> int:
    """The place of a calendar day in the window's odds, which leave out 29 February."""
    assert window.span is not None
    season = window.season
    return season.season_day(day) - season.season_day(window.span.first)


def _joined(
    task: Task, window: Window, planting: Planting, visitable: Callable[[date, str], bool]
) -> Task | None:
    assert window.span is not None
    if (task.care, task.part, task.season) != (window.care, window.part, window.season):
        return None
    shared = task.span.overlap(window.span)
    if shared is None or len(shared) < min(SHARED_DAYS, len(task.span), len(window.span)):
        return None
    if sum(visitable(day, task.care) for day in shared.days()) < ENOUGH_DAYS:
        return None
    alone = _alone(window, planting)
    if any(
        _days_outside(target, shared) > FROM_BEST_DAYS for target in (task.target, alone.target)
    ):
        return None
    if abs((task.target - alone.target).days) > 2 * FROM_BEST_DAYS:
        return None
    odds = _least(task.odds, alone.odds, shared)
    middle = task.target + (alone.target - task.target) / 2
    return replace(
        task,
        plantings=in_list_order((*task.plantings, planting)),
        span=shared,
        target=min(max(middle, shared.first), shared.last),
        odds=odds,
        why=reasons_of((*task.windows, window)),
        windows=(*task.windows, window),
        conditions=tuple(dict.fromkeys((*task.conditions, window.conditions))),
    )


def together(tasks: Sequence[Task], day: date) -> Task:
    """Tasks of one care, part and season that fall on one day, as one."""
    first, *others = tasks
    if not others:
        return first
    span = Span(max(t.span.first for t in tasks), min(t.span.last for t in tasks))
    odds = first.odds
    for task in others:
        odds = _least(odds, task.odds, span)
    windows = tuple(window for task in tasks for window in task.windows)
    unbound = [reason for task in tasks if not task.windows for reason in task.why]
    why = (reasons_of(windows) if windows else ()) + tuple(dict.fromkeys(unbound))
    previous = [task.previous_day for task in tasks if task.previous_day is not None]
    return replace(
        first,
        plantings=in_list_order(planting for task in tasks for planting in task.plantings),
        span=span,
        target=day,
        odds=odds,
        why=why,
        windows=windows,
        note=tuple(dict.fromkeys(note for task in tasks for note in task.note)),
        previous_day=min(previous, default=None),
        missed=min((t.missed for t in tasks if t.missed is not None), default=None),
        conditions=tuple(dict.fromkeys(one for task in tasks for one in task.conditions)),
        moved=next((task.moved for task in tasks if task.moved is not None), None),
        by_forecast=frozenset.intersection(*(task.by_forecast for task in tasks)),
        links=tuple(dict.fromkeys(link for task in tasks for link in task.links)),
    )


def in_list_order(plantings: Iterable[Planting]) -> tuple[Planting, ...]:
    """The plantings once each, in the order of the tree list."""
    return tuple(sorted(dict.fromkeys(plantings), key=lambda one: (one.spot.line or 0, one.id)))


def _days_outside(day: date, span: Span) -> int:
    return max((span.first - day).days, (day - span.last).days, 0)


def reasons_of(windows: tuple[Window, ...]) -> tuple[Sentence, ...]:
    """The reasons of windows worked together: what decides the first and last day they share."""
    spans = [(window, window.span) for window in windows if window.span is not None]
    latest = max(spans, key=lambda pair: pair[1].first)[0]
    earliest = min(spans, key=lambda pair: pair[1].last)[0]
    told = [latest.opens_why, earliest.closes_why]
    general = [reason for window in windows for reason in window.why]
    return tuple(dict.fromkeys([*(one for one in told if one is not None), *general]))


def _least(
    one: dict[date, float] | None, other: dict[date, float] | None, span: Span
) -> dict[date, float] | None:
    if one is None and other is None:
        return None
    return {
        day: min((odds or {}).get(day, 1.0) for odds in (one, other) if odds is not None)
        for day in span.days()
    }
