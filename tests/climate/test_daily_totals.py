"""The kernel gives what the models give on the same hours, in any number of members."""

from __future__ import annotations

from dataclasses import fields
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray

from orchardcal.climate.chill import (
    chill_portions,
    half_utah_units,
    hours_0_to_72,
    hours_below_72,
)
from orchardcal.climate.daily_totals import (
    DailyTotals,
    daily_totals,
    daily_totals_of_hours,
    totals_of_places,
)
from orchardcal.climate.heat import asymcur_gdh, linear_gdh
from orchardcal.climate.hourly import Floats, hourly_c
from orchardcal.climate.hours_side_by_side import LANES_AT_ONCE, DailyExtremes

CHILLR = Path(__file__).resolve().parent.parent / "computed_elsewhere" / "chillr_0.77"
FOURTEEN_DAYS_C = np.loadtxt(CHILLR / "fourteen_days_c.csv", delimiter=",").ravel()


def _seasons(members: int, seed: int = 5) -> tuple[Floats, Floats]:
    rng = np.random.default_rng(seed)
    low_c = 6 - 10 * np.cos(2 * np.pi * (np.arange(365) - 201) / 365)
    low_c = low_c + rng.normal(0, 4, (members, 365))
    return low_c, low_c + rng.uniform(0, 16, (members, 365))


def _by_day(hourly: NDArray[Any]) -> Floats:
    by_day: Floats = hourly.reshape(*hourly.shape[:-1], -1, 24).sum(axis=-1, dtype=np.float64)
    return by_day


@pytest.mark.parametrize("chill_start", [0, 62, 364])
def test_the_kernel_equals_the_models_on_the_same_hours(chill_start: int) -> None:
    low_c, high_c = _seasons(7)
    totals = daily_totals(low_c, high_c, 44.0, chill_start)
    air_c = hourly_c(low_c, high_c, 44.0)
    cold = air_c[:, chill_start * 24 :]
    utah, positive = (half / 2 for half in half_utah_units(cold))
    expected: dict[str, NDArray[Any]] = {
        "portions": chill_portions(cold),
        "utah": utah,
        "positive_utah": positive,
        "hours_0_72": hours_0_to_72(cold),
        "hours_below_72": hours_below_72(cold),
    }
    for name, hourly in expected.items():
        daily = getattr(totals, name)
        assert not daily[:, :chill_start].any(), name
        np.testing.assert_allclose(daily[:, chill_start:], _by_day(hourly), atol=1e-9, err_msg=name)
    np.testing.assert_allclose(totals.gdh_linear, _by_day(linear_gdh(air_c)), atol=3e-4)
    np.testing.assert_allclose(totals.gdh_asymcur, _by_day(asymcur_gdh(air_c)), atol=3e-4)


def test_fourteen_days_of_hours_agree_with_chillr() -> None:
    """chillR's totals of the series (fourteen_days_totals.csv)."""
    totals = daily_totals_of_hours(FOURTEEN_DAYS_C[np.newaxis], 0)
    assert totals.portions.sum() == pytest.approx(7.7609167795, abs=1e-9)
    assert totals.utah.sum() == 185.0
    assert totals.hours_0_72.sum() == 136
    assert totals.gdh_asymcur.sum() == pytest.approx(1047.44742908, abs=1e-3)  # single precision


def test_measured_and_rebuilt_hours_go_through_the_same_kernel() -> None:
    low_c, high_c = _seasons(3)
    rebuilt = daily_totals(low_c, high_c, -38.0, 62)
    given = daily_totals_of_hours(hourly_c(low_c, high_c, -38.0), 62)
    for field in fields(DailyTotals):
        ours, theirs = getattr(rebuilt, field.name), getattr(given, field.name)
        np.testing.assert_allclose(ours, theirs, atol=1e-9, err_msg=field.name)


def test_a_member_does_not_depend_on_how_many_others_there_are() -> None:
    """More members than one block holds; the last one alone gives the same."""
    members = LANES_AT_ONCE + 30
    low_c, high_c = _seasons(members)
    among_others = daily_totals(low_c, high_c, 50.0)
    alone = daily_totals(low_c[-1:], high_c[-1:], 50.0)
    for field in fields(DailyTotals):
        many, one = getattr(among_others, field.name), getattr(alone, field.name)
        assert many.shape == (members, 365)
        np.testing.assert_allclose(many[-1:], one, atol=3e-4, err_msg=field.name)
    np.testing.assert_allclose(among_others.portions[-1:], alone.portions, atol=1e-9)


def test_a_place_beside_others_has_the_very_numbers_it_has_alone() -> None:
    """To the last bit: a portion won or lost over it would move a date. Some fill a block, some
    share one, one is larger than any."""
    sizes = (30, 150, 12, LANES_AT_ONCE + 77, 61, 0, 1900, 30)
    places = [
        DailyExtremes(*_seasons(size, seed), latitude_deg)
        for seed, (size, latitude_deg) in enumerate(
            zip(sizes, (50.0, -38.0, 44.1, 35.0, 61.0, 10.0, 44.1, -38.0), strict=True)
        )
    ]
    for place, beside in zip(places, totals_of_places(places), strict=True):
        alone = daily_totals(place.low_c, place.high_c, place.latitude_deg)
        for field in fields(DailyTotals):
            ours, theirs = getattr(beside, field.name), getattr(alone, field.name)
            assert np.array_equal(ours, theirs), (field.name, place.latitude_deg)


def test_hemispheres_mirror_each_other() -> None:
    """The same weather by season day: day lengths differ by minutes, totals by under 1 %."""
    low_c, high_c = _seasons(20)
    north, south = (daily_totals(low_c, high_c, latitude) for latitude in (42.0, -42.0))
    for field in fields(DailyTotals):
        ours = getattr(north, field.name).sum(axis=1).mean()
        assert getattr(south, field.name).sum(axis=1).mean() == pytest.approx(ours, rel=0.01)


def test_what_each_model_adds_in_a_day_stays_within_its_bounds() -> None:
    totals = daily_totals(*_seasons(30), 48.0)
    assert totals.portions.min() >= 0
    assert (totals.positive_utah >= totals.utah).all()
    assert (totals.positive_utah <= 24).all()
    assert (totals.hours_below_72 >= totals.hours_0_72 - 24 * 0.0001).all()
    assert (totals.gdh_asymcur <= 24 * 21).all()
    assert (totals.gdh_linear <= 24 * 20.5).all()


def test_no_members_give_no_rows() -> None:
    assert daily_totals(np.zeros((0, 365)), np.zeros((0, 365)), 45.0).portions.shape == (0, 365)


def test_wrong_shapes_are_refused() -> None:
    with pytest.raises(ValueError, match="members, 365"):
        daily_totals(np.zeros((2, 366)), np.zeros((2, 366)), 45.0)
    with pytest.raises(ValueError, match="25 hours"):
        daily_totals_of_hours(np.zeros((1, 25)), 0)
