"""Bud stages per season: chill first, then heat, for one planting under one of its needs."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from orchardcal.climate.ensemble import Floats
from orchardcal.climate.stages import chill_met, heat_reached
from orchardcal.season import Season
from orchardcal.sites.site import Amount, Planting
from orchardcal.species.rules import Need, SpeciesRules
from orchardcal.windows.site_climate import SiteClimate

SOLSTICE = 173.0  # season day of 21 December (22 June in the south)
TRUST_IN_THREE = 3.0  # so many observed dates weigh as much as the published need: a choice of ours


@dataclass(frozen=True)
class Needs:
    """Chill and heat one planting needs, with the models that count them.

    scale: heat as observed at this planting over heat as published (1 without observations).
    """

    chill: Amount
    heat: Amount
    source: str
    scale: float = 1.0


@dataclass(frozen=True)
class StageDays:
    """chill_met: season day per member, shape (members,). days: per stage key, the same shape.

    All are inf in a season in which it never comes.
    """

    needs: Needs
    chill_met: Floats
    days: dict[str, Floats]


def needs_of(planting: Planting, rules: SpeciesRules, which: str) -> Needs:
    """The needs to use: the planting's own, its cultivar's, or the species' `which` pair."""
    need: Need = rules.cultivars.get(planting.cultivar.strip().lower()) or rules.needs[which]
    chill = planting.chill_need or Amount(need.portions, "portions")
    heat = planting.heat_need or Amount(need.heat_gdh, "asymcur")
    given = planting.chill_need or planting.heat_need
    return Needs(chill, heat, "trees.csv" if given else need.source)


def stage_days(
    planting: Planting,
    rules: SpeciesRules,
    climate: SiteClimate,
    which: str,
    seen_now: tuple[str, int] | None = None,
) -> StageDays:
    """Season days of chill met and of every bud stage of the species, per member.

    Heat counts from the day chill is met, but not before the winter solstice: a low need is met
    while autumn is still warm, and the buds of fig or grape then rest on (our departure from the
    sequential model, common practice, no source: degree-day models begin at New Year). Where
    chill is met later it changes nothing.

    which: "early", "typical" or "late". With stages observed in past seasons the heat is scaled
    so that the middle of the seasons meets them, and early, typical and late become one.
    seen_now: a stage seen in this season and its day: it and the stages before it have come by
    then, and those after it take the heat between the two from that day on.
    """
    if planting.seen:
        which = "typical"
    needs = needs_of(planting, rules, which)
    daily_chill = climate.daily(needs.chill.model)
    daily_heat = climate.daily(needs.heat.model)
    met = chill_met(daily_chill, needs.chill.amount)
    heat_from = np.maximum(met, SOLSTICE)
    scale = _observed_scale(
        planting, rules, climate.season, daily_heat, heat_from, needs.heat.amount
    )
    heats = np.array([stage.heat_share for stage in rules.stages]) * needs.heat.amount * scale
    reached = heat_reached(daily_heat, heat_from, heats)
    if seen_now is not None and rules.stage(seen_now[0]) is not None:
        reached = _from_seen(seen_now, rules, daily_heat, heats, reached)
    days = {stage.key: reached[:, at] for at, stage in enumerate(rules.stages)}
    return StageDays(Needs(needs.chill, needs.heat, needs.source, scale), met, days)


def _from_seen(
    seen_now: tuple[str, int],
    rules: SpeciesRules,
    daily_heat: Floats,
    heats: Floats,
    reached: Floats,
) -> Floats:
    """The stage days, shape (members, stages), with a stage seen on a day of this season."""
    keys = [stage.key for stage in rules.stages]
    at, day = keys.index(seen_now[0]), float(seen_now[1])
    from_then = np.full(len(daily_heat), day + 1)
    known = np.minimum(np.where(np.isfinite(reached), reached, day), day)[:, : at + 1]
    known[:, at] = day
    later = heat_reached(daily_heat, from_then, heats[at + 1 :] - heats[at])
    return np.concatenate([known, later], axis=1)


def _observed_scale(
    planting: Planting,
    rules: SpeciesRules,
    season: Season,
    daily_heat: Floats,
    heat_from: Floats,
    heat_need: float,
) -> float:
    """Heat by the observed days over the published heat, drawn toward 1 when few were observed."""
    ratios = []
    for seen in planting.seen:
        stage = rules.stage(seen.stage)
        if stage is None or stage.heat_share <= 0:
            continue
        day = Season.containing(seen.day, season.southern).season_day(seen.day)
        after = np.arange(daily_heat.shape[1])[None, :] >= heat_from[:, None]
        by_then = np.where(after, daily_heat, 0.0)[:, : day + 1].sum(axis=1)
        if np.isfinite(heat_from).any():
            ratios.append(float(np.median(by_then)) / (stage.heat_share * heat_need))
    ratios = [ratio for ratio in ratios if ratio > 0]
    if not ratios:
        return 1.0
    weight = len(ratios) / (len(ratios) + TRUST_IN_THREE)
    return float(1 + weight * (np.median(ratios) - 1))
