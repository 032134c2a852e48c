"""A station's daily record cut into whole seasons; every day filled or left out is counted."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np
from numpy.typing import NDArray

from orchardcal.season import DAYS, Season

Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]
Note = tuple[str, dict[str, float | int | str]]
_Season = tuple[int, NDArray[np.int64]]  # harvest year, positions of its 365 days

LONGEST_FILL_DAYS = 5
CORE = slice(92, 335)  # 1 Oct-31 May, in the south 3 Apr-1 Dec: chill, freezes and bloom
MOST_LONG_GAP_DAYS_IN_CORE = 5
MOST_LONG_GAP_DAYS = 10
MOST_FILLED_DAYS = 36  # one day in ten
MOST_RAIN_UNKNOWN_DAYS = 36
RAIN_SEASONS_NEEDED = 2 / 3  # of the seasons kept, for rain to be used at all
UNKNOWN_RAIN_MM = 1.0  # a day without a reading counts as just wet, the careful side


@dataclass(frozen=True)
class SeasonsOfRecord:
    """The whole seasons of a record.

    years: harvest years. low_c, high_c: shape (members, 365), no gaps. rain_mm: the same shape,
    or None where rain is unknown. notes: (English text, values) on what was filled or left out.
    """

    years: tuple[int, ...]
    low_c: Floats
    high_c: Floats
    rain_mm: Floats | None
    notes: tuple[Note, ...]


def seasons_of_record(
    first_day: date,
    low_c: Sequence[float] | Floats,
    high_c: Sequence[float] | Floats,
    rain_mm: Sequence[float] | Floats | None,
    southern: bool,
) -> SeasonsOfRecord:
    """The seasons of a daily record that is whole enough.

    low_c, high_c, rain_mm: one value a day from first_day on, nan where missing.
    Gaps of up to 5 days are filled along a straight line, lows and highs apart. A season with
    more than 5 days of longer gaps from October to May (half a year later in the south), more
    than 10 in all, or more than 36 days filled is left out; fewer days of longer gaps are filled
    alike. Seasons the record only begins or ends in are left out. A season lacking rain on more
    than 36 days has no rain; if at least two thirds of the seasons have rain, the others are left
    out, else rain is not used. Single days without rain count as just wet.
    """
    low, high = (np.asarray(values, dtype=np.float64) for values in (low_c, high_c))
    rain = None if rain_mm is None else np.asarray(rain_mm, dtype=np.float64)
    missing = np.isnan(low) | np.isnan(high)
    in_long_gap = _long_runs(np.isnan(low)) | _long_runs(np.isnan(high))
    low_missing, high_missing = np.isnan(low), np.isnan(high)
    low, high = _filled(low), _filled(high)
    low = np.where(low_missing, np.minimum(low, high), low)
    high = np.where(high_missing, np.maximum(low, high), high)

    kept: list[_Season] = []
    left_out: list[int] = []
    for season, days in _whole_seasons(first_day, len(low), southern):
        if _too_many_gaps(missing[days], in_long_gap[days]):
            left_out.append(season.harvest_year)
        else:
            kept.append((season.harvest_year, days))
    notes = _counted("Seasons left out, with too many days missing: {years}.", left_out)

    if rain is not None:
        rainy = [(year, days) for year, days in kept if _has_rain(rain[days])]
        rainless = [year for year, days in kept if not _has_rain(rain[days])]
        if len(rainy) >= RAIN_SEASONS_NEEDED * len(kept):
            kept = rainy
            notes += _counted("Seasons left out, without rain readings: {years}.", rainless)
        else:
            rain = None
            notes += _counted(
                "Rain is not used, as these seasons have no readings of it: {years}.", rainless
            )

    rows = np.array([days for _, days in kept], dtype=np.int64).reshape(len(kept), DAYS)
    filled_days = int(missing[rows].sum())
    if filled_days:
        text = "Missing days filled from the days on either side: {count}."
        notes.append((text, {"count": filled_days}))
    if rain is not None and np.isnan(rain[rows]).any():
        text = "Days without a rain reading, counted as wet: {count}."
        notes.append((text, {"count": int(np.isnan(rain[rows]).sum())}))
        rain = np.where(np.isnan(rain), UNKNOWN_RAIN_MM, rain)
    return SeasonsOfRecord(
        years=tuple(year for year, _ in kept),
        low_c=low[rows],
        high_c=high[rows],
        rain_mm=None if rain is None else rain[rows],
        notes=tuple(notes),
    )


def _too_many_gaps(missing: Flags, in_long_gap: Flags) -> bool:
    return (
        int(in_long_gap[CORE].sum()) > MOST_LONG_GAP_DAYS_IN_CORE
        or int(in_long_gap.sum()) > MOST_LONG_GAP_DAYS
        or int(missing.sum()) > MOST_FILLED_DAYS
    )


def _has_rain(rain_mm: Floats) -> bool:
    return int(np.isnan(rain_mm).sum()) <= MOST_RAIN_UNKNOWN_DAYS


def _whole_seasons(
    first_day: date, length: int, southern: bool
) -> list[tuple[Season, NDArray[np.int64]]]:
    """Seasons that lie wholly in the record, each with the positions of its 365 days."""
    if length == 0:
        return []
    last_day = first_day + timedelta(days=length - 1)
    season = Season.containing(first_day, southern)
    if season.first < first_day:
        season = season.next()
    seasons = []
    while season.last <= last_day:
        start = (season.first - first_day).days
        days = np.arange(start, start + len(season.span))
        if len(days) > DAYS:
            leap = (date(season.harvest_year, 2, 29) - season.first).days
            days = np.delete(days, leap)
        seasons.append((season, days))
        season = season.next()
    return seasons


def _long_runs(missing: Flags) -> Flags:
    """Days in runs of missing days too long to fill."""
    edges = np.diff(np.concatenate(([0], missing.astype(np.int8), [0])))
    starts, ends = np.flatnonzero(edges == 1), np.flatnonzero(edges == -1)
    long = np.zeros(len(missing), dtype=np.bool_)
    for start, end in zip(starts, ends, strict=True):
        if end - start > LONGEST_FILL_DAYS or start == 0 or end == len(missing):
            long[start:end] = True
    return long


def _filled(values: Floats) -> Floats:
    """Every gap on the straight line between the days beside it (ends repeat the edge day)."""
    known = ~np.isnan(values)
    if known.all() or not known.any():
        return values
    positions = np.arange(len(values))
    return np.where(known, values, np.interp(positions, positions[known], values[known]))


def _counted(text: str, years: list[int]) -> list[Note]:
    if not years:
        return []
    return [(text, {"count": len(years), "years": ", ".join(str(year) for year in years)})]
