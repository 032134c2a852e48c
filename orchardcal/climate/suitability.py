"""Which days suit a care by temperature and rain, and how often each day of the year does."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from orchardcal.climate.odds import wilson

Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]
DRY_BELOW_MM = 1.0  # a wet day has 1 mm or more, as in climate normals
FREEZE_C = 0.0
WIDTH_DAYS = 3.0  # of the Gaussian over the days of the year
REACH_DAYS = 7
WEEK_DAYS = 7


def suitable(
    low_c: Floats,
    high_c: Floats,
    rain_mm: Floats | None,
    *,
    low_min_c: float | None = None,
    high_min_c: float | None = None,
    high_max_c: float | None = None,
    freeze_free_days_after: int | None = None,
    dry_days_before: int | None = None,
    dry_days_after: int | None = None,
    no_hard_freeze_c: float | None = None,
    no_hard_freeze_days: int = 0,
) -> Flags:
    """Whether each day of each member meets every condition given, shape (members, 365).

    low_c, high_c, rain_mm: (members, 365); without rain the dry days are not asked for, and the
    caller says "temperature only". low_min_c, high_min_c, high_max_c: bounds of the day itself.
    freeze_free_days_after: the lows of the day and of so many days after stay above 0 °C.
    dry_days_before, dry_days_after: less than 1 mm on the day and on so many days beside it.
    no_hard_freeze_c, no_hard_freeze_days: the lows of the day and of so many days after stay
    above that. Days beyond the season's ends are those of the same member's other end.
    """
    good = np.ones(low_c.shape, dtype=np.bool_)
    if low_min_c is not None:
        good &= low_c >= low_min_c
    if high_min_c is not None:
        good &= high_c >= high_min_c
    if high_max_c is not None:
        good &= high_c <= high_max_c
    if freeze_free_days_after is not None:
        good &= holds_around(low_c > FREEZE_C, 0, freeze_free_days_after)
    if no_hard_freeze_c is not None:
        good &= holds_around(low_c > no_hard_freeze_c, 0, no_hard_freeze_days)
    if rain_mm is not None and (dry_days_before is not None or dry_days_after is not None):
        good &= holds_around(rain_mm < DRY_BELOW_MM, dry_days_before or 0, dry_days_after or 0)
    return good


def holds_around(condition: Flags, days_before: int, days_after: int) -> Flags:
    """Where a condition holds on the day, the days before and the days after, round the season."""
    held = condition.copy()
    for offset in range(1, days_before + 1):
        held &= np.roll(condition, offset, axis=1)
    for offset in range(1, days_after + 1):
        held &= np.roll(condition, -offset, axis=1)
    return held


def smoothed_share(suits: Flags) -> Floats:
    """The share of members each day suits, smoothed over the days within a week, shape (365,).

    A Gaussian of 3 days over +-7 days, round the year: one day's raw share of a few members
    swings by 0.1 to 0.2 and is never shown.
    """
    share = suits.mean(axis=0)
    weights = day_weights()
    reach = range(-REACH_DAYS, REACH_DAYS + 1)
    rolled = np.array([np.roll(share, offset) for offset in reach])
    return np.asarray(np.clip(weights @ rolled, 0.0, 1.0), dtype=np.float64)


def share_interval(suits: Flags) -> tuple[Floats, Floats]:
    """The Wilson 80 % interval of the smoothed share, low and high, each shape (365,)."""
    n = effective_members(suits)
    bounds = [wilson(float(p) * n, n) for p in smoothed_share(suits)]
    low, high = np.array(bounds).T
    return low, high


def effective_members(suits: Flags) -> float:
    """How many independent looks the smoothed share rests on.

    n / sum(w^2) (1 - r) / (1 + r): members, times the days the smoothing pools, less what
    neighbouring days share (r, the lag-1 correlation of suitability); never below n, the look
    that any single day already gives.
    """
    members = suits.shape[0]
    departure = suits - suits.mean(axis=0)
    variance = float((departure**2).mean())
    if variance == 0:
        return float(members)
    lag = float((departure[:, 1:] * departure[:, :-1]).mean()) / variance
    r = min(max(lag, 0.0), 0.99)
    pooled = members / float((day_weights() ** 2).sum()) * (1 - r) / (1 + r)
    return max(float(pooled), float(members))


def share_with_one_in_seven(suits: Flags) -> Floats:
    """The share of members with at least one suitable day among the seven from each day on."""
    any_day = suits.copy()
    for offset in range(1, WEEK_DAYS):
        any_day |= np.roll(suits, -offset, axis=1)
    return np.asarray(any_day.mean(axis=0), dtype=np.float64)


def day_weights() -> Floats:
    """Gaussian weights of the days from 7 before to 7 after, summing to 1, shape (15,)."""
    offsets = np.arange(-REACH_DAYS, REACH_DAYS + 1)
    weights = np.exp(-0.5 * (offsets / WIDTH_DAYS) ** 2)
    return np.asarray(weights / weights.sum(), dtype=np.float64)
