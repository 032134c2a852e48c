"""Real daily records and other programs' answers, as the climate tests use them."""

from __future__ import annotations

import csv
import gzip
import json
from collections.abc import Callable
from datetime import date
from functools import cache
from pathlib import Path
from typing import Any, NamedTuple

import numpy as np
import pytest
from numpy.typing import NDArray

from orchardcal.climate.ensemble import Ensemble
from orchardcal.climate.grades import ensemble_from_record

TESTS = Path(__file__).parents[1]
LATITUDES_DEG = {"champion": 40.4, "brussels": 50.8, "cordoba": -31.4, "seattle": 47.6}


class Days(NamedTuple):
    first_day: date
    low_c: NDArray[np.float64]
    high_c: NDArray[np.float64]
    rain_mm: NDArray[np.float64]


@cache
def days_of(name: str) -> Days:
    with gzip.open(TESTS / "real" / f"{name}.csv.gz", "rt", newline="") as file:
        rows = list(csv.DictReader(file))
    columns = (
        np.array([float(row[key]) for row in rows]) for key in ("low_c", "high_c", "rain_mm")
    )
    return Days(date.fromisoformat(rows[0]["day"]), *columns)


@cache
def ensemble_of(name: str) -> Ensemble:
    return ensemble_from_record(LATITUDES_DEG[name], *days_of(name))


@pytest.fixture(scope="session")
def real_days() -> Callable[[str], Days]:
    """The days of one of the records of tests/real (its ORIGIN.md says from where)."""
    return days_of


@pytest.fixture(scope="session")
def real_ensemble() -> Callable[[str], Ensemble]:
    return ensemble_of


@pytest.fixture(scope="session")
def by_scipy() -> Any:
    return json.loads((TESTS / "computed_elsewhere/scipy_1.17.1/answers.json").read_text())
