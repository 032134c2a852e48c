"""Anchors resolved: the season day a rule counts from at this site, and the sentence for it."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from orchardcal.climate.ensemble import Floats
from orchardcal.climate.odds import count_by, day_at_share
from orchardcal.season import DAYS, Season
from orchardcal.sentence import Celsius, Sentence, Words, say
from orchardcal.sites.site import Planting
from orchardcal.species.rules import Anchor, SpeciesRules
from orchardcal.windows.site_climate import SiteClimate
from orchardcal.windows.stages import StageDays, error_days, stage_days

COLDEST_DAYS = 14


@dataclass(frozen=True)
class Resolved:
    """A season day (inf: never; it then limits nothing) and the sentence that explains it."""

    day: float
    reason: Sentence


@dataclass(frozen=True)
class Asked:
    """What an anchor is resolved for.

    ticked: season day of the field check that said dormant. seen_now: the latest bud stage seen
    on the planting in this season and its season day.
    """

    planting: Planting
    rules: SpeciesRules
    climate: SiteClimate
    season: Season
    ticked: int | None = None
    seen_now: tuple[str, int] | None = None

    def stages(self, which: str) -> StageDays:
        tree = self.planting
        needs = (tree.cultivar, tree.chill_need, tree.heat_need, tree.seen, self.seen_now)
        key = (self.rules.key, self.rules.origin, *needs, which, self.season)
        return self.climate.keep(
            key,
            lambda: stage_days(
                tree, self.rules, self.climate, which, self.seen_now, self.season.harvest_year
            ),
        )


def opening(anchor: Anchor, asked: Asked) -> Resolved:
    """The first day: the anchor has passed in `share` of seasons."""
    return _resolved(anchor, asked, opens=True)


def closing(anchor: Anchor, asked: Asked) -> Resolved:
    """The last day: the anchor has not yet come in `share` of seasons."""
    return _resolved(anchor, asked, opens=False)


def applies(anchor: Anchor, climate: SiteClimate) -> bool:
    return not anchor.climate or anchor.climate in climate.classes


def _resolved(anchor: Anchor, asked: Asked, opens: bool) -> Resolved:
    if asked.rules.stage(anchor.at) is not None:
        return _stage(anchor, asked, opens)
    return ANCHORED[anchor.at](anchor, asked, opens)


def _stage(anchor: Anchor, asked: Asked, opens: bool) -> Resolved:
    stage = asked.rules.stage(anchor.at)
    assert stage is not None
    days = asked.stages("typical" if opens else "early").days[stage.key]
    share = anchor.share if opens else 1 - anchor.share
    error = error_days(asked.planting, stage, asked.climate)
    day = day_at_share(days, share, error)
    if math.isinf(day):
        reason = say(
            "No date can be given for {stage}: the chill this tree needs is met in only"
            " {count} of {seasons}.",
            stage=Words(stage.title),
            count=int(np.isfinite(days).sum()),
            seasons=asked.climate.of_seasons(),
        )
        return Resolved(day, reason)
    text = (
        "By {day} the buds are usually at {stage}, give or take {error} days."
        if opens
        else "In an early season the buds are at {stage} by about {day} ({count} of {seasons} by"
        " then; the model itself errs by {error} days)."
    )
    middle = say(
        text,
        stage=Words(stage.title),
        day=asked.season.day(math.floor(day)),
        count=count_by(days, day),
        seasons=asked.climate.of_seasons(),
        error=round(error),
        source=anchor.source,
    )
    return Resolved(day + anchor.offset_days, middle)


def _counted(
    days_of: Callable[[Anchor, Asked], Floats], text: str
) -> Callable[[Anchor, Asked, bool], Resolved]:
    """An anchor that falls on another day in every season."""

    def resolve(anchor: Anchor, asked: Asked, opens: bool) -> Resolved:
        days = days_of(anchor, asked)
        day = day_at_share(days, anchor.share if opens else 1 - anchor.share)
        if math.isinf(day):
            return Resolved(math.inf, say("It limits nothing here."))
        reason = say(
            text,
            day=asked.season.day(math.floor(day)),
            count=count_by(days, day),
            seasons=asked.climate.of_seasons(),
            threshold=Celsius(anchor.threshold_c or 0.0),
            source=anchor.source,
        )
        return Resolved(day + anchor.offset_days, reason)

    return resolve


def _fixed(
    day_of: Callable[[Anchor, Asked], float], text: str
) -> Callable[[Anchor, Asked, bool], Resolved]:
    """An anchor that is one day of the site's mean year or of the calendar."""

    def resolve(anchor: Anchor, asked: Asked, opens: bool) -> Resolved:
        day = day_of(anchor, asked)
        if math.isinf(day):
            return Resolved(math.inf, say("It limits nothing here."))
        reason = say(text, day=asked.season.day(math.floor(day)), source=anchor.source)
        return Resolved(day + anchor.offset_days, reason)

    return resolve


def _dormancy(anchor: Anchor, asked: Asked, opens: bool) -> Resolved:
    if asked.ticked is None:
        return ANCHORED["leaf_fall"](anchor, asked, opens)
    day = asked.season.day(asked.ticked)
    return Resolved(
        asked.ticked + anchor.offset_days, say("The field check said dormant on {day}.", day=day)
    )


def _harvest_end(anchor: Anchor, asked: Asked, opens: bool) -> Resolved:
    after = asked.rules.harvest_end_days_after_bloom
    bloom = asked.stages("typical").days.get("full_bloom")
    if after is None or bloom is None or not np.isfinite(bloom).any():
        return Resolved(
            math.inf, say("No harvest date can be estimated here; look when the fruit is off.")
        )
    ends = bloom + after.typical - DAYS  # last season's bloom, this season's first days
    day = day_at_share(ends, anchor.share if opens else 1 - anchor.share)
    reason = say(
        "The harvest is over by about {day}, {number} days after full bloom.",
        day=asked.season.day(math.floor(day)),
        number=round(after.typical),
        source=after.source,
    )
    return Resolved(day + anchor.offset_days, reason)


def _wet_month(anchor: Anchor, asked: Asked) -> float:
    day = asked.climate.rains_return
    return math.inf if day is None else day


def _month_day(anchor: Anchor, asked: Asked) -> float:
    assert anchor.month is not None
    day = asked.season.northern_month_day(anchor.month, anchor.day or 1)
    return asked.season.season_day(day)


def _hot_days(anchor: Anchor, asked: Asked) -> Floats:
    """First day at or above the threshold after midwinter, per member."""
    hot = asked.climate.ensemble.high_c >= (anchor.threshold_c or 32.0)
    hot[:, : asked.climate.coldest_start] = False
    first = hot.argmax(axis=1).astype(np.float64)
    return np.where(hot.any(axis=1), first, np.inf)


ANCHORED: dict[str, Callable[[Anchor, Asked, bool], Resolved]] = {
    "season_start": _fixed(lambda anchor, asked: 0.0, "The season begins on {day}."),
    "leaf_fall": _counted(
        lambda anchor, asked: asked.climate.leaf_fall_days,
        "Leaves should be down by {day} ({count} of {seasons}); an estimate, so look first.",
    ),
    "dormancy": _dormancy,
    "coldest_start": _fixed(
        lambda anchor, asked: asked.climate.coldest_start, "The coldest fortnight begins on {day}."
    ),
    "coldest_end": _fixed(
        lambda anchor, asked: asked.climate.coldest_start + COLDEST_DAYS,
        "The coldest fortnight of the year is over on {day}.",
    ),
    "last_freeze": _counted(
        lambda anchor, asked: asked.climate.last_freezes(anchor.threshold_c or 0.0),
        "The last low of {threshold} or less had passed by {day} in {count} of {seasons}.",
    ),
    "first_freeze": _counted(
        lambda anchor, asked: asked.climate.first_freezes(anchor.threshold_c or 0.0),
        "The first low of {threshold} or less had come by {day} in {count} of {seasons}.",
    ),
    "first_wet_month": _fixed(_wet_month, "The rains return in the month from {day}."),
    "first_hot_day": _counted(
        _hot_days,
        "The first day of {threshold} or more had come by {day} in {count} of {seasons}.",
    ),
    "harvest_end": _harvest_end,
    "month_day": _fixed(_month_day, "By the calendar, {day}."),
}
