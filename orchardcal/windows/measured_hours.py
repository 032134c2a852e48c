"""Measured hours in place of hours rebuilt from daily extremes, for the seasons a file covers."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import fields
from datetime import datetime, time, timedelta

import numpy as np

from orchardcal.climate.daily_totals import DailyTotals, daily_totals_of_hours
from orchardcal.climate.ensemble import Floats
from orchardcal.season import DAYS, Season, is_leap_day
from orchardcal.sites.hourly import HourlyRecord

HOUR = timedelta(hours=1)
LONGEST_FILL_H = 6  # filled along a straight line; a season with a longer gap is not used
CHILL_START = 62


def hours_of_seasons(record: HourlyRecord, southern: bool) -> dict[int, Floats]:
    """The hours of every season the file covers, by harvest year, shape (365 * 24,), no gaps."""
    air_c = np.array(record.air_c)
    first = Season.containing(record.first_hour.date(), southern)
    found: dict[int, Floats] = {}
    for year in range(first.harvest_year, first.harvest_year + len(air_c) // 8000 + 2):
        season = Season(year, southern)
        begin = (datetime.combine(season.first, time()) - record.first_hour) // HOUR
        end = begin + len(season.span) * 24
        if begin < 0 or end > len(air_c):
            continue
        kept = np.repeat([not is_leap_day(day) for day in season.span.days()], 24)
        hours = _filled(air_c[begin:end])[kept]
        if not np.isnan(hours).any():
            found[year] = hours.reshape(DAYS * 24)
    return found


def _filled(air_c: Floats) -> Floats:
    """Gaps of up to six hours filled along a straight line; longer ones stay nan."""
    missing = np.isnan(air_c)
    if not missing.any() or missing.all():
        return air_c
    places = np.arange(len(air_c))
    filled = np.interp(places, places[~missing], air_c[~missing])
    starts = np.flatnonzero(missing & ~np.roll(missing, 1))
    for start in starts:
        known = np.flatnonzero(~missing[start:])
        length = int(known[0]) if len(known) else len(air_c) - start
        if length > LONGEST_FILL_H:
            filled[start : start + length] = np.nan
    return filled


def with_measured_hours(
    totals: DailyTotals, years: tuple[int, ...], hours: Mapping[int, Floats]
) -> DailyTotals:
    """The totals with the rows of measured seasons counted from their own hours."""
    measured = [(at, hours[year]) for at, year in enumerate(years) if year in hours]
    if not measured:
        return totals
    own = daily_totals_of_hours(np.array([air_c for _, air_c in measured]), CHILL_START)
    columns = {}
    for field in fields(DailyTotals):
        rows = getattr(totals, field.name).copy()
        rows[[at for at, _ in measured]] = getattr(own, field.name)
        columns[field.name] = rows
    return DailyTotals(**columns)
