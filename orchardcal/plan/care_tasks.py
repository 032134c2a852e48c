"""From windows to tasks: every care of every planting of a site in a season that is still to do."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from datetime import date, timedelta

from orchardcal import care as cares
from orchardcal.journal.standing import PARTLY
from orchardcal.plan.plan import NotPlaced
from orchardcal.plan.quantities import age_of
from orchardcal.plan.recorded import ASK_AGAIN_DAYS, Recorded
from orchardcal.plan.task import Link, Task, gathered, slot_of
from orchardcal.season import Season, Span
from orchardcal.sentence import Sentence, say
from orchardcal.sites.site import Planting, Site
from orchardcal.species.rules import CareRule, SpeciesRules
from orchardcal.windows.anchors import Asked
from orchardcal.windows.care_windows import care_window
from orchardcal.windows.near_days import NearDays
from orchardcal.windows.site_climate import SiteClimate
from orchardcal.windows.window import Window

PAINT_AFTER_OIL_DAYS = 7  # paint does not hold on fresh oil; common practice, no source
CHECK_DAYS = ASK_AGAIN_DAYS + 7  # the days a check may be put on: a week at least lies ahead
BEFORE_SUN = "before sun and frost"  # the round of painting that follows no cut
AFTER = {  # the part of a painting or look that follows a pruning
    cares.DORMANT_PRUNING: "after dormant pruning",
    cares.IN_LEAF_PRUNING: "after in-leaf pruning",
}
OF_WINDOWS = (
    cares.DORMANT_PRUNING,
    cares.IN_LEAF_PRUNING,
    cares.WHITEWASH_PAINTING,
    cares.OIL_SCOUTING,
    cares.DORMANT_OIL_SPRAY,
)


@dataclass(frozen=True)
class SiteSeason:
    """One site in one season, with all that its tasks are made from. near: the forecast's days."""

    site: Site
    season: Season
    rules: dict[str, SpeciesRules]
    climate: SiteClimate
    known: Recorded
    as_of: date
    near: NearDays | None = None

    def asked(self, planting: Planting) -> Asked:
        """The planting with what was seen on it: bud stages of earlier seasons and of this one."""
        year = self.season.harvest_year
        ticked = self.known.dormant_on(planting, year)
        day = None if ticked is None else self.season.season_day(ticked)
        now = self.known.stage_now(planting, year)
        seen_now = None if now is None else (now.stage, self.season.season_day(now.day))
        seen = dict.fromkeys((*planting.seen, *self.known.stages_before(planting, year)))
        known = replace(planting, seen=tuple(seen))
        return Asked(known, self.rules[planting.species], self.climate, self.season, day, seen_now)

    def left(self, planting: Planting, care: str) -> Planting:
        """The planting without the trees on which the care is done already."""
        standing = self.known.standing(planting, care, self.season.harvest_year)
        if standing is None or standing.state != PARTLY:
            return planting
        return replace(planting, count=max(1, planting.count - standing.trees_done))

    def not_placed(
        self,
        care: str,
        plantings: Iterable[Planting],
        kind: str,
        why: tuple[Sentence, ...],
        nearest: Sentence | None = None,
        window: Span | None = None,
    ) -> NotPlaced:
        ids = tuple(planting.id for planting in plantings)
        year = self.season.harvest_year
        return NotPlaced(self.site.key, care, year, ids, kind, why, nearest, window)


@dataclass(frozen=True)
class Found:
    """Tasks to put on days, windows open or to come, and what has no window or is over."""

    tasks: tuple[Task, ...]
    windows: tuple[Window, ...]
    not_placed: tuple[NotPlaced, ...]


def window_tasks(here: SiteSeason, visitable: Callable[[date, str], bool]) -> Found:
    """Tasks of the cares that have a window of their own, dormancy checks first.

    visitable: whether the site may be visited on a day for a care.
    """
    open_windows: list[tuple[Window, Planting]] = []
    over: list[tuple[Window, Planting]] = []
    without: list[tuple[Window, Planting]] = []
    for planting in here.site.plantings:
        for rule in here.rules[planting.species].cares:
            if rule.care not in OF_WINDOWS or _nothing_left(rule, planting, here):
                continue
            if rule.care == cares.WHITEWASH_PAINTING and not rule.opens:
                continue  # painted after cuts only
            part = BEFORE_SUN if rule.care == cares.WHITEWASH_PAINTING else ""
            window = care_window(rule, here.asked(planting), part)
            pair = (window, here.left(planting, rule.care))
            if window.span is None:
                without.append(pair)
            elif window.span.last < here.as_of:
                over.append(pair)
            else:
                open_windows.append(pair)
    checks = _dormancy_checks(here, visitable)
    together = _gathered_in_order(open_windows, visitable)
    tasks = [_after_done_work(_linked(task, checks, here), here) for task in together]
    return Found(
        (*checks, *tasks),
        tuple(window for task in (*checks, *tasks) for window in task.windows),
        (*_without_window(without, here), *_over(over, here), *_not_needed(here)),
    )


def _gathered_in_order(
    pairs: list[tuple[Window, Planting]], visitable: Callable[[date, str], bool]
) -> list[Task]:
    """The tasks of all windows; oil only for plantings pruned together, as it waits for that."""
    oil = [pair for pair in pairs if pair[0].care == cares.DORMANT_OIL_SPRAY]
    others = [pair for pair in pairs if pair[0].care != cares.DORMANT_OIL_SPRAY]
    tasks = gathered(others, visitable)
    prunings = [task for task in tasks if task.care == cares.DORMANT_PRUNING]
    by_pruning: dict[int, list[tuple[Window, Planting]]] = {}
    for window, planting in oil:
        at = next((n for n, task in enumerate(prunings) if planting.id in task.ids), -1)
        by_pruning.setdefault(at, []).append((window, planting))
    for alike in by_pruning.values():
        tasks.extend(gathered(alike, visitable))
    return tasks


def _nothing_left(rule: CareRule, planting: Planting, here: SiteSeason) -> bool:
    year = here.season.harvest_year
    if here.known.closed(planting, rule.care, year):
        return rule.care != cares.WHITEWASH_PAINTING or _painted_before_sun(planting, here)
    age = age_of(planting, year)
    if age < rule.first_age or (rule.last_age is not None and age > rule.last_age):
        return True
    if planting.near_power_line and rule.care in AFTER:
        return True  # said in the site's notes: not work for staff or volunteers
    seen = here.known.pests_on(planting, year)
    if rule.care == cares.OIL_SCOUTING:
        return seen is not None
    return rule.only_if_pests and seen is not None and seen.seen == "none"


def _painted_before_sun(planting: Planting, here: SiteSeason) -> bool:
    """Painted in this season before any cut of it: the round before sun and frost is done."""
    year = here.season.harvest_year
    standing = here.known.standing(planting, cares.WHITEWASH_PAINTING, year)
    if standing is None or standing.state == "skipped":
        return standing is not None
    cut = here.known.done_day(planting, cares.DORMANT_PRUNING, year)
    return bool(standing.days) and (cut is None or standing.days[0] < cut)


def _dormancy_checks(here: SiteSeason, visitable: Callable[[date, str], bool]) -> list[Task]:
    """The next field check of every deciduous planting not yet found dormant."""
    waiting: list[tuple[Window, Planting]] = []
    for planting in here.site.plantings:
        rule = here.rules[planting.species].care(cares.DORMANCY_CHECK)
        year = here.season.harvest_year
        if rule is None or here.known.dormant_on(planting, year) is not None:
            continue
        if here.known.closed(planting, cares.DORMANCY_CHECK, year):
            continue
        window = care_window(rule, here.asked(planting))
        if window.span is None:
            continue
        first, again = _next_check(window.span.first, planting, here)
        if first > max(window.span.last, window.span.first):
            continue  # winter is over: nothing waits for the answer any more
        span = Span(first, first + timedelta(days=CHECK_DAYS - 1))
        why = (*window.why, ASKED_AGAIN) if again else window.why
        waiting.append((replace(window, span=span, target=None, why=why), planting))
    return [replace(task, target=task.span.first) for task in gathered(waiting, visitable)]


def _next_check(first: date, planting: Planting, here: SiteSeason) -> tuple[date, bool]:
    """When to look next, every two weeks until ticked, and whether it was asked before.

    Later rounds begin on the same days for all plantings, so that one visit looks at them all.
    """
    answered = here.known.ask_dormancy_from(planting, here.season.harvest_year)
    begin = first if answered is None else answered
    if here.as_of < begin + timedelta(days=ASK_AGAIN_DAYS):
        return begin, answered is not None
    rounds = (here.as_of - here.season.first).days // ASK_AGAIN_DAYS
    return here.season.first + timedelta(days=rounds * ASK_AGAIN_DAYS), True


ASKED_AGAIN = say(
    "Nobody has ticked it dormant yet: look every two weeks, and cut and spray nothing until then.",
    source="common practice, no source",
)


def _linked(task: Task, checks: Iterable[Task], here: SiteSeason) -> Task:
    """The task with its links to what it follows by the species' rules."""
    links: list[Link] = []
    if task.care == cares.DORMANT_PRUNING:
        for check in checks:
            if set(check.ids) & set(task.ids):
                links.append(Link(check.slot, gap_days=1))
    for window in task.windows:
        for follows in window.rule.follows:
            for slot in _slots_followed(task, follows.care, here):
                links.append(Link(slot, follows.gap_days, follows.within_days))
    if task.part == BEFORE_SUN and not _paints_before_winter(here):
        links.append(Link(cares.DORMANT_OIL_SPRAY, PAINT_AFTER_OIL_DAYS))
    return replace(task, links=tuple(dict.fromkeys(links)))


def _slots_followed(task: Task, care: str, here: SiteSeason) -> tuple[str, ...]:
    if task.part == BEFORE_SUN:
        return ()  # that round follows no cut
    if care != cares.WHITEWASH_PAINTING:
        return (care,)
    after_cuts = slot_of(care, AFTER[cares.DORMANT_PRUNING])
    before_winter = (slot_of(care, BEFORE_SUN),) if _paints_before_winter(here) else ()
    return (after_cuts, *before_winter)


def _paints_before_winter(here: SiteSeason) -> bool:
    """Whether the yearly painting comes before the oil season: where winters are cold."""
    return "cold_winter" in here.climate.classes


def _after_done_work(task: Task, here: SiteSeason) -> Task:
    """The task kept clear of work already done, by the same gaps: oil after the real painting."""
    first = task.span.first
    for window in task.windows:
        for follows in window.rule.follows:
            if task.part == BEFORE_SUN:
                continue
            for planting in task.plantings:
                done = here.known.done_day(planting, follows.care, here.season.harvest_year)
                if done is not None:
                    first = max(first, done + timedelta(days=follows.gap_days))
    if first == task.span.first:
        return task
    return replace(
        task,
        span=Span(min(first, task.span.last), task.span.last),
        target=max(task.target, min(first, task.span.last)),
    )


def _not_needed(here: SiteSeason) -> Iterable[NotPlaced]:
    """Oil sprays that scouting has made needless."""
    year = here.season.harvest_year
    clean: dict[date, list[Planting]] = {}
    for planting in here.site.plantings:
        rule = here.rules[planting.species].care(cares.DORMANT_OIL_SPRAY)
        seen = here.known.pests_on(planting, year)
        if rule is not None and not rule.never and seen is not None and seen.seen == "none":
            clean.setdefault(seen.day, []).append(planting)
    for day, plantings in clean.items():
        why = say("Scouting on {day} found no scale and no eggs, so no oil is sprayed.", day=day)
        yield here.not_placed(cares.DORMANT_OIL_SPRAY, plantings, "not needed", (why,))


def _without_window(
    pairs: list[tuple[Window, Planting]], here: SiteSeason
) -> tuple[NotPlaced, ...]:
    """Cares without a window, put together where the reasons are the same."""
    alike: dict[tuple[str, str, tuple[Sentence, ...]], list[Planting]] = {}
    for window, planting in pairs:
        kind = "never" if window.rule.never else "no window"
        alike.setdefault((window.care, kind, window.why), []).append(planting)
    return tuple(
        here.not_placed(care, plantings, kind, why)
        for (care, kind, why), plantings in alike.items()
    )


def _over(pairs: list[tuple[Window, Planting]], here: SiteSeason) -> tuple[NotPlaced, ...]:
    """Cares whose window has passed undone, with the next season's time for them."""
    found = []
    for task in gathered(pairs):
        again = here.season.next()
        first = again.day(here.season.season_day(task.span.first))
        found.append(
            here.not_placed(
                task.care,
                task.plantings,
                "passed",
                (
                    say(
                        "Its time was {first} to {last}.",
                        first=task.span.first,
                        last=task.span.last,
                    ),
                    *MISSED.get(task.care, ()),
                ),
                say("The next safe time begins about {day}.", day=first),
                task.span,
            )
        )
    return tuple(found)


MISSED = {
    cares.DORMANT_PRUNING: (
        say(
            "A missed winter costs shape more than health; dead, broken and rubbing wood may still"
            " come off in dry weather.",
            source="common practice, no source",
        ),
    ),
    cares.IN_LEAF_PRUNING: (
        say(
            "Leave it until then but for dead wood: fresh cuts in cold or wet weather invite"
            " canker.",
            source="common practice, no source",
        ),
    ),
    cares.DORMANT_OIL_SPRAY: (
        say("Oil on opened buds burns them; wait for next winter and look for pests meanwhile."),
    ),
}
