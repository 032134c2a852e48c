"""Writes the invented daily records of the demo sites that have one.

    python -m tests.demo.make_record demo_sites

The monthly means are made up, one set for a cold, dry, continental place and one for a cool coast
south of the equator; the days come from orchardcal's own weather generator with its fixed random
numbers. Nothing in these files was ever measured.
"""

from __future__ import annotations

import sys
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from orchardcal.climate.grades import ensemble_from_normals
from orchardcal.season import Season, is_leap_day, is_southern

LAST_DAY = date(2026, 11, 24)


@dataclass(frozen=True)
class Invented:
    """Monthly means, January first, and the seasons to write: the last one is cut at LAST_DAY."""

    latitude_deg: float
    low_c: tuple[float, ...]
    high_c: tuple[float, ...]
    rain_days: tuple[float, ...]
    rain_mm: tuple[float, ...]
    first_season: int
    whole_seasons: int


PLACES = {
    "cedar-bluff": Invented(
        44.02,
        (-13.6, -11.9, -6.2, -0.6, 5.3, 10.8, 14.4, 13.3, 7.9, 0.9, -6.4, -12.5),
        (-0.6, 1.4, 7.2, 13.5, 19.1, 25.0, 30.8, 30.1, 24.2, 15.4, 6.9, 0.3),
        (4.1, 5.0, 6.2, 8.1, 10.6, 10.4, 7.9, 6.8, 5.7, 6.0, 4.4, 4.2),
        (8.0, 11.0, 23.0, 44.0, 82.0, 71.0, 51.0, 39.0, 31.0, 36.0, 13.0, 9.0),
        1997,
        30,
    ),
    "huon-reach": Invented(
        -41.23,
        (11.1, 11.3, 9.7, 7.2, 5.0, 3.0, 2.3, 3.0, 4.3, 5.8, 7.7, 9.4),
        (22.9, 23.3, 21.3, 17.7, 14.5, 11.9, 11.3, 12.3, 14.2, 16.8, 19.0, 21.0),
        (6.2, 5.6, 6.3, 8.0, 9.1, 9.4, 12.1, 12.8, 10.9, 9.6, 8.3, 7.4),
        (43.0, 38.0, 41.0, 56.0, 63.0, 66.0, 79.0, 84.0, 66.0, 57.0, 51.0, 49.0),
        2014,
        12,
    ),
}


def record_text(place: Invented) -> str:
    """The record as comma-separated values: day, low_c, high_c, rain_mm."""
    made = ensemble_from_normals(
        place.latitude_deg, place.low_c, place.high_c, place.rain_days, place.rain_mm
    )
    assert made.rain_mm is not None
    lines = ["day,low_c,high_c,rain_mm"]
    for member in range(place.whole_seasons + 1):
        season = Season(place.first_season + member, is_southern(place.latitude_deg))
        for day in season.span.days():
            if day > LAST_DAY:
                break
            at = season.season_day(day)
            low_c, high_c = made.low_c[member, at], made.high_c[member, at]
            rain_mm = 0.0 if is_leap_day(day) else made.rain_mm[member, at]
            lines.append(f"{day},{low_c:.1f},{high_c:.1f},{rain_mm:.1f}")
    return "\n".join(lines) + "\n"


if __name__ == "__main__":
    for name, place in PLACES.items():
        path = Path(sys.argv[1]) / name / "record.csv"
        path.write_text(record_text(place), encoding="utf-8")
