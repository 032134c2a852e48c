"""Days of a weather station from any file the weather command takes."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path

from orchardcal.errors import Problems, Spot, known
from orchardcal.sites.csv_table import CsvTable, csv_table
from orchardcal.sites.ghcn import (
    StationDays,
    days_of_dly,
    days_of_station_csv,
    is_dly,
    is_station_csv,
)
from orchardcal.sites.record import COLUMNS, record_of
from orchardcal.sites.text_file import text_of

LIMIT_MB = 60
FORMS = (
    "Give a CSV with the columns day, low_c, high_c, rain_mm (or low_f, high_f, rain_in), or a "
    "GHCN-Daily file: .dly, or CSV with DATE, TMAX, TMIN, PRCP."
)


def station_days(
    path: Path, shown_as: str, names: Mapping[str, str], problems: Problems
) -> StationDays | None:
    """The days in a file, or None after problems.

    names: for a CSV with names of its own, our column -> the file's ("high_c" -> "temp_max");
    columns not named are then left aside.
    """
    text = text_of(path, shown_as, problems, limit_mb=LIMIT_MB, instead=FORMS)
    if text is None:
        return None
    if is_dly(text):
        return days_of_dly(text, shown_as, problems)
    table = csv_table(text, shown_as, problems)
    if table is None:
        return None
    if names:
        table = _renamed(table, names, problems)
    elif is_station_csv(table):
        return days_of_station_csv(table, problems)
    elif "day" not in table.header:
        problems.add(
            Spot(shown_as, table.header_line),
            f"has the columns {', '.join(table.header)}",
            f"{FORMS} Other names can be told: --column day=DATE --column low_c=TMIN …",
        )
        return None
    record = record_of(table, problems) if table is not None else None
    return StationDays(record, "", ()) if record is not None else None


def _renamed(table: CsvTable, names: Mapping[str, str], problems: Problems) -> CsvTable | None:
    """The named columns alone, under our names."""
    spot = Spot(table.shown_as, table.header_line)
    places = []
    for ours, theirs in names.items():
        wanted = "_".join(theirs.strip().lower().split())
        if ours not in COLUMNS:
            problems.add(
                Spot("--column"),
                f'"{ours}" is no column of a record',
                known("columns", ours, COLUMNS),
            )
        elif wanted not in table.header:
            problems.add(spot, f'has no column "{theirs}"', known("columns", wanted, table.header))
        else:
            places.append(table.header.index(wanted))
    if len(places) < len(names):
        return None
    width = max(places) + 1
    rows = [
        [row[place] for place in places] if len(row) >= width else row and [""] * len(places)
        for row in table.rows
    ]
    return replace(table, header=tuple(names), rows=rows)
