"""A site's climate in figures a person asks for: freeze odds, chill, leaf fall, bud stages."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from orchardcal.climate.ensemble import Floats
from orchardcal.climate.frost import FreezeOdds, freeze_odds_of
from orchardcal.climate.odds import day_at_share
from orchardcal.sites.site import Planting
from orchardcal.species.rules import SpeciesRules
from orchardcal.windows.site_climate import SiteClimate
from orchardcal.windows.stages import error_days, stage_days

__all__ = ["ClimateFacts", "FreezeOdds", "Quantiles", "climate_facts"]

THRESHOLDS_C = (0.0, -2.2, -4.4)  # 32, 28 and 24 °F
SHARES = (0.1, 0.5, 0.9)
CHILL_MODELS = ("portions", "utah", "positive_utah", "hours_0_72", "hours_below_72")


@dataclass(frozen=True)
class Quantiles:
    """Season days (or amounts) by which 1, 5 and 9 seasons in 10 have it; inf: never so many."""

    name: str
    detail: str
    at: tuple[float, ...]


@dataclass(frozen=True)
class ClimateFacts:
    """chill: totals 1 Sep to the season's end per model. portions_by_day: (members, 365) running.

    stages: per planted species its bud stages. by_year: harvest year, portions, last freeze, and
    first bloom of the first species, per observed season (empty for modelled ones).
    """

    freezes: tuple[FreezeOdds, ...]
    chill: tuple[Quantiles, ...]
    leaf_fall: Quantiles
    stages: tuple[Quantiles, ...]
    portions_by_day: Floats
    by_year: tuple[tuple[int, float, float, float], ...]


def climate_facts(
    climate: SiteClimate, plantings: Iterable[Planting], rules: dict[str, SpeciesRules]
) -> ClimateFacts:
    """The figures of one site's ensemble, for the species planted there."""
    ensemble = climate.ensemble
    running = np.cumsum(climate.daily("portions"), axis=1)
    planted = {planting.species: planting for planting in reversed(list(plantings))}
    species = sorted(planted)
    stages = [one for key in species for one in _stages(planted[key], rules[key], climate)]
    return ClimateFacts(
        freezes=tuple(freeze_odds_of(ensemble, threshold) for threshold in THRESHOLDS_C),
        chill=tuple(
            Quantiles(model, "", _amounts(climate.daily(model).sum(axis=1)))
            for model in CHILL_MODELS
        ),
        leaf_fall=Quantiles("leaf fall", "estimate", _days(climate.leaf_fall_days, 0.0)),
        stages=tuple(stages),
        portions_by_day=running,
        by_year=_by_year(climate, running, planted, rules),
    )


def _stages(planting: Planting, rules: SpeciesRules, climate: SiteClimate) -> list[Quantiles]:
    if not rules.deciduous or not rules.needs:
        return []
    found = stage_days(planting, rules, climate, "typical")
    rows = [Quantiles(rules.title, "chill met", _days(found.chill_met, 0.0))]
    for stage in rules.stages:
        error = error_days(planting, stage, climate)
        rows.append(Quantiles(rules.title, stage.title, _days(found.days[stage.key], error)))
    return rows


def _days(days: Floats, error_days: float) -> tuple[float, ...]:
    return tuple(day_at_share(days, share, error_days) for share in SHARES)


def _amounts(totals: Floats) -> tuple[float, ...]:
    """Amounts that 1, 5 and 9 seasons in 10 reach or pass."""
    return tuple(float(np.quantile(totals, 1 - share, method="weibull")) for share in SHARES)


def _by_year(
    climate: SiteClimate,
    running: Floats,
    planted: dict[str, Planting],
    rules: dict[str, SpeciesRules],
) -> tuple[tuple[int, float, float, float], ...]:
    if climate.ensemble.grade not in "AB":
        return ()
    bloom = np.full(climate.members, np.inf)
    for key in sorted(planted):
        if rules[key].deciduous and rules[key].needs:
            days = stage_days(planted[key], rules[key], climate, "typical").days
            bloom = days.get("full_bloom", bloom)
            break
    last = climate.last_freezes(0.0)
    return tuple(
        (year, float(running[at, -1]), float(last[at]), float(bloom[at]))
        for at, year in enumerate(climate.ensemble.years)
    )
