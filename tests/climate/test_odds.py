"""Quantiles, counts and intervals against scipy and a printed t table."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest

from orchardcal.climate.odds import count_by, day_at_share, quantile, t_quantile, wilson

DATES = np.array([100, 104, 96, 112, 109, 93, 118, 101, 107, 99, 115, 105, 110, 97, 103], float)
SHARES = (0.05, 0.1, 0.3, 0.5, 0.7, 0.9, 0.95)  # as asked of scipy

# NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.6.7.2: critical values of Student's t.
PRINTED_T = {
    1: (3.078, 6.314, 31.821),
    2: (1.886, 2.920, 6.965),
    5: (1.476, 2.015, 3.365),
    10: (1.372, 1.812, 2.764),
    24: (1.318, 1.711, 2.492),
}


@pytest.mark.parametrize("freedom", PRINTED_T)
def test_student_t_as_printed(freedom: int) -> None:
    found = [t_quantile(share, freedom) for share in (0.90, 0.95, 0.99)]
    assert found == pytest.approx(PRINTED_T[freedom], abs=5.1e-4)


def test_student_t_as_scipy_has_it(by_scipy: Any) -> None:
    for freedom, theirs in by_scipy["t"].items():
        found = [t_quantile(share, int(freedom)) for share in SHARES]
        assert found == pytest.approx(theirs, abs=1e-9)


def test_wilson_interval_as_scipy_has_it(by_scipy: Any) -> None:
    for counts, theirs in by_scipy["wilson_80"].items():
        successes, n = (int(count) for count in counts.split("/"))
        assert wilson(successes, n) == pytest.approx(theirs, abs=1e-5)  # z is given to 4 digits


def test_fewer_than_twenty_dates_follow_the_shrunken_t(by_scipy: Any) -> None:
    found = [day_at_share(DATES, share) for share in SHARES]
    assert found == pytest.approx(by_scipy["shrunken_t_of_15"], abs=1e-8)


def test_twenty_dates_and_more_follow_plotting_positions() -> None:
    dates = np.arange(1.0, 31.0)  # i / 31, so the date at share p is 31 p (Weibull 1939)
    assert [day_at_share(dates, share) for share in (0.1, 0.5, 0.9)] == pytest.approx(
        [3.1, 15.5, 27.9]
    )
    assert day_at_share(dates, 0.99) == 30  # beyond the outermost position: the outermost date


def test_dates_that_never_came_count_as_infinitely_late() -> None:
    dates = np.concatenate([np.arange(1.0, 25.0), np.full(6, np.inf)])  # 24 of 30
    assert day_at_share(dates, 0.9) == math.inf
    assert day_at_share(dates, 0.8) == 24
    assert day_at_share(dates, 0.4) == quantile(dates[:24], 0.5) == 12.5
    assert day_at_share(np.full(30, np.inf), 0.1) == math.inf


def test_model_error_adds_in_quadrature_about_the_median() -> None:
    dates = np.arange(1.0, 31.0)
    late, early = (day_at_share(dates, share, 5.0) for share in (0.9, 0.1))
    assert day_at_share(dates, 0.5, 5.0) == 15.5
    assert late - 15.5 == pytest.approx(math.hypot(12.4, 1.2815516 * 5), abs=1e-5)
    assert 15.5 - early == pytest.approx(late - 15.5)


def test_a_share_is_between_none_and_all() -> None:
    with pytest.raises(ValueError, match="between 0 and 1"):
        day_at_share(DATES, 1.0)


def test_count_by_counts_the_day_itself() -> None:
    assert count_by(np.array([3.0, 4.0, np.inf]), 4) == 2
