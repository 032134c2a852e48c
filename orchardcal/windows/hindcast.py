"""Past seasons planned with each left out, judged by its own weather, beside two plainer plans."""

from __future__ import annotations

import math
from collections import Counter, defaultdict
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from orchardcal import care as cares
from orchardcal.climate.as_of import without_year
from orchardcal.climate.ensemble import Ensemble, Floats
from orchardcal.climate.odds import wilson
from orchardcal.climate.suitability import suitable
from orchardcal.season import DAYS, Season
from orchardcal.sites.site import Planting
from orchardcal.species.rules import CareRule, DayConditions, SpeciesRules
from orchardcal.windows.anchors import Asked
from orchardcal.windows.care_windows import care_window
from orchardcal.windows.day_odds import conditions_at
from orchardcal.windows.site_climate import SiteClimate, count_together
from orchardcal.windows.stages import stage_days
from orchardcal.windows.window import Window

THIS_PLAN, GUIDE, AVERAGES = "this plan", "a guide's fixed month", "the site's average dates"
AT_REST = "begun with the leaves down"
IN_TIME = "ended before the buds' limit"
SUITED = "planned day's weather suited"
WEEK_SUITED = "a day of its week suited"
JUDGED = (
    cares.DORMANT_PRUNING,
    cares.IN_LEAF_PRUNING,
    cares.WHITEWASH_PAINTING,
    cares.DORMANT_OIL_SPRAY,
)
# The month a general guide names, in the north: common practice, no source. First and last day.
GUIDE_MONTHS = {
    cares.DORMANT_PRUNING: ((2, 1), (2, 28)),
    cares.IN_LEAF_PRUNING: ((8, 1), (8, 28)),
    cares.WHITEWASH_PAINTING: ((11, 1), (11, 30)),
    cares.DORMANT_OIL_SPRAY: ((2, 1), (3, 1)),
}
BEFORE_LIMIT_DAYS = 7  # the day planned by average dates lies so long before their end
WEEK = range(7)


@dataclass(frozen=True)
class Verdict:
    """How often one way of planning one care was right in one respect, over past seasons."""

    trees: str
    care: str
    way: str
    question: str
    right: int
    asked: int

    @property
    def interval_80(self) -> tuple[float, float]:
        """Between which shares the true one lies, 8 times in 10 (Wilson 1927)."""
        return wilson(self.right, self.asked)


@dataclass(frozen=True)
class DaysLost:
    """Days of the season's true window that a plan left unused.

    median: over so many seasons, nan where the care does not end with a bud stage.
    without_window: seasons in which this way of planning gave no window.
    """

    trees: str
    care: str
    way: str
    median: float
    seasons: int
    without_window: int


@dataclass(frozen=True)
class Hindcast:
    """years: harvest years judged. observed_buds: limits from dates seen, not modelled."""

    years: tuple[int, ...]
    verdicts: tuple[Verdict, ...]
    lost: tuple[DaysLost, ...]
    observed_buds: int


@dataclass(frozen=True)
class Planned:
    """Season days: the window's first and last, and the day the work would be done."""

    first: int
    last: int
    day: int


@dataclass(frozen=True)
class Truth:
    """What a season turned out to be for one care.

    at_rest: season day of its leaf fall, which is an estimate in any case. limit: the last day its
    buds allowed; None where the care does not end with a bud stage or the stage never came.
    suited: whether each season day's weather met the care's conditions, None if it has none.
    """

    at_rest: float
    limit: float | None
    suited: tuple[bool, ...] | None


def hindcast(
    plantings: Iterable[Planting],
    rules: dict[str, SpeciesRules],
    ensemble: Ensemble,
    progress: Callable[[], None] = lambda: None,
) -> Hindcast:
    """Every whole season of a record planned from the others, then judged.

    ensemble: observed seasons (grade A or B), without an as-of day. A planting's dates seen in a
    season are not known to the plan of that season. Buds move as seen on the trees, or else as the
    model says for a typical cultivar under the season's true weather: then only the weather
    judges, not the model. Plantings alike in all that matters are judged once. progress: told of
    each season.
    """
    whole = SiteClimate(ensemble)
    southern = whole.season.southern
    climates = [SiteClimate(without_year(ensemble, year)) for year in ensemble.years]
    count_together([whole, *climates])
    alike = _alike(plantings)
    right: dict[tuple[str, str, str, str], list[bool]] = defaultdict(list)
    lost: dict[tuple[str, str, str], list[float | None]] = defaultdict(list)
    without: Counter[tuple[str, str, str]] = Counter()
    observed = 0
    for at, (year, others) in enumerate(zip(ensemble.years, climates, strict=True)):
        season = Season(year, southern)
        for trees, planting in alike:
            unseen = tuple(one for one in planting.seen if one.day not in season.span)
            asked = Asked(replace(planting, seen=unseen), rules[planting.species], others, season)
            for rule in _judged_rules(asked.rules):
                truth, from_trees = _truth(rule, planting, asked.rules, whole, at, season)
                observed += from_trees
                ways = {
                    THIS_PLAN: _by_window(care_window(rule, asked), season),
                    GUIDE: _by_guide(rule.care, season),
                    AVERAGES: _by_averages(rule, planting, asked.rules, whole, at),
                }
                for way, planned in ways.items():
                    if way == AVERAGES and not _stage_limits(rule, asked.rules):
                        continue
                    for question, answer in _answers(planned, truth):
                        right[trees, rule.care, way, question].append(answer)
                    lost[trees, rule.care, way].append(_days_lost(planned, truth))
                    without[trees, rule.care, way] += planned is None
        progress()
    return Hindcast(
        ensemble.years,
        tuple(Verdict(*key, sum(answers), len(answers)) for key, answers in right.items()),
        tuple(_lost(key, days, without[key]) for key, days in lost.items()),
        observed,
    )


def _alike(plantings: Iterable[Planting]) -> list[tuple[str, Planting]]:
    """One planting of each kind, under the ids of all of that kind."""
    kinds: dict[tuple[object, ...], list[Planting]] = defaultdict(list)
    for one in plantings:
        key = (one.species, one.cultivar.lower(), one.chill_need, one.heat_need, one.seen)
        kinds[key].append(one)
    return [(", ".join(one.id for one in group), group[0]) for group in kinds.values()]


def _judged_rules(rules: SpeciesRules) -> list[CareRule]:
    return [rule for rule in rules.cares if rule.care in JUDGED and rule.opens and not rule.never]


def _stage_limits(rule: CareRule, rules: SpeciesRules) -> list[tuple[str, int]]:
    """Bud stages the care ends with, and the days from them."""
    if not rules.needs:
        return []
    return [
        (anchor.at, anchor.offset_days)
        for anchor in rule.closes
        if rules.stage(anchor.at) is not None
    ]


def _limits(rule: CareRule, planting: Planting, rules: SpeciesRules, whole: SiteClimate) -> Floats:
    """The last day the buds allow in each season by the model; inf where the stage never comes."""
    without_dates = replace(planting, seen=())
    key = ("hindcast stages", rules.key, planting.cultivar, planting.chill_need, planting.heat_need)
    found = whole.keep(key, lambda: stage_days(without_dates, rules, whole, "typical"))
    limits = [found.days[stage] + offset for stage, offset in _stage_limits(rule, rules)]
    return np.asarray(np.min(limits, axis=0))


def _truth(
    rule: CareRule,
    planting: Planting,
    rules: SpeciesRules,
    whole: SiteClimate,
    at: int,
    season: Season,
) -> tuple[Truth, bool]:
    """The season's truth for a care, and whether its limit was seen on the trees."""
    limit: float | None = None
    seen: list[int] = []
    if _stage_limits(rule, rules):
        limit = float(_limits(rule, planting, rules, whole)[at])
        seen = [
            season.season_day(one.day) + offset
            for stage, offset in _stage_limits(rule, rules)
            for one in planting.seen
            if one.stage == stage and one.day in season.span
        ]
        limit = float(min(seen)) if seen else limit
        if math.isinf(limit):
            limit = None
    conditions = conditions_at(rule.day, rule.day_by_climate, whole)
    suited = _suited(conditions, whole.ensemble, at)
    return Truth(float(whole.leaf_fall_days[at]), limit, suited), bool(seen)


def _suited(conditions: DayConditions, ensemble: Ensemble, at: int) -> tuple[bool, ...] | None:
    if conditions == DayConditions(source=conditions.source):
        return None
    row = slice(at, at + 1)
    flags = suitable(
        ensemble.low_c[row],
        ensemble.high_c[row],
        None if ensemble.rain_mm is None else ensemble.rain_mm[row],
        low_min_c=conditions.low_min_c,
        high_min_c=conditions.high_min_c,
        high_max_c=conditions.high_max_c,
        freeze_free_days_after=conditions.freeze_free_days_after,
        dry_days_before=conditions.dry_days_before,
        dry_days_after=conditions.dry_days_after,
        no_hard_freeze_c=conditions.no_hard_freeze_c,
        no_hard_freeze_days=conditions.no_hard_freeze_days,
    )
    return tuple(bool(flag) for flag in flags[0])


def _by_window(window: Window, season: Season) -> Planned | None:
    """The day: the one whose weather suits oftenest, else the rule's target, else the middle."""
    if window.span is None:
        return None
    first, last = (season.season_day(day) for day in (window.span.first, window.span.last))
    odds = window.day_odds
    if odds:
        day = first + odds.index(max(odds))
    else:
        day = window.target if window.target is not None else (first + last) // 2
    return Planned(first, last, day)


def _by_guide(care: str, season: Season) -> Planned:
    first, last = (season.season_day(season.northern_month_day(*day)) for day in GUIDE_MONTHS[care])
    return Planned(first, last, (first + last) // 2)


def _by_averages(
    rule: CareRule, planting: Planting, rules: SpeciesRules, whole: SiteClimate, at: int
) -> Planned | None:
    """From the mean leaf fall to the mean limit of the other seasons."""
    if not _stage_limits(rule, rules):
        return None
    limits = np.delete(_limits(rule, planting, rules, whole), at)
    limits = limits[np.isfinite(limits)]
    if not len(limits):
        return None
    first = math.ceil(np.delete(whole.leaf_fall_days, at).mean())
    last = math.floor(limits.mean())
    return Planned(first, last, max(first, last - BEFORE_LIMIT_DAYS)) if first <= last else None


def _answers(planned: Planned | None, truth: Truth) -> list[tuple[str, bool]]:
    if planned is None:
        return []
    answers = []
    if truth.limit is not None:
        answers.append((AT_REST, planned.first >= truth.at_rest))
        answers.append((IN_TIME, planned.last <= truth.limit))
    if truth.suited is not None:
        answers.append((SUITED, truth.suited[planned.day % DAYS]))
        week = (truth.suited[(planned.day + later) % DAYS] for later in WEEK)
        answers.append((WEEK_SUITED, any(week)))
    return answers


def _days_lost(planned: Planned | None, truth: Truth) -> float | None:
    """Usable days outside the plan, between leaf fall and the buds' limit; None without them."""
    if planned is None or truth.limit is None:
        return None
    early = max(0.0, min(planned.first, truth.limit) - truth.at_rest)
    late = max(0.0, truth.limit - max(planned.last, truth.at_rest))
    return early + late


def _lost(key: tuple[str, str, str], days: Sequence[float | None], without: int) -> DaysLost:
    known = [one for one in days if one is not None]
    median = float(np.median(known)) if known else math.nan
    return DaysLost(*key, median, len(known), without)
