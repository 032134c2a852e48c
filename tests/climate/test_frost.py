"""Freeze dates of real records and of a sample worked by another program."""

from __future__ import annotations

from calendar import isleap
from collections.abc import Callable
from typing import Any

import numpy as np
import pytest

from orchardcal.climate.ensemble import Ensemble
from orchardcal.climate.frost import (
    Floats,
    first_day_at_risk,
    first_freeze,
    freeze_odds,
    freeze_odds_of,
    last_day_at_risk,
    last_freeze,
)
from orchardcal.climate.odds import quantile
from orchardcal.climate.record import seasons_of_record

JULY_FIRST = 181  # of a calendar year without 29 February


def calendar_dates(days: Any, threshold_c: float, first: int, last: int) -> tuple[Floats, Floats]:
    """Days of the year of the last freeze before 1 July and the first after, where there is one.

    Seasons of the southern half are calendar years, whatever hemisphere the record is from.
    """
    record = seasons_of_record(days.first_day, days.low_c, days.high_c, None, southern=True)
    rows = [row for row, year in enumerate(record.years) if first <= year <= last]
    leap = np.array([isleap(record.years[row]) for row in rows])
    spring = last_freeze(record.low_c[rows, :JULY_FIRST], threshold_c)
    autumn = JULY_FIRST + first_freeze(record.low_c[rows, JULY_FIRST:], threshold_c)
    last_dates = spring + 1 + (leap & (spring >= 59))
    return last_dates[np.isfinite(last_dates)], (autumn + 1 + leap)[np.isfinite(autumn)]


@pytest.mark.parametrize(
    ("name", "threshold_c", "first", "last"),
    [
        ("champion", 0.0, 1991, 2018),
        ("brussels", 0.0, 1976, 2005),
        ("brussels", -2.2, 1976, 2005),  # three springs and one autumn without such a freeze
    ],
)
def test_real_freeze_dates(
    real_days: Callable[[str], Any],
    by_scipy: Any,
    name: str,
    threshold_c: float,
    first: int,
    last: int,
) -> None:
    theirs = by_scipy["freezes"][f"{name} {threshold_c:g} {first}-{last}"]
    ours = calendar_dates(real_days(name), threshold_c, first, last)
    for dates, expected in zip(ours, (theirs["last"], theirs["first"]), strict=True):
        assert len(dates) == expected["years"]
        assert dates.mean() == pytest.approx(expected["mean"])
        assert dates.std(ddof=1) == pytest.approx(expected["sd"])
        found = [quantile(dates, share) for share in (0.1, 0.5, 0.9)]
        assert found == pytest.approx(expected["weibull_10_50_90"])


DATES = np.array([100, 104, 96, 112, 109, 93, 118, 101, 107, 99, 115, 105, 110, 97, 103], float)


def test_risk_where_some_seasons_never_freeze(by_scipy: Any) -> None:
    """15 of 20 seasons freeze: a risk of 10 % is the 1 - 0.1 / 0.75 quantile of those 15."""
    assert last_day_at_risk(DATES, 20, 0.9) is None
    twice = np.repeat(DATES, 2)  # 30 of 40, so that plotting positions apply
    found = [last_day_at_risk(twice, 40, risk) for risk in (0.1, 0.3, 0.5, 0.7)]
    assert found == [
        pytest.approx(quantile(twice, 1 - risk / 0.75)) for risk in (0.1, 0.3, 0.5, 0.7)
    ]
    # The doubled sample's positions are nearly those of the single one: i / 16 against i / 15.5.
    assert found == pytest.approx(by_scipy["weibull_of_15_where_20"], abs=1.0)
    assert first_day_at_risk(twice, 40, 0.75) is None
    assert first_day_at_risk(twice, 40, 0.1) == pytest.approx(quantile(twice, 0.1 / 0.75))


def test_dates_of_fifteen_seasons_follow_the_shrunken_t(by_scipy: Any) -> None:
    found = [last_day_at_risk(DATES, 15, risk) for risk in (0.9, 0.7, 0.5, 0.3, 0.1)]
    assert found == pytest.approx(by_scipy["shrunken_t_of_15"][1:-1], abs=1e-8)


def test_late_dates_have_the_low_risk(real_ensemble: Callable[[str], Ensemble]) -> None:
    """NCDC, Freeze/Frost Data: spring 90 % dates are early, fall 10 % dates are early."""
    odds = freeze_odds(real_ensemble("champion").low_c, -2.2)
    springs = [odds.last[risk] for risk in (0.9, 0.7, 0.5, 0.3, 0.1)]
    autumns = [odds.first[risk] for risk in (0.1, 0.3, 0.5, 0.7, 0.9)]
    for dates in (springs, autumns):
        known = [date for date in dates if date is not None]
        assert len(known) == 5
        assert known == sorted(known)


def test_seasons_without_a_freeze() -> None:
    low_c = np.full((30, 365), 5.0)
    odds = freeze_odds(low_c)
    assert odds.p_freeze == 0
    assert set(odds.last.values()) == set(odds.first.values()) == {None}
    assert odds.mean_last is None
    assert np.isinf(last_freeze(low_c, 0.0)).all()
    low_c[:9, 200] = 0.0  # at the threshold is a freeze
    odds = freeze_odds(low_c)
    assert odds.with_freeze == 9
    assert odds.last[0.3] is None  # the risk comes to 30 % but never above
    assert odds.last[0.1] is not None


def test_generated_dates_are_spread(real_ensemble: Callable[[str], Ensemble]) -> None:
    generated = real_ensemble("seattle")
    assert generated.grade == "C"
    plain, spread = freeze_odds(generated.low_c), freeze_odds_of(generated)
    assert plain.last[0.1] is not None
    assert spread.last[0.1] is not None
    assert spread.mean_last == pytest.approx(plain.mean_last)
    assert spread.last[0.1] > plain.last[0.1]
