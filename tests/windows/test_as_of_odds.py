"""What knowing the weather so far is worth, on real records, each season judged by the others.

Beside the table of the same quantities for Klein-Altendorf, Germany (11 seasons, 1998-2009, the
data set that comes with chillR): there the day chill is met sharpens steadily from October, the day
the buds swell not before three or four weeks ahead of it.
"""

from __future__ import annotations

import csv
import gzip
import io
from dataclasses import dataclass
from datetime import date
from functools import lru_cache
from pathlib import Path

import numpy as np
import pytest

from orchardcal.climate.as_of import ensemble_as_of, without_year
from orchardcal.climate.daily_totals import daily_totals
from orchardcal.climate.ensemble import Ensemble
from orchardcal.climate.grades import ensemble_from_record
from orchardcal.climate.stages import chill_met, heat_reached

REAL = Path(__file__).parent.parent / "real"
LATITUDES = {"champion": 40.4, "brussels": 50.8}
DAYS = {"1 Sep": 62, "1 Nov": 123, "1 Jan": 184, "1 Feb": 215, "1 Mar": 243, "1 Apr": 274}
PORTIONS, SWELL_GDH = 55.0, 3000.0


@dataclass(frozen=True)
class Row:
    """Means over the seasons: P90 - P10 of the forecast, and the error of its middle, in days."""

    chill_spread: float
    chill_error: float
    bud_spread: float
    bud_error: float


@lru_cache(maxsize=4)
def ensemble(station: str) -> Ensemble:
    with gzip.open(REAL / f"{station}.csv.gz") as packed:
        rows = list(csv.DictReader(io.TextIOWrapper(packed)))
    low, high = ([float(row[name] or "nan") for row in rows] for name in ("low_c", "high_c"))
    first = date.fromisoformat(rows[0]["day"])
    return ensemble_from_record(LATITUDES[station], first, low, high, None)


@lru_cache(maxsize=4)
def table(station: str, step: int) -> dict[str, Row]:
    """The figures by day, from every `step`-th season."""
    every = ensemble(station)
    found: dict[str, list[tuple[float, float, float, float]]] = {day: [] for day in DAYS}
    truth_met, truth_bud = dates(every)
    for at in range(0, every.members, step):
        others = without_year(every, every.years[at])
        for name, day in DAYS.items():
            now = ensemble_as_of(others, every.low_c[at, :day], every.high_c[at, :day])
            met, bud = dates(now)
            found[name].append(
                (
                    spread(met),
                    abs(np.median(met) - truth_met[at]),
                    spread(bud),
                    abs(np.median(bud) - truth_bud[at]),
                )
            )
    return {name: Row(*np.mean(rows, axis=0)) for name, rows in found.items()}


def dates(of: Ensemble) -> tuple[np.ndarray, np.ndarray]:
    totals = daily_totals(of.low_c, of.high_c, of.latitude_deg)
    met = chill_met(totals.portions, PORTIONS)
    return met, heat_reached(totals.gdh_asymcur, met, np.array([SWELL_GDH]))[:, 0]


def spread(days: np.ndarray) -> float:
    low, high = np.quantile(days, [0.1, 0.9])
    return float(high - low)


@pytest.mark.parametrize(
    ("station", "step"),
    [
        ("brussels", 6),
        pytest.param("brussels", 1, marks=pytest.mark.slow),
        pytest.param("champion", 1, marks=pytest.mark.slow),
    ],
)
def test_chill_sharpens_with_the_season_and_buds_do_not_until_late(station: str, step: int) -> None:
    rows = table(station, step)
    print(f"\n{station}: days of spread and error, chill met and buds at {SWELL_GDH:.0f} GDH")
    for name, row in rows.items():
        print(
            f"{name:>6}  chill {row.chill_spread:5.1f} {row.chill_error:5.1f}"
            f"  buds {row.bud_spread:5.1f} {row.bud_error:5.1f}"
        )
    autumn, midwinter, april = rows["1 Sep"], rows["1 Jan"], rows["1 Apr"]
    assert midwinter.chill_spread < 0.6 * autumn.chill_spread
    assert midwinter.chill_error < autumn.chill_error
    # No false progress: in midwinter the buds are as uncertain as they were in autumn.
    assert midwinter.bud_spread > 0.75 * autumn.bud_spread
    assert april.bud_spread < 0.7 * autumn.bud_spread
    assert april.bud_error < midwinter.bud_error
