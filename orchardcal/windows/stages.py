"""Bud stages per season for one planting: chill, then heat, scaled by the dates seen on it."""

from __future__ import annotations

from dataclasses import dataclass
from math import hypot, sqrt

import numpy as np

from orchardcal.climate.bud_model import (
    SOLSTICE,
    BudModel,
    daylight_heat,
    days_reached,
    heat_so_far,
)
from orchardcal.climate.calibration import SeenHeat, heat_scale
from orchardcal.climate.ensemble import Floats
from orchardcal.climate.stages import chill_met
from orchardcal.season import DAYS, Season
from orchardcal.sites.site import Amount, Planting
from orchardcal.species.rules import Need, SpeciesRules, Stage
from orchardcal.windows.site_climate import SiteClimate

# Days the model errs, one standard deviation, without and with dates seen on the planting, at bud
# stages and at bloom: stations not used for the calibration (tests/hindcast_study).
BUD_ERROR_DAYS, BUD_ERROR_SEEN_DAYS = 6.5, 5.0
BLOOM_ERROR_DAYS, BLOOM_ERROR_SEEN_DAYS = 4.0, 3.0
LEAVES_FROM = 215.0  # season day of 1 February (4 August in the south)
BLOOM_FROM_SHARE = 0.75  # stages from this share of the heat on err as bloom does
USUAL_ERROR_DAYS = 5.0  # what an ensemble's own bud error holds of the model; the rest is its data


@dataclass(frozen=True)
class Needs:
    """Chill and heat one planting needs, with the models that count them, before any scaling."""

    chill: Amount
    heat: Amount
    source: str


@dataclass(frozen=True)
class StageDays:
    """chill_met: season day per member, shape (members,). days: per stage key, the same shape.

    All are inf in a season in which it never comes. scales: per stage key, heat this planting
    needs over what the model says; 1 without dates seen.
    """

    needs: Needs
    chill_met: Floats
    days: dict[str, Floats]
    scales: dict[str, float]


@dataclass(frozen=True)
class _Gathered:
    """heat: by the end of each day, (members, 365); needed: at each stage, (members, stages)."""

    chill_met: Floats
    heat: Floats
    needed: Floats


def needs_of(planting: Planting, rules: SpeciesRules, which: str) -> Needs:
    """The needs to use: the planting's own, its cultivar's, the calibrated or the `which` pair."""
    overlap = _overlap_of(planting, rules)
    if overlap is not None and rules.overlap is not None:
        chill = Amount(overlap.chill_from, "portions")
        return Needs(chill, Amount(overlap.heat_need, "daylight"), rules.overlap.source)
    need = _of_cultivar(planting, rules) or rules.needs[which]
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
    harvest_year: int | None = None,
) -> StageDays:
    """Season days of chill met and of every bud stage of the species, per member.

    A species calibrated on bud dates goes by that, where the tree has no need of its own. Else
    chill and growing degree hours date full bloom, and the earlier stages come at their shares of
    the daylight heat up to it; species that leaf out first have shares of the degree hours
    themselves. Heat counts from the day chill is met, but not before the winter solstice, nor
    before February in those that leaf out first: their low need is met while autumn is still
    warm, and they rest on (our departure from the sequential model, common practice, no source;
    degree-day models begin at New Year or on 1 February, as Ruml et al. 2021 do).

    which: "early", "typical" or "late"; with dates seen on the planting they become one, as the
    heat is then scaled by those dates, recent ones first. seen_now: a stage seen in this season
    and its day: it and those before have come by then, those after take the heat between from
    that day on. harvest_year: of the season foretold, else the one after the last date seen.
    """
    if planting.seen:
        which = "typical"
    gathered = _gathered(planting, rules, climate, which)
    scales = _scales(planting, rules, climate, which, harvest_year)
    needed = gathered.needed * np.array([scales[stage.key] for stage in rules.stages])
    days = days_reached(gathered.heat, needed)
    if seen_now is not None and rules.stage(seen_now[0]) is not None:
        days = _from_seen(seen_now, rules, gathered.heat, needed, days)
    by_stage = {stage.key: days[:, at] for at, stage in enumerate(rules.stages)}
    return StageDays(needs_of(planting, rules, which), gathered.chill_met, by_stage, scales)


def error_days(planting: Planting, stage: Stage, climate: SiteClimate) -> float:
    """How far a modelled stage errs, one standard deviation: the model and the site's thin data."""
    seen = bool(planting.seen)
    if stage.heat_share >= BLOOM_FROM_SHARE:
        model = BLOOM_ERROR_SEEN_DAYS if seen else BLOOM_ERROR_DAYS
    else:
        model = BUD_ERROR_SEEN_DAYS if seen else BUD_ERROR_DAYS
    of_data = sqrt(max(0.0, climate.ensemble.bud_error_days**2 - USUAL_ERROR_DAYS**2))
    return hypot(model, of_data)


def _of_cultivar(planting: Planting, rules: SpeciesRules) -> Need | None:
    return rules.cultivars.get(planting.cultivar.strip().lower())


def _overlap_of(planting: Planting, rules: SpeciesRules) -> BudModel | None:
    """The calibrated model, None where the tree has needs of its own or its species has none."""
    found = rules.overlap
    if found is None or planting.chill_need or planting.heat_need:
        return None
    if _of_cultivar(planting, rules) is not None:
        return None
    return BudModel(found.chill_from, found.heat_need, found.chill_fall)


def _gathered(
    planting: Planting, rules: SpeciesRules, climate: SiteClimate, which: str
) -> _Gathered:
    shares = np.array([stage.heat_share for stage in rules.stages])
    needs = needs_of(planting, rules, which)
    met = chill_met(climate.daily(needs.chill.model), needs.chill.amount)
    overlap = _overlap_of(planting, rules)
    if overlap is not None:
        heat = heat_so_far(_daylight(climate), climate.daily("portions"), overlap)
        return _Gathered(met, heat, np.tile(overlap.heat_need * shares, (climate.members, 1)))
    leafs_first = rules.stage_heat == "asymcur"
    begins = np.maximum(met, LEAVES_FROM if leafs_first else SOLSTICE)
    degree_hours = _counted_from(begins, climate.daily(needs.heat.model))
    if leafs_first:
        needed = np.tile(needs.heat.amount * shares, (climate.members, 1))
        return _Gathered(met, degree_hours, needed)
    bloom = days_reached(degree_hours, np.full((climate.members, 1), needs.heat.amount))[:, 0]
    heat = _counted_from(begins, _daylight(climate))
    blooms = np.isfinite(bloom)
    at = np.where(blooms, bloom, 0).astype(np.int64)
    whole = np.where(blooms, heat[np.arange(len(heat)), at], np.inf)
    return _Gathered(met, heat, whole[:, None] * shares)


def _daylight(climate: SiteClimate) -> Floats:
    known = climate.ensemble
    return climate.keep(
        "daylight heat", lambda: daylight_heat(known.low_c, known.high_c, known.latitude_deg)
    )


def _counted_from(begins: Floats, daily: Floats) -> Floats:
    """The running sum of each day's heat from a day on, that day included."""
    return np.cumsum(np.where(np.arange(DAYS) >= begins[:, None], daily, 0.0), axis=1)


def _scales(
    planting: Planting,
    rules: SpeciesRules,
    climate: SiteClimate,
    which: str,
    harvest_year: int | None,
) -> dict[str, float]:
    """The factor on each stage's heat that the dates seen suggest (climate.calibration)."""
    keys = [stage.key for stage in rules.stages]
    seen = [one for one in planting.seen if one.stage in keys]
    if not seen:
        return dict.fromkeys(keys, 1.0)
    usual = climate.without_this_season()
    gathered = _gathered(planting, rules, usual, which)
    ratios = []
    for one in seen:
        season = Season.containing(one.day, climate.season.southern)
        ratio = _ratio(gathered, usual, season, season.season_day(one.day), keys.index(one.stage))
        ratios.append((one.stage, season.harvest_year, ratio))
    year = harvest_year or max(year for _, year, _ in ratios) + 1
    return {
        key: heat_scale([SeenHeat(on, ratio, of == key) for of, on, ratio in ratios], year)
        for key in keys
    }


def _ratio(gathered: _Gathered, usual: SiteClimate, season: Season, day: int, stage: int) -> float:
    """Heat there was on a day seen over the heat asked for, in its own season where measured."""
    measured = usual.ensemble.years if usual.ensemble.grade in "AB" else ()
    rows: slice | list[int] = slice(None)
    if season.harvest_year in measured:
        rows = [measured.index(season.harvest_year)]
    heat = (gathered.heat[rows, day] + gathered.heat[rows, max(0, day - 1)]) / 2
    ratios = heat / gathered.needed[rows, stage]
    ratios = ratios[np.isfinite(ratios)]
    return float(np.median(ratios)) if len(ratios) else 0.0


def _from_seen(
    seen_now: tuple[str, int],
    rules: SpeciesRules,
    heat: Floats,
    needed: Floats,
    days: Floats,
) -> Floats:
    """The stage days, shape (members, stages), with a stage seen on a day of this season."""
    at = [stage.key for stage in rules.stages].index(seen_now[0])
    day = min(seen_now[1], DAYS - 1)
    earlier = np.minimum(np.where(np.isfinite(days), days, day), day)[:, : at + 1]
    earlier[:, at] = day
    gained = np.maximum(heat - heat[:, [day]], 0.0)
    later = days_reached(gained, needed[:, at + 1 :] - needed[:, [at]])
    return np.concatenate([earlier, np.maximum(later, day)], axis=1)
