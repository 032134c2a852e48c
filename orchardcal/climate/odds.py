"""From the dates of N seasons to odds: quantiles with "never", counts, intervals for shares."""

from __future__ import annotations

import math
from statistics import NormalDist

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
FULL_SAMPLE = 20  # from so many dates on, the sample speaks for itself
PRIOR_SD_DAYS = 12.0
PRIOR_WEIGHT = 5  # the prior standard deviation counts like so many degrees of freedom
NORMAL = NormalDist()


def day_at_share(days: Floats, share: float, error_days: float = 0.0) -> float:
    """The season day by which `share` of seasons had it.

    days: shape (members,), +inf where it never came. With p0 the share of members that have it,
    the day is the quantile share / p0 of their days; +inf if share exceeds p0. From 20 such days
    on, plotting positions i / (n + 1) (Weibull), below that a Student
    t with a shrunken spread (see `quantile`). error_days: a model's error, one standard
    deviation, added in quadrature to the distance from the median.
    """
    if not 0 < share < 1:
        raise ValueError(f"a share of seasons lies between 0 and 1, not {share}")
    had = days[np.isfinite(days)]
    reached = len(had) / len(days) if len(days) else 0.0
    if share > reached + 1e-12:
        return math.inf
    within = (
        min(share / reached, len(had) / (len(had) + 1)) if share >= reached else share / reached
    )
    day = quantile(had, within)
    if error_days == 0:
        return day
    median = quantile(had, 0.5)
    spread = math.hypot(day - median, NORMAL.inv_cdf(within) * error_days)
    return median + math.copysign(spread, within - 0.5)


def quantile(days: Floats, share: float) -> float:
    """The quantile of a sample of finite days.

    n >= 20: plotting positions i / (n + 1), the outermost days beyond the outermost positions.
    n < 20: mean + t(share; nu0 + n - 1) s sqrt(1 + 1/n) with
    s^2 = (nu0 s0^2 + (n - 1) sd^2) / (nu0 + n - 1), nu0 = 5 and s0 = 12 days: a spread drawn
    toward what frost dates usually have, as a few seasons show it badly.
    """
    n = len(days)
    if n >= FULL_SAMPLE:
        positions = np.arange(1, n + 1) / (n + 1)
        return float(np.interp(share, positions, np.sort(days)))
    freedom = PRIOR_WEIGHT + n - 1
    squares = float(((days - days.mean()) ** 2).sum())
    variance = (PRIOR_WEIGHT * PRIOR_SD_DAYS**2 + squares) / freedom
    return float(days.mean()) + t_quantile(share, freedom) * math.sqrt(variance * (1 + 1 / n))


def count_by(days: Floats, day: float) -> int:
    """How many members had it on or before a season day."""
    return int((days <= day).sum())


def wilson(successes: float, n: float, z: float = 1.2816) -> tuple[float, float]:
    """The Wilson (1927) score interval of a share; z = 1.2816 gives 80 %."""
    if n <= 0:
        return 0.0, 1.0
    share = successes / n
    centre = share + z * z / (2 * n)
    half = z * math.sqrt(share * (1 - share) / n + z * z / (4 * n * n))
    scale = 1 + z * z / n
    return max(0.0, (centre - half) / scale), min(1.0, (centre + half) / scale)


def t_quantile(share: float, freedom: int) -> float:
    """Student's t quantile for whole degrees of freedom, by bisection of `t_share`."""
    if share == 0.5:
        return 0.0
    if share < 0.5:
        return -t_quantile(1 - share, freedom)
    low, high = 0.0, 1.0
    while t_share(high, freedom) < share:
        high *= 2
    for _ in range(80):
        middle = (low + high) / 2
        if t_share(middle, freedom) < share:
            low = middle
        else:
            high = middle
    return (low + high) / 2


def t_share(t: float, freedom: int) -> float:
    """P(T <= t), from the finite sums of Abramowitz & Stegun (1964) 26.7.3 and 26.7.4."""
    angle = math.atan2(t, math.sqrt(freedom))
    sine, cosine = math.sin(angle), math.cos(angle)
    if freedom % 2:
        term, total = cosine, 0.0
        for k in range(1, freedom - 1, 2):
            total += term
            term *= cosine * cosine * (k + 1) / (k + 2)
        both_tails_in = 2 / math.pi * (angle + sine * total)
    else:
        term, total = 1.0, 0.0
        for k in range(0, freedom - 1, 2):
            total += term
            term *= cosine * cosine * (k + 1) / (k + 2)
        both_tails_in = sine * total
    return 0.5 + both_tails_in / 2
