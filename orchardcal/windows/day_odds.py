"""The odds of each season day's weather for one care."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from orchardcal.climate.ensemble import Floats
from orchardcal.climate.suitability import share_with_one_in_seven, smoothed_share, suitable
from orchardcal.season import DAYS, Season, Span
from orchardcal.species.rules import DayConditions
from orchardcal.windows.site_climate import SiteClimate


@dataclass(frozen=True)
class DayOdds:
    """day: smoothed share of seasons suitable, week: share with a suitable day in d..d+6; (365,).

    rain_known: False where the conditions ask for dry days and the site's rain is unknown.
    """

    day: Floats
    week: Floats
    rain_known: bool


def conditions_at(
    day: DayConditions, by_climate: tuple[tuple[str, DayConditions], ...], climate: SiteClimate
) -> DayConditions:
    """The conditions that hold in the site's climate."""
    for climate_class, conditions in by_climate:
        if climate_class in climate.classes:
            return conditions
    return day


def day_odds(conditions: DayConditions, climate: SiteClimate) -> DayOdds | None:
    """None where the care asks nothing of the weather."""
    asks_dry = bool(conditions.dry_days_before or conditions.dry_days_after)
    asks = (
        asks_dry
        or conditions.freeze_free_days_after
        or any(
            limit is not None
            for limit in (
                conditions.low_min_c,
                conditions.high_min_c,
                conditions.high_max_c,
                conditions.no_hard_freeze_c,
            )
        )
    )
    if not asks:
        return None
    return climate.keep(conditions, lambda: _odds(conditions, climate))


def _odds(conditions: DayConditions, climate: SiteClimate) -> DayOdds:
    ensemble = climate.ensemble
    asks_dry = bool(conditions.dry_days_before or conditions.dry_days_after)
    good = suitable(
        ensemble.low_c,
        ensemble.high_c,
        ensemble.rain_mm,
        low_min_c=conditions.low_min_c,
        high_min_c=conditions.high_min_c,
        high_max_c=conditions.high_max_c,
        freeze_free_days_after=conditions.freeze_free_days_after or None,
        dry_days_before=conditions.dry_days_before if asks_dry else None,
        dry_days_after=conditions.dry_days_after if asks_dry else None,
        no_hard_freeze_c=conditions.no_hard_freeze_c,
        no_hard_freeze_days=conditions.no_hard_freeze_days,
    )
    known = ensemble.rain_mm is not None or not asks_dry
    return DayOdds(smoothed_share(good), share_with_one_in_seven(good), known)


def odds_over(
    conditions: DayConditions, climate: SiteClimate, season: Season, span: Span
) -> dict[date, float] | None:
    """Share of seasons suitable for each day of a span; None where weather does not decide."""
    odds = day_odds(conditions, climate)
    if odds is None:
        return None
    return {day: round(float(odds.day[season.season_day(day) % DAYS]), 4) for day in span.days()}
