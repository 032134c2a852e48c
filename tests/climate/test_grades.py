"""Grades of ensembles by what is known of a place."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from typing import Any

import numpy as np
import pytest

from orchardcal.climate.ensemble import Ensemble
from orchardcal.climate.grades import (
    ensemble_from_freeze_dates,
    ensemble_from_normals,
    ensemble_from_record,
    season_day_of,
)
from orchardcal.climate.impossible import ClimateRefused
from orchardcal.climate.months import monthly_means


@pytest.mark.parametrize(
    ("name", "grade", "members"),
    [("champion", "A", 36), ("brussels", "A", 29), ("cordoba", "A", 31), ("seattle", "C", 150)],
)
def test_real_records(
    real_ensemble: Callable[[str], Ensemble], name: str, grade: str, members: int
) -> None:
    """Whole seasons by hand: 1982-2018 holds 36 from July to June, 1991-2021 has 31 years."""
    climate = real_ensemble(name)
    assert (climate.grade, climate.members) == (grade, members)
    assert climate.low_c.shape == climate.high_c.shape == (members, 365)
    assert climate.rain_mm is not None
    assert climate.rain_mm.shape == (members, 365)
    assert not np.isnan(climate.low_c + climate.high_c + climate.rain_mm).any()
    assert len(climate.years) == members


def test_fewer_seasons_lower_the_grade(real_days: Callable[[str], Any]) -> None:
    days = real_days("brussels")
    for seasons, grade in ((21, "A"), (12, "B"), (9, "C"), (4, "C")):
        length = (date(1976 + seasons, 7, 1) - days.first_day).days
        climate = ensemble_from_record(50.8, days.first_day, *(c[:length] for c in days[1:]))
        assert climate.grade == grade
        assert climate.members == (150 if grade == "C" else seasons)


def test_a_short_record_is_turned_into_its_monthly_means(real_days: Callable[[str], Any]) -> None:
    days = real_days("brussels")
    length = (date(1982, 7, 1) - days.first_day).days
    climate = ensemble_from_record(50.8, days.first_day, *(c[:length] for c in days[1:]))
    first = (date(1976, 7, 1) - days.first_day).days
    january = [
        float(low)
        for offset, low in enumerate(days.low_c[first:length])
        if date.fromordinal(date(1976, 7, 1).toordinal() + offset).month == 1
    ]
    assert len(january) == 6 * 31
    found = monthly_means(climate.low_c, southern=False).mean(axis=0)[0]
    assert found == pytest.approx(np.mean(january), abs=0.7)
    assert climate.notes[-1][1] == {"count": 6}


def test_a_record_under_the_wrong_sign_is_refused(real_days: Callable[[str], Any]) -> None:
    with pytest.raises(ClimateRefused, match=r"write latitude -31\.4"):
        ensemble_from_record(31.4, *real_days("cordoba"))


def test_rain_needs_both_its_days_and_its_amounts() -> None:
    low_c = [-2, -1, 2, 5, 9, 12, 14, 14, 11, 7, 3, -1]
    high_c = [5, 7, 11, 15, 19, 22, 24, 24, 20, 15, 9, 6]
    assert ensemble_from_normals(48.0, low_c, high_c, [10] * 12, None).rain_mm is None
    assert ensemble_from_normals(48.0, low_c, high_c, [10] * 12, [50] * 12).rain_mm is not None


def test_freeze_dates_give_grade_d_with_its_error_said() -> None:
    four = (-6.0, 3.0, 13.0, 28.0)
    plain = ensemble_from_freeze_dates(44.0, (5, 3), (10, 4), 105.0)
    better = ensemble_from_freeze_dates(44.0, (5, 3), (10, 4), 105.0, four)
    assert (plain.grade, better.grade) == ("D", "D")
    assert plain.bud_error_days == 21
    assert 5 < better.bud_error_days < 10
    assert plain.rain_mm is None
    assert plain.members == 150


def test_dates_without_a_year() -> None:
    assert season_day_of(7, 1, southern=False) == 0
    assert season_day_of(2, 29, southern=False) == season_day_of(2, 28, southern=False) == 242
    assert season_day_of(4, 3, southern=True) == 92  # 1 October of the other half
