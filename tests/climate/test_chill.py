"""Chill models against published classes and the answers of two other programs."""

from __future__ import annotations

import csv
import json
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from orchardcal.climate.chill import (
    DynamicModel,
    chill_portions,
    half_utah_units,
    hours_0_to_72,
    hours_below_72,
)

TESTS = Path(__file__).resolve().parent.parent
CHILLR = TESTS / "computed_elsewhere" / "chillr_0.77"
XCLIM = json.loads((TESTS / "computed_elsewhere" / "xclim_0.62.0" / "answers.json").read_text())
FOURTEEN_DAYS_C = np.loadtxt(CHILLR / "fourteen_days_c.csv", delimiter=",").ravel()


def _rows(path: Path) -> list[dict[str, str]]:
    with path.open(encoding="utf-8") as lines:
        return list(csv.DictReader(line for line in lines if not line.startswith("#")))


TOTALS = {r["model"]: float(r["total"]) for r in _rows(CHILLR / "fourteen_days_totals.csv")}
UTAH_CLASSES = _rows(TESTS / "published" / "richardson_1974_utah_classes.csv")


@pytest.mark.parametrize("row", UTAH_CLASSES, ids=lambda row: row["air_c"])
def test_utah_units_published_richardson_1974_classes(row: dict[str, str]) -> None:
    utah, positive = half_utah_units(np.array([float(row["air_c"])]))
    assert utah[0] / 2 == float(row["units"])
    assert positive[0] / 2 == max(float(row["units"]), 0)


@pytest.mark.parametrize(
    ("air_c", "between", "below"),
    [(-0.01, 0, 1), (0.0, 1, 1), (7.19, 1, 1), (7.2, 1, 0), (7.21, 0, 0)],
)
def test_chill_hours_at_their_edges(air_c: float, between: int, below: int) -> None:
    """Weinberger (1950), 45 °F; both forms as defined in `chill`."""
    assert hours_0_to_72(np.array([air_c]))[0] == between
    assert hours_below_72(np.array([air_c]))[0] == below


@pytest.mark.parametrize(
    "row", _rows(CHILLR / "constant_temperatures.csv"), ids=lambda r: r["air_c"]
)
def test_portions_at_one_temperature_agree_with_chillr(row: dict[str, str]) -> None:
    """Recorded to four decimals."""
    portions = chill_portions(np.full(1000, float(row["air_c"]))).sum()
    assert portions == pytest.approx(float(row["portions"]), abs=5.1e-5)


@pytest.mark.parametrize(("air_c", "portions"), XCLIM["portions_of_1000_h_at_273"].items())
def test_portions_at_one_temperature_agree_with_xclim(air_c: str, portions: float) -> None:
    ours = chill_portions(np.full(1000, float(air_c))).sum()
    assert ours == pytest.approx(portions, abs=1e-9)


def test_fourteen_days_agree_with_chillr() -> None:
    """Recorded to ten decimals (portions), exact (Utah, hours)."""
    assert chill_portions(FOURTEEN_DAYS_C).sum() == pytest.approx(TOTALS["portions"], abs=1e-9)
    assert half_utah_units(FOURTEEN_DAYS_C)[0].sum() / 2 == TOTALS["utah"]
    assert hours_0_to_72(FOURTEEN_DAYS_C).sum() == TOTALS["hours_0_72"]


def test_fourteen_days_agree_with_xclim() -> None:
    portions = chill_portions(FOURTEEN_DAYS_C).sum()
    assert portions == pytest.approx(XCLIM["portions_of_fourteen_days_273"], abs=1e-9)
    assert half_utah_units(FOURTEEN_DAYS_C)[0].sum() / 2 == XCLIM["utah_of_fourteen_days"]


def test_273_15_k_is_air_015_warmer_and_a_different_total() -> None:
    """xclim with its own 273.15 K: the two conventions part by 0.3 and 0.9 portions here."""
    at_273_15 = chill_portions(FOURTEEN_DAYS_C + 0.15).sum()
    assert at_273_15 == pytest.approx(XCLIM["portions_of_fourteen_days"], abs=1e-9)
    warming = np.linspace(0.0, 15.0, 2880)
    without_first_hour = chill_portions(warming[1:] + 0.15).sum()
    recorded = XCLIM["portions_of_2880_h_warming_from_0_to_15"]
    assert recorded == pytest.approx(72.2441765, abs=1e-7)  # printed in xclim's own tests
    assert without_first_hour == pytest.approx(recorded, abs=1e-9)
    at_273 = chill_portions(warming).sum()
    assert at_273 == pytest.approx(XCLIM["portions_of_2880_h_warming_from_0_to_15_273"], abs=1e-9)
    assert at_273 - recorded > 0.3


def test_utah_units_of_five_classes_agree_with_xclim() -> None:
    air_c = np.repeat([1.1, 2.0, 5.6, 16.0, 20.0], [10, 15, 20, 10, 5])
    utah, positive = half_utah_units(air_c)
    assert utah.sum() / 2 == XCLIM["utah_of_five_classes"] == 17.5
    assert positive.sum() / 2 == 0.5 * 15 + 20  # single warm hours count nothing


def test_positive_utah_of_whole_days_agrees_with_xclim() -> None:
    """xclim sets days, not hours, with a total below zero to zero: the third and last one here."""
    air_c = np.repeat([1.1, 2.0, 5.6, 16.0, 20.0], [10, 15, 20, 10, 5])
    utah = half_utah_units(air_c)[0] / 2
    by_day = [utah[first : first + 24].sum() for first in range(0, 60, 24)]
    assert sum(max(day, 0) for day in by_day) == XCLIM["positive_utah_of_five_classes"] == 26.0


@pytest.mark.parametrize(
    ("warm_c", "at_least", "at_most"),
    [(13.0, 0.85, 1.0), (15.0, 0.8, 1.0), (18.0, 0.3, 0.8), (21.0, 0.1, 0.6), (24.0, 0.0, 0.0)],
)
def test_warm_afternoons_undo_chill_as_published(
    warm_c: float, at_least: float, at_most: float
) -> None:
    """16 h at 6 °C, 8 h warm: 13 to 15 °C harm little, 18 to 21 in part, 24 undoes all.

    Couvillon & Erez (1985), J. Am. Soc. Hortic. Sci. 110:47-50; the order of effects, from memory.
    """
    steady = chill_portions(np.full(60 * 24, 6.0)).sum()
    cycled = chill_portions(np.tile(np.repeat([6.0, warm_c], [16, 8]), 60)).sum()
    assert at_least <= cycled / steady <= at_most


def test_the_intermediate_is_carried_from_block_to_block() -> None:
    blocks = DynamicModel(lanes=1, hours_at_once=100)
    pieces = [
        blocks.portions(FOURTEEN_DAYS_C[first : first + 100, np.newaxis]).copy()
        for first in range(0, FOURTEEN_DAYS_C.size, 100)
    ]
    np.testing.assert_array_equal(np.vstack(pieces)[:, 0], chill_portions(FOURTEEN_DAYS_C))


@settings(max_examples=50, deadline=None)
@given(st.lists(st.floats(-45, 45), min_size=1, max_size=200))
def test_portions_never_fall_and_never_pass_one_in_an_hour(air_c: list[float]) -> None:
    """What is banked stays banked; no more than the intermediate, which is below 3 in any frost."""
    portions = chill_portions(np.array(air_c))
    assert (portions >= 0).all()
    assert np.isfinite(portions).all()
