"""Heat needs learned from observed dates: simple kriging by hand, shrinkage, recency."""

from __future__ import annotations

from math import exp, log

import pytest

from orchardcal.climate.calibration import SeenHeat, heat_scale


def test_one_observation_is_weighed_by_covariance_over_variance() -> None:
    """Cressie (1993), Statistics for Spatial Data, 3.4.5: with one datum, c(h) / (c(0) + noise)."""
    for years in (1, 4, 10):
        weight = (0.1 + exp(-years / 4)) / (0.1 + 1.0 + 1.0)
        expected = 1.3**weight
        assert heat_scale([SeenHeat(2027 - years, 1.3)], 2027) == pytest.approx(expected)


def test_two_alike_observations_weigh_as_the_two_by_two_system_says() -> None:
    """The same, two data of one year: each c(h) / (2 c(0) + noise)."""
    weight = 2 * (0.1 + exp(-2 / 4)) / (2 * 1.1 + 1.0)
    found = heat_scale([SeenHeat(2025, 0.8), SeenHeat(2025, 0.8)], 2027)
    assert found == pytest.approx(0.8**weight)


def test_another_stage_counts_half() -> None:
    same = heat_scale([SeenHeat(2026, 1.3)], 2027)
    other = heat_scale([SeenHeat(2026, 1.3, same_stage=False)], 2027)
    assert log(other) == pytest.approx(log(same) / 2)


def test_recent_years_count_for_more() -> None:
    late_now = [SeenHeat(2010, 0.8), SeenHeat(2026, 1.25)]
    late_once = [SeenHeat(2010, 1.25), SeenHeat(2026, 0.8)]
    assert heat_scale(late_now, 2027) > 1 > heat_scale(late_once, 2027)


def test_many_observations_are_believed() -> None:
    seen = [SeenHeat(year, 1.3) for year in range(1997, 2027)]
    assert heat_scale(seen, 2027) == pytest.approx(1.3, rel=0.08)


def test_impossible_ratios_do_not_run_away() -> None:
    assert heat_scale([SeenHeat(2026, 1000.0)], 2027) == heat_scale([SeenHeat(2026, 3.0)], 2027)
    assert heat_scale([SeenHeat(2026, 0.0)], 2027) == 1.0
