"""Estimated leaf fall, the coldest fortnight, and what kind of winter a place has."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from orchardcal.climate.frost import FREEZE_C, HARD_FREEZE_C, first_freeze
from orchardcal.climate.hourly import day_length_h
from orchardcal.climate.months import monthly_means

Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]

SHORT_DAY_H = 11.5
COOL_WEEK_C = 10.0
WEEK_DAYS = 7
EARLIEST_DAY = 41  # 11 Aug / 11 Feb: a freeze before that ends no growth
LATEST_DAY = 184  # 1 Jan / 3 Jul: if nothing has come by then, leaves may hang all winter
ASSUMED_DAY = 153  # 1 Dec / 2 Jun
FORTNIGHT_DAYS = 14
COLD_WINTER_BELOW_C = -4.0
MILD_WINTER_FROM_C = 10.0
FREEZE_FREE_SHARE = 0.1


def leaf_fall(low_c: Floats, high_c: Floats, latitude_deg: float) -> Floats:
    """The estimated season day of leaf fall in each member, shape (members,).

    From season day 41 on: the first day shorter than 11.5 h whose last seven days had a mean of
    10 °C or less, or the first low of -2.2 °C or less, whichever is earlier. Where neither comes
    by season day 184 it is taken as day 153 (see `leaf_fall_assumed`). Low temperature, not day
    length, stops apple and pear (Heide & Prestrud 2005); the rule itself is common practice, no
    source: nothing is validated for fruit trees, and it may be two weeks off either way.
    """
    found = _leaf_fall_found(low_c, high_c, latitude_deg)
    return np.where(np.isfinite(found), found, float(ASSUMED_DAY))


def leaf_fall_assumed(low_c: Floats, high_c: Floats, latitude_deg: float) -> Flags:
    """Members in which neither cold nor freeze came, so that leaves may hang, shape (members,)."""
    return ~np.isfinite(_leaf_fall_found(low_c, high_c, latitude_deg))


def _leaf_fall_found(low_c: Floats, high_c: Floats, latitude_deg: float) -> Floats:
    days = slice(EARLIEST_DAY, LATEST_DAY + 1)
    summed = np.cumsum((low_c + high_c) / 2, axis=1)
    week_mean = (summed[:, WEEK_DAYS:] - summed[:, :-WEEK_DAYS]) / WEEK_DAYS
    cool = week_mean[:, EARLIEST_DAY - WEEK_DAYS : LATEST_DAY + 1 - WEEK_DAYS] <= COOL_WEEK_C
    short = day_length_h(latitude_deg)[days] < SHORT_DAY_H
    at_rest = (cool & short) | (low_c[:, days] <= HARD_FREEZE_C)
    return np.where(at_rest.any(axis=1), EARLIEST_DAY + at_rest.argmax(axis=1), np.inf)


def coldest_fortnight(low_c: Floats, high_c: Floats) -> int:
    """The first season day of the coldest 14 days of the mean season."""
    mean_c = ((low_c + high_c) / 2).mean(axis=0)
    fortnights = np.convolve(mean_c, np.full(FORTNIGHT_DAYS, 1 / FORTNIGHT_DAYS), mode="valid")
    return int(fortnights.argmin())


@dataclass(frozen=True)
class Winter:
    """A place's winter and summer in a few numbers, means over the members.

    coldest_mean_c: mean of the coldest month. coldest_low_c: its mean daily low.
    lowest_c: mean of each season's lowest temperature. hottest_high_c: mean daily high of the
    hottest month. p_freeze: share of seasons with a freeze.
    """

    coldest_mean_c: float
    coldest_low_c: float
    lowest_c: float
    hottest_high_c: float
    p_freeze: float

    @property
    def cold(self) -> bool:
        """The coldest month below -4 °C (common practice, no source)."""
        return self.coldest_mean_c < COLD_WINTER_BELOW_C

    @property
    def mild(self) -> bool:
        """The coldest month at 10 °C or more: leaves may hang (common practice, no source)."""
        return self.coldest_mean_c >= MILD_WINTER_FROM_C

    @property
    def freeze_free(self) -> bool:
        """A freeze in fewer than one season in ten (common practice, no source)."""
        return self.p_freeze < FREEZE_FREE_SHARE


def winter_class(low_c: Floats, high_c: Floats, southern: bool) -> Winter:
    """What kind of winter the seasons of an ensemble have, shapes (members, 365)."""
    lows = monthly_means(low_c, southern).mean(axis=0)
    highs = monthly_means(high_c, southern).mean(axis=0)
    means = (lows + highs) / 2
    coldest = int(means.argmin())
    return Winter(
        coldest_mean_c=float(means[coldest]),
        coldest_low_c=float(lows[coldest]),
        lowest_c=float(low_c.min(axis=1).mean()),
        hottest_high_c=float(highs.max()),
        p_freeze=float(np.isfinite(first_freeze(low_c, FREEZE_C)).mean()),
    )
