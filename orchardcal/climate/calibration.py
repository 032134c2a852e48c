"""A planting's own heat need, learned from its observed bud dates, recent ones first."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

STAYS, DRIFTS = 0.1, 1.0  # variances of a place's lasting and of its drifting difference, in
# units of the variance of one observation's own error
DRIFT_YEARS = 4.0
OTHER_STAGE = 0.5  # how far a difference at one stage goes with that at another
WIDEST_RATIO = 3.0


@dataclass(frozen=True)
class SeenHeat:
    """Heat at one observed bud date over the heat the model asks for.

    year: the harvest year. same_stage: observed at the stage that is to be foretold.
    """

    year: int
    ratio: float
    same_stage: bool = True


def heat_scale(seen: Sequence[SeenHeat], year: int) -> float:
    """The factor on the model's heat need that the observations suggest for a year.

    1 without observations; drawn toward 1 when few; a difference seen last year counts for more
    than one seen ten years ago, since trees age and observers change. The best linear guess
    (simple kriging, e.g. Cressie 1993, Statistics for Spatial Data, 3.4.5) of the log ratio, with
    a covariance of 0.1 + exp(-years apart / 4) of one observation's error variance: found on the
    Korean stations of odd position (tests/hindcast_study). Observations of another stage count
    half as closely. Ratios beyond 3 or 1/3 are taken as 3 and 1/3: those are slips of a month.

    >>> heat_scale([], 2027)
    1.0
    >>> round(heat_scale([SeenHeat(2026, 1.2)], 2027), 3)
    1.079
    """
    usable = [one for one in seen if one.ratio > 0]
    if not usable:
        return 1.0
    years = np.array([one.year for one in usable], dtype=np.float64)
    logs = np.log(np.clip([one.ratio for one in usable], 1 / WIDEST_RATIO, WIDEST_RATIO))
    same = np.array([one.same_stage for one in usable])
    apart = np.where(same[:, None] == same[None, :], 1.0, OTHER_STAGE)
    among = apart * _covariance(years[:, None] - years[None, :]) + np.eye(len(usable))
    toward = np.where(same, 1.0, OTHER_STAGE) * _covariance(year - years)
    return float(np.exp(toward @ np.linalg.solve(among, logs)))


def _covariance(years_apart: Floats) -> Floats:
    return np.asarray(STAYS + DRIFTS * np.exp(-np.abs(years_apart) / DRIFT_YEARS))
