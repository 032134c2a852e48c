"""Quantiles, intervals, freeze dates by scipy: writes answers.json beside it; --check compares.

    pip install scipy==1.17.1 numpy
    python tests/computed_elsewhere/scipy_1.17.1/make.py [--check]

Freeze dates are found day by day from the records of tests/real with plain Python: the last low at
or below the threshold before 1 July and the first on or after it, as days of the calendar year.
"""

from __future__ import annotations

import csv
import gzip
import json
import sys
from datetime import date
from pathlib import Path

import numpy as np
from scipy import stats
from scipy.stats.mstats import mquantiles

HERE = Path(__file__).parent
REAL = HERE.parents[1] / "real"
PERIODS = (
    ("champion", 0.0, 1991, 2018),
    ("brussels", 0.0, 1976, 2005),
    ("brussels", -2.2, 1976, 2005),
)
DATES = (100, 104, 96, 112, 109, 93, 118, 101, 107, 99, 115, 105, 110, 97, 103)  # invented
SHARES = (0.05, 0.1, 0.3, 0.5, 0.7, 0.9, 0.95)


def freezes(name: str, threshold_c: float, first: int, last: int) -> dict[str, dict[str, object]]:
    springs: dict[int, int] = {}
    autumns: dict[int, int] = {}
    with gzip.open(REAL / f"{name}.csv.gz", "rt", newline="") as file:
        for row in csv.DictReader(file):
            day = date.fromisoformat(row["day"])
            if first <= day.year <= last and float(row["low_c"]) <= threshold_c:
                if day.month < 7:
                    springs[day.year] = day.timetuple().tm_yday
                else:
                    autumns.setdefault(day.year, day.timetuple().tm_yday)
    return {
        side: {
            "years": len(dates),
            "mean": float(np.mean(list(dates.values()))),
            "sd": float(np.std(list(dates.values()), ddof=1)),
            "weibull_10_50_90": [
                float(q) for q in mquantiles(list(dates.values()), (0.1, 0.5, 0.9), 0, 0)
            ],
        }
        for side, dates in (("last", springs), ("first", autumns))
    }


def shrunken(share: float) -> float:
    """Prior of 5 degrees of freedom and 12 days on the spread of the sample."""
    n, mean, sd = len(DATES), float(np.mean(DATES)), float(np.std(DATES, ddof=1))
    freedom = 5 + n - 1
    scale = np.sqrt((5 * 144 + (n - 1) * sd**2) / freedom * (1 + 1 / n))
    return float(stats.t(freedom, mean, scale).ppf(share))


def answers() -> str:
    found = {
        "t": {f"{df}": [float(stats.t.ppf(p, df)) for p in SHARES] for df in (5, 6, 12, 19, 24)},
        "wilson_80": {
            f"{k}/{n}": list(
                stats.binomtest(k, n).proportion_ci(confidence_level=0.8, method="wilson")
            )
            for k, n in ((0, 30), (3, 12), (24, 30), (30, 30))
        },
        "shrunken_t_of_15": [shrunken(share) for share in SHARES],
        "weibull_of_15": [float(q) for q in mquantiles(DATES, SHARES, 0, 0)],
        "weibull_of_15_where_20": [
            float(q) for q in mquantiles(DATES, [1 - p / 0.75 for p in (0.1, 0.3, 0.5, 0.7)], 0, 0)
        ],
        "freezes": {
            f"{name} {threshold_c:g} {first}-{last}": freezes(name, threshold_c, first, last)
            for name, threshold_c, first, last in PERIODS
        },
    }
    return json.dumps(found, indent=1) + "\n"


if __name__ == "__main__":
    file = HERE / "answers.json"
    if "--check" in sys.argv:
        same = file.read_text() == answers()
        print("same answers" if same else "the answers differ")
        sys.exit(not same)
    file.write_text(answers())
