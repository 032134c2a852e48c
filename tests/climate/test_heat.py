"""Growing degree hours against their published curves and another program's total."""

from __future__ import annotations

import csv
from pathlib import Path

import numpy as np
import pytest

from orchardcal.climate.heat import asymcur_gdh, linear_gdh

TESTS = Path(__file__).resolve().parent.parent
CHILLR = TESTS / "computed_elsewhere" / "chillr_0.77"
FOURTEEN_DAYS_C = np.loadtxt(CHILLR / "fourteen_days_c.csv", delimiter=",").ravel()


def _rows(path: Path) -> list[dict[str, str]]:
    with path.open(encoding="utf-8") as lines:
        return list(csv.DictReader(line for line in lines if not line.startswith("#")))


CURVE = _rows(TESTS / "published" / "growing_degree_hours.csv")


@pytest.mark.parametrize("row", CURVE, ids=lambda row: row["air_c"])
def test_linear_gdh_published_richardson_1975(row: dict[str, str]) -> None:
    ours = linear_gdh(np.array([float(row["air_c"])]))[0]
    assert ours == pytest.approx(float(row["linear_gdh"]), abs=1e-12)


@pytest.mark.parametrize("row", [r for r in CURVE if r["asymcur_gdh"]], ids=lambda r: r["air_c"])
def test_asymcur_gdh_published_anderson_1986(row: dict[str, str]) -> None:
    ours = asymcur_gdh(np.array([float(row["air_c"])]))[0]
    assert ours == pytest.approx(float(row["asymcur_gdh"]), abs=1e-12)


def test_asymcur_gdh_of_fourteen_days_agrees_with_chillr() -> None:
    """Recorded to eight decimals."""
    totals = {r["model"]: float(r["total"]) for r in _rows(CHILLR / "fourteen_days_totals.csv")}
    assert asymcur_gdh(FOURTEEN_DAYS_C).sum() == pytest.approx(totals["gdh_asymcur"], abs=1e-8)


def test_the_two_forms_never_stand_for_each_other() -> None:
    """The same 14 days: the linear total, summed by hand in tenths of a degree, is 17 % more."""
    tenths = [round(10 * float(air_c)) for air_c in FOURTEEN_DAYS_C]
    by_hand = sum(min(max(t, 45), 250) - 45 for t in tenths) / 10
    assert linear_gdh(FOURTEEN_DAYS_C).sum() == pytest.approx(by_hand, abs=1e-9)
    assert by_hand / asymcur_gdh(FOURTEEN_DAYS_C).sum() == pytest.approx(1.17, abs=0.005)


def test_asymcur_gdh_keeps_single_precision_within_a_hundred_thousandth() -> None:
    air_c = np.linspace(-10, 45, 5501)
    single = asymcur_gdh(air_c.astype(np.float32))
    assert single.dtype == np.float32
    np.testing.assert_allclose(single, asymcur_gdh(air_c), atol=1e-5)
