"""Writes the invented daily record of demo site cedar-bluff: 30 whole seasons and a part of one.

    python -m tests.demo.make_record demo_sites/cedar-bluff/record.csv

The monthly means are made up for a cold, dry, continental place; the days come from orchardcal's
own weather generator with its fixed random numbers. Nothing in the file was ever measured.
"""

from __future__ import annotations

import sys
from datetime import date
from pathlib import Path

from orchardcal.climate.grades import ensemble_from_normals
from orchardcal.season import Season, is_leap_day

LATITUDE_DEG = 44.02
LOW_C = (-13.6, -11.9, -6.2, -0.6, 5.3, 10.8, 14.4, 13.3, 7.9, 0.9, -6.4, -12.5)
HIGH_C = (-0.6, 1.4, 7.2, 13.5, 19.1, 25.0, 30.8, 30.1, 24.2, 15.4, 6.9, 0.3)
RAIN_DAYS = (4.1, 5.0, 6.2, 8.1, 10.6, 10.4, 7.9, 6.8, 5.7, 6.0, 4.4, 4.2)
RAIN_MM = (8.0, 11.0, 23.0, 44.0, 82.0, 71.0, 51.0, 39.0, 31.0, 36.0, 13.0, 9.0)
FIRST_SEASON, WHOLE_SEASONS = 1997, 30
LAST_DAY = date(2026, 11, 24)


def main(path: Path) -> None:
    """Writes the record as comma-separated values: day, low_c, high_c, rain_mm."""
    made = ensemble_from_normals(LATITUDE_DEG, LOW_C, HIGH_C, RAIN_DAYS, RAIN_MM)
    assert made.rain_mm is not None
    lines = ["day,low_c,high_c,rain_mm"]
    for member in range(WHOLE_SEASONS + 1):
        season = Season(FIRST_SEASON + member, southern=False)
        for day in season.span.days():
            if day > LAST_DAY:
                break
            at = season.season_day(day)
            low_c, high_c = made.low_c[member, at], made.high_c[member, at]
            rain_mm = 0.0 if is_leap_day(day) else made.rain_mm[member, at]
            lines.append(f"{day},{low_c:.1f},{high_c:.1f},{rain_mm:.1f}")
    path.write_text("\n".join(lines) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main(Path(sys.argv[1]))
