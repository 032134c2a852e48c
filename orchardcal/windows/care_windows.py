"""Care rules on a site's climate: the window of a care of a planting, or why there is none."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import replace

from orchardcal import care as cares
from orchardcal.season import DAYS, Season, Span
from orchardcal.sentence import Sentence, Value, say, sentence_of
from orchardcal.species.rules import CareRule, DayConditions
from orchardcal.windows.anchors import Asked, Resolved, applies, closing, opening
from orchardcal.windows.day_odds import DayOdds, conditions_at, day_odds
from orchardcal.windows.window import Window

EARLIEST = -60  # season days: a summer window may begin so long before its season does
USABLE = 0.5  # share of seasons with a suitable day in the week: below it a week is no window
SLIM = 0.1  # where no week reaches USABLE, weeks from here on are kept, and said to be slim
WEATHER_BOUND = (cares.WHITEWASH_PAINTING, cares.DORMANT_OIL_SPRAY)
GROWN_AGE = 4
AFTER_COLDEST = (
    42  # without a bud date, dormant work ends so long after the coldest fortnight began
)


def care_window(rule: CareRule, asked: Asked, part: str = "") -> Window:
    """The window of one care for one planting; span None, with the reason, where there is none."""
    why = [say(rule.why, source=rule.source)] if rule.why else []
    if rule.never:
        return _none(rule, asked, part, (say(rule.never, source=rule.source),))
    opens = [opening(anchor, asked) for anchor in rule.opens if applies(anchor, asked.climate)]
    closes = [closing(anchor, asked) for anchor in rule.closes if applies(anchor, asked.climate)]
    first, last = _latest(opens), _earliest(closes)
    if math.isinf(last.day):
        why.extend(limit.reason for limit in closes)
        last = _without_bud_date(asked, closes)
    opens_why, closes_why = _opens_on(first, asked.season), _closes_on(last, asked.season)
    begin, end = max(EARLIEST, math.ceil(first.day)), math.floor(last.day)
    if begin > end:
        crossed = _crossed(first, last, asked.season)
        return _none(rule, asked, part, (crossed, opens_why, closes_why, *why))
    conditions = _for_age(conditions_at(rule.day, rule.day_by_climate, asked.climate), asked)
    odds = day_odds(conditions, asked.climate)
    days, weather = _weather_days(range(begin, end + 1), odds, conditions, rule, asked)
    if weather:
        why.append(weather)
    if not days:
        return _none(rule, asked, part, (*why, opens_why, closes_why))
    if odds is not None and not odds.rain_known:
        why.append(_temperature_only(conditions))
    if rule.care == cares.DORMANT_OIL_SPRAY:
        why.append(WIND_UNKNOWN)
    return Window(
        care=rule.care,
        part=part,
        season=asked.season,
        plantings=(asked.planting.id,),
        rule=rule,
        span=Span(asked.season.day(days[0]), asked.season.day(days[-1])),
        target=_target(rule, asked, days),
        day_odds=_over(days, odds.day) if odds else None,
        week_odds=_over(days, odds.week) if odds else None,
        why=tuple(dict.fromkeys(why)),
        opens_why=opens_why,
        closes_why=closes_why,
        conditions=conditions,
    )


def _for_age(conditions: DayConditions, asked: Asked) -> DayConditions:
    """Grown trees bear a harder freeze after a cut than young ones."""
    age = asked.planting.age(asked.season.harvest_year)
    grown_c = conditions.no_hard_freeze_grown_c
    if grown_c is None or age is None or age < GROWN_AGE:
        return conditions
    return replace(conditions, no_hard_freeze_c=grown_c)


def _over(days: range, share: Iterable[float]) -> tuple[float, ...]:
    """The share of every day from the first to the last season day, round the year's end."""
    shares = list(share)
    return tuple(round(float(shares[day % DAYS]), 4) for day in days)


def _latest(opens: list[Resolved]) -> Resolved:
    limits = [found for found in opens if not math.isinf(found.day)]
    if not limits:
        return Resolved(0.0, say("Nothing holds it back at the season's start."))
    return max(limits, key=lambda found: found.day)


def _earliest(closes: list[Resolved]) -> Resolved:
    limits = [found for found in closes if not math.isinf(found.day)]
    if not limits:
        return Resolved(math.inf, say("Nothing ends it."))
    return min(limits, key=lambda found: found.day)


def _without_bud_date(asked: Asked, closes: list[Resolved]) -> Resolved:
    """Dormant work without a bud date keeps to the coldest weeks; in-leaf work to the season."""
    if not closes or not asked.rules.deciduous:
        return Resolved(float(DAYS - 1), say("Nothing but the season's end closes it."))
    day = asked.climate.coldest_start + AFTER_COLDEST
    reason = say(
        "Without a bud date the work keeps to the coldest weeks, to {day}; look at the buds first"
        " and stop where they move.",
        day=asked.season.day(day),
        source="common practice, no source",
    )
    return Resolved(float(day), reason)


def _weather_days(
    days: range,
    odds: DayOdds | None,
    conditions: DayConditions,
    rule: CareRule,
    asked: Asked,
) -> tuple[range, Sentence | None]:
    """The days kept, from the first to the last usable week, and what to say of the weather.

    Paint and oil fail in the wrong weather, so their windows keep to weeks in which at least
    half of the seasons had a suitable day; other work waits for the forecast inside its window.
    """
    if odds is None:
        return days, None
    week = {day: float(odds.week[day % DAYS]) for day in days}
    best = max(days, key=lambda day: (week[day], -day))
    least = USABLE if week[best] >= USABLE else SLIM
    usable = [day for day in days if week[day] >= least]
    values: dict[str, Value] = {
        "count": round(week[best] * asked.climate.members),
        "seasons": asked.climate.of_seasons(),
        "day": asked.season.day(best),
    }
    if rule.care in WEATHER_BOUND and not usable:
        text = (
            "No week from {first} to {last} has weather that suits: at best {count} of {seasons}"
            " had one such day in the week from {day}."
        )
        first, last = asked.season.day(days[0]), asked.season.day(days[-1])
        told = sentence_of(text, {**values, "first": first, "last": last}, conditions.source)
        return range(0), told
    if least == SLIM:
        text = (
            "The weather seldom suits: even in the best week, from {day}, only {count} of"
            " {seasons} had a suitable day. Wait for the forecast."
        )
        told = sentence_of(text, values, conditions.source)
        bound = rule.care in WEATHER_BOUND
        return (range(usable[0], usable[-1] + 1) if bound else days), told
    if rule.care not in WEATHER_BOUND or (usable[0], usable[-1]) == (days[0], days[-1]):
        return days, None
    kept = range(usable[0], usable[-1] + 1)
    text = "Outside {first} to {last} fewer than half of the seasons had a suitable day in a week."
    first, last = asked.season.day(kept[0]), asked.season.day(kept[-1])
    return kept, say(text, first=first, last=last, source=conditions.source)


def _target(rule: CareRule, asked: Asked, days: range) -> int | None:
    """The season day the work is best near: the mean of the rule's `best` anchors, inside."""
    best = [opening(anchor, asked).day for anchor in rule.best if applies(anchor, asked.climate)]
    finite = [day for day in best if not math.isinf(day)]
    if not finite:
        return None
    return min(max(round(sum(finite) / len(finite)), days[0]), days[-1])


def _opens_on(found: Resolved, season: Season) -> Sentence:
    return say(
        "Opens {opens}. {reason}",
        opens=season.day(max(EARLIEST, math.ceil(found.day))),
        reason=found.reason,
        source=found.reason.source,
    )


def _closes_on(found: Resolved, season: Season) -> Sentence:
    return say(
        "Closes {closes}. {reason}",
        closes=season.day(math.floor(found.day)),
        reason=found.reason,
        source=found.reason.source,
    )


def _crossed(first: Resolved, last: Resolved, season: Season) -> Sentence:
    return say(
        "There is no window: it would open on {opens}, after it must close on {closes}.",
        opens=season.day(math.ceil(first.day)),
        closes=season.day(math.floor(last.day)),
    )


def _temperature_only(conditions: DayConditions) -> Sentence:
    return say(
        "Temperature only: this site's rain is not known, so check for {before} dry days before"
        " and {after} after.",
        before=conditions.dry_days_before,
        after=conditions.dry_days_after,
    )


WIND_UNKNOWN = say("Wind is not in the data: look at it on the day, as the label asks.")


def _none(rule: CareRule, asked: Asked, part: str, why: tuple[Sentence, ...]) -> Window:
    return Window(
        care=rule.care,
        part=part,
        season=asked.season,
        plantings=(asked.planting.id,),
        rule=rule,
        span=None,
        target=None,
        day_odds=None,
        week_odds=None,
        why=tuple(dict.fromkeys(why)),
    )
