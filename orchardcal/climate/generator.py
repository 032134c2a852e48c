"""A daily weather generator with fixed random numbers: smooth daily means in, seasons out.

The same numbers are drawn for every place and every run, so that equal input gives equal seasons
and a small change of input gives a small change of dates.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from orchardcal.climate.months import month_lengths
from orchardcal.climate.normals import MonthlyNormals, by_day, daily_means, yearly_wave
from orchardcal.season import DAYS

Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]

MEMBERS = 150
SEED = 20230701
# Richardson (1981): correlations of the departures of (high, low) from their means, on the same
# day and from one day to the next; as matrices: v(t) = CARRIED v(t - 1) + FRESH e(t).
SAME_DAY = np.array([[1.0, 0.633], [0.633, 1.0]])
CARRIED = np.array([[0.566, 0.087], [0.228, 0.530]])
FRESH = np.array([[0.781, 0.0], [0.328, 0.638]])
# A slow part both share; without it years would be too much alike.
SLOW_VARIANCE = 0.12
SLOW_CARRIED = float(np.exp(-1 / 30))
HIGH_SD_FACTOR = 1.05
LEAST_RANGE_C = 0.5
# P(wet after wet) - P(wet after dry).
WET_PERSISTENCE = 0.3
WET_DAYS_COOLER_C = 1.5
WET_SHARE_BOUNDS = (0.005, 0.97)
LEAST_WET_MM = 1.0


@dataclass(frozen=True)
class Departures:
    """Fixed random numbers, each of shape (members, 365).

    low, high: departures in standard deviations. wet, amount: uniform in [0, 1).
    """

    low: Floats
    high: Floats
    wet: Floats
    amount: Floats


@lru_cache(maxsize=4)
def fixed_departures(members: int = MEMBERS) -> Departures:
    """The departures every generated ensemble shares.

    Each day's departures are centred over the members, so that the ensemble's daily means are
    the means asked for.
    """
    random = np.random.Generator(np.random.PCG64(SEED))
    fresh = random.standard_normal((DAYS, members, 3))
    carried = np.zeros((3, 3))
    carried[:2, :2], carried[2, 2] = CARRIED, SLOW_CARRIED
    spread = np.zeros((3, 3))
    spread[:2, :2], spread[2, 2] = FRESH, np.sqrt(1 - SLOW_CARRIED**2)
    pushes = fresh @ spread.T
    state = fresh[0] @ _first_day_spread().T
    states = np.empty((DAYS, members, 3))
    states[0] = state
    for day in range(1, DAYS):
        state = state @ carried.T + pushes[day]
        states[day] = state
    mixed = np.sqrt(1 - SLOW_VARIANCE) * states[..., :2] + np.sqrt(SLOW_VARIANCE) * states[..., 2:]
    mixed -= mixed.mean(axis=1, keepdims=True)
    high, low = np.ascontiguousarray(mixed.transpose(2, 1, 0))
    wet, amount = random.random((2, members, DAYS))
    return Departures(low, high, wet, amount)


def _first_day_spread() -> Floats:
    spread = np.eye(3)
    spread[:2, :2] = np.linalg.cholesky(SAME_DAY)
    return spread


def generated_days(
    mean_low_c: Floats, mean_high_c: Floats, amplitude_c: float, low_day: float, spread: float = 1.0
) -> tuple[Floats, Floats]:
    """Lows and highs of generated seasons, each (members, 365).

    mean_low_c, mean_high_c: (365,). amplitude_c, low_day: the yearly wave of the daily means and
    the season day of its low; the lows' standard deviation swings between (2.2 + 0.25 A) k in
    winter and (2.0 + 0.06 A) k in summer with A the amplitude and k the spread.
    """
    departures = fixed_departures()
    winter, summer = 2.2 + 0.25 * amplitude_c, 2.0 + 0.06 * amplitude_c
    season = np.cos(2 * np.pi * (np.arange(DAYS) - low_day) / DAYS)
    sd_c = spread * ((winter + summer) / 2 + (winter - summer) / 2 * season)
    low_c = mean_low_c + sd_c * departures.low
    high_c = mean_high_c + HIGH_SD_FACTOR * sd_c * departures.high
    return low_c, np.maximum(high_c, low_c + LEAST_RANGE_C)


def generated_seasons(
    normals: MonthlyNormals, southern: bool
) -> tuple[Floats, Floats, Floats | None]:
    """Lows, highs and, where the normals have it, rain of generated seasons, (members, 365)."""
    mean_low, mean_high = (daily_means(m, southern) for m in (normals.low_c, normals.high_c))
    amplitude_c, low_day = yearly_wave((mean_low + mean_high) / 2)
    low_c, high_c = generated_days(mean_low, mean_high, amplitude_c, low_day)
    if normals.rain_days is None or normals.rain_mm is None:
        return low_c, high_c, None
    share = np.clip(normals.rain_days / month_lengths(southern), 0.0, 1.0)
    daily_share = by_day(share, southern)
    wet = wet_days(daily_share)
    high_c = np.maximum(high_c - WET_DAYS_COOLER_C * (wet - daily_share), low_c + LEAST_RANGE_C)
    mean_mm = normals.rain_mm / np.maximum(normals.rain_days, 1e-9)
    return low_c, high_c, np.where(wet, wet_day_amounts(by_day(mean_mm, southern)), 0.0)


def wet_days(share: Floats) -> Flags:
    """Wet and dry days as a first-order Markov chain, (members, 365).

    share: the long-run share of wet days on each season day, (365,). The chain keeps it and
    makes a wet day 0.3 likelier after a wet one than after a dry one.
    """
    drawn = fixed_departures().wet
    bounded = np.where(share > 0, np.clip(share, *WET_SHARE_BOUNDS), 0.0)
    after_dry = bounded * (1 - WET_PERSISTENCE)
    after_wet = np.where(bounded > 0, after_dry + WET_PERSISTENCE, 0.0)
    wet = np.empty(drawn.shape, dtype=np.bool_)
    wet[:, 0] = drawn[:, 0] < bounded[0]
    for day in range(1, DAYS):
        threshold = np.where(wet[:, day - 1], after_wet[day], after_dry[day])
        wet[:, day] = drawn[:, day] < threshold
    return wet


def wet_day_amounts(mean_mm: Floats) -> Floats:
    """Rain on wet days: 1 mm and an exponential rest with the month's mean, (members, 365).

    mean_mm: the mean of a wet day on each season day, (365,). Where it is below 1 mm (normals
    that count lighter days) it is taken as 1 mm.
    """
    rest_mm = np.maximum(mean_mm - LEAST_WET_MM, 0.0)
    return np.asarray(LEAST_WET_MM - rest_mm * np.log1p(-fixed_departures().amount))
