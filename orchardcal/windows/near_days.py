"""The coming days by the forecast: whether their own weather suits a care, and what it will be."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np

from orchardcal.climate.ensemble import Floats
from orchardcal.climate.frost import FREEZE_C
from orchardcal.climate.suitability import DRY_BELOW_MM
from orchardcal.sentence import Celsius, Rain, Sentence, Value, sentence_of
from orchardcal.sites.forecast import Forecast
from orchardcal.species.rules import DayConditions
from orchardcal.windows.site_ensemble import Observed

WIND_MOST_MS = 4.5  # for spraying: 10 miles an hour, from memory of typical labels


@dataclass(frozen=True)
class NearDays:
    """Observed days up to the as-of day, then the forecast's, as one stretch without a gap.

    first_day: of the arrays. known_from: the first forecast day; days before it are observed.
    """

    first_day: date
    known_from: date
    low_c: Floats
    high_c: Floats
    rain_mm: Floats
    wind_ms: Floats

    def suits(self, day: date, conditions: DayConditions, spraying: bool) -> bool | None:
        """Whether the day's own weather suits; None where the forecast does not reach far enough.

        The days the conditions look at, before and after, must be known, but for hard freezes,
        of which the forecast shows those it can. An unknown wind is no reason against a day.
        """
        at = (day - self.first_day).days
        after = max(conditions.freeze_free_days_after, conditions.dry_days_after)
        asks_dry = bool(conditions.dry_days_before or conditions.dry_days_after)
        days = slice(max(0, at - conditions.dry_days_before), at + after + 1)
        if day < self.known_from or days.stop > len(self.low_c):
            return None
        needed = [self.low_c[at : days.stop], self.high_c[at : at + 1]]
        needed += [self.rain_mm[days]] if asks_dry else []
        if any(np.isnan(values).any() for values in needed):
            return None
        low_c, high_c = self.low_c[at], self.high_c[at]
        nights = self.low_c[at : at + conditions.freeze_free_days_after + 1]
        freezes = self.low_c[at : at + conditions.no_hard_freeze_days + 1]
        hard_c = conditions.no_hard_freeze_c
        return not (
            (conditions.low_min_c is not None and low_c < conditions.low_min_c)
            or (conditions.high_min_c is not None and high_c < conditions.high_min_c)
            or (conditions.high_max_c is not None and high_c > conditions.high_max_c)
            or (conditions.freeze_free_days_after and (nights <= FREEZE_C).any())
            or (hard_c is not None and (freezes[~np.isnan(freezes)] <= hard_c).any())
            or (asks_dry and (self.rain_mm[days] >= DRY_BELOW_MM).any())
            or (spraying and self.wind_ms[at] > WIND_MOST_MS)
        )

    def said(self, day: date) -> Sentence | None:
        """The day's own numbers, as forecast."""
        at = (day - self.first_day).days
        if day < self.known_from or at >= len(self.low_c) or np.isnan(self.low_c[at]):
            return None
        values: dict[str, Value] = {
            "day": day,
            "low": Celsius(float(self.low_c[at])),
            "high": Celsius(float(self.high_c[at])),
        }
        if np.isnan(self.rain_mm[at]):
            return sentence_of("Forecast for {day}: {low} to {high}; rain not given.", values)
        values["rain"] = Rain(float(self.rain_mm[at]))
        return sentence_of("Forecast for {day}: {low} to {high}, {rain} of rain.", values)


def near_days(forecast: Forecast | None, record: Observed | None, as_of: date) -> NearDays | None:
    """The forecast behind what was observed; None without a forecast that reaches past as_of."""
    if forecast is None or forecast.last_day <= as_of:
        return None
    first = as_of - timedelta(days=10)
    count = (forecast.last_day - first).days + 1
    known = record.between(first, as_of) if record is not None else None
    arrays = []
    for ours, theirs in (
        (known.low_c if known else None, forecast.low_c),
        (known.high_c if known else None, forecast.high_c),
        (known.rain_mm if known else None, forecast.rain_mm),
        (None, forecast.wind_ms),
    ):
        days = np.full(count, np.nan)
        begin = (forecast.first_day - first).days
        for offset, value in enumerate(theirs):
            if 0 <= begin + offset < count:
                days[begin + offset] = value
        if ours is not None:
            observed = ~np.isnan(ours)
            days[: len(ours)][observed] = ours[observed]
        arrays.append(days)
    known_from = max(forecast.first_day, as_of)
    return NearDays(first, known_from, *arrays)
