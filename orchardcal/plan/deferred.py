"""Cuts put off, as tasks: on the day to look again, or the next time that cut is safe."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from orchardcal import care as cares
from orchardcal.journal.cuts import DeferredCut
from orchardcal.plan.care_tasks import AFTER, SiteSeason
from orchardcal.plan.plan import NotPlaced
from orchardcal.plan.task import Link, Task
from orchardcal.season import Span
from orchardcal.sentence import Sentence, say
from orchardcal.sites.site import Planting
from orchardcal.windows.care_windows import care_window
from orchardcal.windows.window import Window


@dataclass(frozen=True)
class CutsFound:
    tasks: tuple[Task, ...]
    not_placed: tuple[NotPlaced, ...]


def deferred_cuts(seasons: tuple[SiteSeason, ...]) -> CutsFound:
    """A task for every open cut put off whose next safe time lies in the planned seasons.

    A cut in dormancy waits for the field check, as all pruning then does.
    """
    tasks, not_placed = [], []
    for cut in seasons[0].known.cuts:
        if not cut.open:
            continue
        planting = _planting(cut, seasons[0])
        if planting is None:
            continue
        task = _task(cut, planting, seasons)
        if task is not None:
            tasks.append(task)
        else:
            not_placed.append(_later(cut, planting, seasons[-1]))
    return CutsFound(tuple(tasks), tuple(not_placed))


def _planting(cut: DeferredCut, here: SiteSeason) -> Planting | None:
    return next((p for p in here.site.plantings if p.id == cut.planting), None)


def _task(cut: DeferredCut, planting: Planting, seasons: tuple[SiteSeason, ...]) -> Task | None:
    """The cut in its first safe span from the day to look again on (or from the as-of day)."""
    look = cut.look_again
    assert look is not None
    wanted = max(look, seasons[0].as_of)
    for window, here in safe_windows(planting, seasons):
        assert window.span is not None
        if window.span.last < wanted:
            continue
        first, last = max(window.span.first, look), window.span.last
        odds = None
        if window.day_odds is not None:
            season = here.season
            begin = season.season_day(window.span.first)
            odds = {
                day: window.day_odds[season.season_day(day) - begin]
                for day in Span(first, last).days()
            }
        return Task(
            care=cares.DEFERRED_CUT,
            part=cut.reference,
            season=here.season,
            plantings=(planting,),
            span=Span(first, last),
            target=first,
            odds=odds,
            why=(*_moved(look, first), *window.why),
            note=history(cut),
            windows=(window,),
            conditions=(window.conditions,),
            links=(Link(cares.DORMANCY_CHECK, gap_days=1),)
            if window.care == cares.DORMANT_PRUNING
            else (),
        )
    return None


def safe_windows(
    planting: Planting, seasons: tuple[SiteSeason, ...]
) -> list[tuple[Window, SiteSeason]]:
    """When this planting may be cut at all in the planned seasons, earliest first."""
    found = []
    for here in seasons:
        for care in AFTER:
            rule = here.rules[planting.species].care(care)
            if rule is None or rule.never:
                continue
            window = care_window(rule, here.asked(planting))
            if window.span is not None:
                found.append((window, here))
    return sorted(found, key=lambda pair: pair[0].span.first if pair[0].span else date.max)


def _moved(look: date, first: date) -> tuple[Sentence, ...]:
    if first > look:
        return (
            say(
                "Put off to {look}, when that cut is not safe on this tree; {first} is the next"
                " time it is.",
                look=look,
                first=first,
            ),
        )
    return (say("Put off to {look}.", look=look),)


def history(cut: DeferredCut) -> tuple[Sentence, ...]:
    """What was said of the cut, oldest first, and the choices now."""
    told: list[Sentence] = []
    for step in cut.steps:
        told.append(
            say("{day}, put off: {note}", day=step.day, note=step.note or "no note")
            if step.until is not None
            else say("{day}: {note}", day=step.day, note=step.note or "no note")
        )
    told.append(say("Look again, then cut, keep, or put off once more."))
    return tuple(told)


def _later(cut: DeferredCut, planting: Planting, here: SiteSeason) -> NotPlaced:
    look = cut.look_again
    assert look is not None
    return here.not_placed(
        cares.DEFERRED_CUT,
        (planting,),
        "later",
        (say("Put off to {look}; no safe time for it before this plan ends.", look=look),),
        say("It comes back with the plan of the season after."),
    )
