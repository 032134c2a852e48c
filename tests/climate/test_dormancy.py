"""Leaf fall by its rule read day by day, and winters of known places."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest

from orchardcal.climate.dormancy import (
    coldest_fortnight,
    leaf_fall,
    leaf_fall_assumed,
    winter_class,
)
from orchardcal.climate.ensemble import Ensemble
from orchardcal.climate.hourly import day_length_h


@pytest.mark.parametrize("name", ["champion", "brussels", "cordoba"])
def test_leaf_fall_as_the_rule_reads(real_ensemble: Callable[[str], Ensemble], name: str) -> None:
    """Short day and a week's mean of 10 °C, or the first hard freeze (28 °F, NWS)."""
    climate = real_ensemble(name)
    found = leaf_fall(climate.low_c, climate.high_c, climate.latitude_deg)
    assumed = leaf_fall_assumed(climate.low_c, climate.high_c, climate.latitude_deg)
    lengths = day_length_h(climate.latitude_deg)
    mean_c = (climate.low_c + climate.high_c) / 2
    for member in range(climate.members):
        expected = next(
            (
                day
                for day in range(41, 185)
                if (lengths[day] < 11.5 and mean_c[member, day - 6 : day + 1].mean() <= 10)
                or climate.low_c[member, day] <= -2.2
            ),
            None,
        )
        assert assumed[member] == (expected is None)
        assert found[member] == (153 if expected is None else expected)


def test_leaf_fall_comes_between_october_and_december_in_temperate_places(
    real_ensemble: Callable[[str], Ensemble],
) -> None:
    """Apple leaves fall from mid October to late November there (common practice, no source)."""
    for name in ("champion", "brussels"):
        climate = real_ensemble(name)
        middle = np.median(leaf_fall(climate.low_c, climate.high_c, climate.latitude_deg))
        assert 92 <= middle <= 153


def test_leaves_hang_where_it_never_cools() -> None:
    warm = np.full((3, 365), 15.0)
    assert leaf_fall(warm, warm + 8, 27.0).tolist() == [153, 153, 153]
    assert leaf_fall_assumed(warm, warm + 8, 27.0).all()


def test_coldest_fortnight_lies_in_midwinter(real_ensemble: Callable[[str], Ensemble]) -> None:
    """December to early February, half a year later in the south: where every normal has it."""
    for name in ("champion", "brussels", "cordoba", "seattle"):
        climate = real_ensemble(name)
        assert 150 <= coldest_fortnight(climate.low_c, climate.high_c) <= 215
    wave = np.tile(-np.cos(2 * np.pi * (np.arange(365) - 190.5) / 365), (5, 1))
    assert coldest_fortnight(wave, wave) == 184  # days 184 to 197, the middle at 190.5


def test_winters_of_real_places(real_ensemble: Callable[[str], Ensemble]) -> None:
    champion, brussels, cordoba = (
        winter_class(c.low_c, c.high_c, c.latitude_deg < 0)
        for c in map(real_ensemble, ("champion", "brussels", "cordoba"))
    )
    # Normals of Brussels (Uccle) 1981-2010: January mean 3.3 °C, July high 23.0 °C (KMI/IRM;
    # from memory).
    assert brussels.coldest_mean_c == pytest.approx(3.3, abs=0.5)
    assert brussels.hottest_high_c == pytest.approx(23.0, abs=1.0)
    assert champion.lowest_c < -20  # hardiness zone 5a, -28.9 to -26.1 °C (USDA map; from memory)
    assert champion.coldest_mean_c < brussels.coldest_mean_c < cordoba.coldest_mean_c
    assert not any(winter.mild for winter in (champion, brussels))
    assert brussels.p_freeze == 1.0
    frozen = np.full((4, 365), -20.0)
    assert winter_class(frozen, frozen + 8, southern=False).cold
    warm = np.full((4, 365), 15.0)
    assert winter_class(warm, warm + 8, southern=False).freeze_free
