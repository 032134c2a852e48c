"""Quantiles and intervals of our odds against scipy.stats.

Oracle: scipy (scipy.org), whatever release pip finds; written against 1.17.
"""

from __future__ import annotations

import pytest
from scipy import stats

from orchardcal.climate.odds import NORMAL, t_quantile, wilson

pytestmark = pytest.mark.slow


@pytest.mark.parametrize("freedom", [1, 2, 3, 5, 8, 13, 23])
@pytest.mark.parametrize("share", [0.05, 0.1, 0.25, 0.5, 0.7, 0.9, 0.99])
def test_student_quantiles_agree_with_scipy(share: float, freedom: int) -> None:
    assert t_quantile(share, freedom) == pytest.approx(stats.t.ppf(share, freedom), abs=1e-9)


@pytest.mark.parametrize(("successes", "seasons"), [(0, 30), (1, 12), (24, 30), (27, 29), (30, 30)])
def test_wilson_interval_agrees_with_scipy(successes: int, seasons: int) -> None:
    z = NORMAL.inv_cdf(0.9)
    test = stats.binomtest(successes, seasons)
    theirs = test.proportion_ci(confidence_level=0.8, method="wilson")
    assert wilson(successes, seasons, z) == pytest.approx((theirs.low, theirs.high), abs=1e-12)
