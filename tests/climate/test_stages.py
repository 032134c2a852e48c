"""The day a need is reached: hand-made cases."""

from __future__ import annotations

import numpy as np

from orchardcal.climate.stages import chill_met, heat_reached


def test_chill_met_is_the_first_day_at_the_need_not_above_it() -> None:
    daily = np.array([[0.0, 0.5, 0.5, 1.0]])
    assert chill_met(daily, 1.0).tolist() == [2.0]
    assert chill_met(daily, 1.01).tolist() == [3.0]
    assert chill_met(daily, 2.01).tolist() == [np.inf]


def test_chill_met_counts_the_first_time_when_units_fall_again() -> None:
    """Utah units may be lost; a need once reached stays reached."""
    assert chill_met(np.array([[3.0, -2.0, 2.0]]), 3.0).tolist() == [0.0]


def test_chill_met_of_no_need_is_the_first_day() -> None:
    assert chill_met(np.zeros((2, 3)), 0.0).tolist() == [0.0, 0.0]


def test_heat_counts_from_each_members_own_start() -> None:
    gdh = np.array([[100.0, 1.0, 1.0, 1.0], [100.0, 1.0, 1.0, 1.0], [9.0, 9.0, 9.0, 9.0]])
    reached = heat_reached(gdh, np.array([0.0, 1.0, np.inf]), np.array([2.0, 3.0, 101.0]))
    assert reached.tolist() == [[0.0, 0.0, 1.0], [2.0, 3.0, np.inf], [np.inf] * 3]


def test_heat_of_no_need_is_reached_where_it_starts_and_never_without_a_start() -> None:
    reached = heat_reached(np.ones((2, 4)), np.array([2.0, np.inf]), np.array([0.0]))
    assert reached.tolist() == [[2.0], [np.inf]]
