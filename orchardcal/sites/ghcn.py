"""Station files of GHCN-Daily, fixed width (.dly) and per-station CSV, as a daily record.

Source: NOAA NCEI, GHCN-Daily readme.txt, section III (format of .dly files): station 1-11,
year 12-15, month 16-17, element 18-21, then 31 times value (5), measurement, quality and source
flag; TMAX and TMIN in tenths of °C, PRCP in tenths of mm, -9999 missing, a quality flag that is
not blank means the value failed a check. The CSV form has the same values in columns, with the
flags in <element>_ATTRIBUTES as "measurement,quality,source".
"""

from __future__ import annotations

import calendar
import re
from array import array
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from math import nan

from orchardcal.errors import Problems, Spot
from orchardcal.sites.csv_table import CsvTable
from orchardcal.sites.record import COLDEST_C, HOTTEST_C, WETTEST_MM, DailyRecord
from orchardcal.sites.repeats import Repeats

ELEMENTS = ("TMIN", "TMAX", "PRCP")
MISSING = -9999
FLAGGED = "flagged by the station network's quality checks"
ABSENT = "written as -9999 (missing)"
CROSSED = "low above high"
BEYOND = "beyond any seen on Earth"
DLY_LINE = re.compile(r"[A-Z0-9_-]{11}\d{6}[A-Z0-9]{4}")
DLY_WIDTH = 21 + 31 * 8
WHOLE_UNITS_MAX = 130  # tenths of °C: a year never above 13 °C holds whole degrees, °C or °F


@dataclass(frozen=True)
class StationDays:
    """station: its id, "" if the file names none. left_out: cause and number of values."""

    record: DailyRecord
    station: str
    left_out: tuple[tuple[str, int], ...]


@dataclass(frozen=True)
class _Reading:
    line: int
    station: str
    day: date
    element: str
    tenths: int
    quality: str


def is_dly(text: str) -> bool:
    """Whether a text is a fixed-width station file, told by its first line."""
    return DLY_LINE.match(text) is not None


def days_of_dly(text: str, shown_as: str, problems: Problems) -> StationDays | None:
    """The record in a fixed-width station file, or None after problems."""
    flaws = Repeats(shown_as, problems)
    readings = list(_dly_readings(text, flaws))
    flaws.tell_the_rest()
    return None if flaws.any else _station_days(readings, shown_as, problems)


def is_station_csv(table: CsvTable) -> bool:
    return "date" in table.header and ("tmax" in table.header or "tmin" in table.header)


def days_of_station_csv(table: CsvTable, problems: Problems) -> StationDays | None:
    """The record in a per-station CSV (values in tenths), or None after problems."""
    flaws = Repeats(table.shown_as, problems)
    spot = Spot(table.shown_as, table.header_line)
    for wanted in ("tmin", "tmax"):
        if wanted not in table.header:
            problems.add(spot, f"has no column {wanted.upper()}", "Both TMIN and TMAX are needed.")
            return None
    readings = list(_csv_readings(table, flaws))
    flaws.tell_the_rest()
    if flaws.any:
        return None
    highs = [one.tenths for one in readings if one.element == "TMAX" and one.tenths != MISSING]
    if len(highs) >= 300 and max(highs) <= WHOLE_UNITS_MAX:
        problems.add(
            spot,
            f"TMAX is never above {max(highs)} in {len(highs)} days; in tenths of °C that is "
            f"{max(highs) / 10:g} °C",
            "If these are whole degrees, call the columns day, low_f, high_f, rain_in (or low_c, "
            "high_c, rain_mm) and leave the others out.",
        )
        return None
    return _station_days(readings, table.shown_as, problems)


def _dly_readings(text: str, flaws: Repeats) -> Iterator[_Reading]:
    for line_number, line in enumerate(text.split("\n"), start=1):
        if not line.strip():
            continue
        spot = Spot(flaws.shown_as, line_number)
        if not DLY_LINE.match(line) or not 1 <= int(line[15:17]) <= 12 or line[11:15] == "0000":
            flaws.add(
                "line",
                spot,
                f'begins with "{line[:21]}", no station, month and element',
                "Fetch the station's .dly file again; its lines must not be changed.",
            )
            continue
        station, element = line[:11], line[17:21]
        if element not in ELEMENTS:
            continue
        year, month = int(line[11:15]), int(line[15:17])
        padded = line.ljust(DLY_WIDTH)
        for day in range(1, calendar.monthrange(year, month)[1] + 1):
            at = 21 + (day - 1) * 8
            value = padded[at : at + 5].strip()
            if not re.fullmatch(r"-?\d+", value):
                flaws.add(
                    "value",
                    spot,
                    f'{element} of day {day} is "{value}"',
                    "Fetch the file again; each value takes five places.",
                )
                continue
            when = date(year, month, day)
            yield _Reading(line_number, station, when, element, int(value), padded[at + 6].strip())


def _csv_readings(table: CsvTable, flaws: Repeats) -> Iterator[_Reading]:
    for spot, cells in table.records():
        try:
            day = date.fromisoformat(cells["date"])
        except ValueError:
            flaws.add("day", spot, f'DATE is "{cells["date"]}"', "Write days as 2026-01-31.")
            continue
        for element in ELEMENTS:
            value = cells.get(element.lower(), "")
            if not value:
                continue
            if not re.fullmatch(r"-?\d+", value):
                flaws.add(
                    "tenths",
                    spot,
                    f'{element} is "{value}", not a whole number of tenths',
                    "If these are degrees, call the columns day, low_c, high_c, rain_mm (or "
                    "low_f, high_f, rain_in) and leave the others out.",
                )
                continue
            flags = cells.get(f"{element.lower()}_attributes", "").split(",")
            quality = flags[1].strip() if len(flags) > 1 else ""
            station = cells.get("station", "")
            yield _Reading(spot.line or 0, station, day, element, int(value), quality)


def _station_days(
    readings: list[_Reading], shown_as: str, problems: Problems
) -> StationDays | None:
    stations = sorted({one.station for one in readings})
    if len(stations) > 1:
        problems.add(
            Spot(shown_as),
            f"holds {len(stations)} stations: {', '.join(stations[:5])}",
            "Give a file with one station.",
        )
        return None
    left_out: Counter[str] = Counter()
    values: dict[str, dict[date, float]] = {element: {} for element in ELEMENTS}
    flaws = Repeats(shown_as, problems)
    for one in readings:
        value = one.tenths / 10
        low, high = (0.0, WETTEST_MM) if one.element == "PRCP" else (COLDEST_C, HOTTEST_C)
        if one.tenths == MISSING:
            left_out[ABSENT] += 1
        elif one.quality:
            left_out[FLAGGED] += 1
        elif not low <= value <= high:
            left_out[BEYOND] += 1
        elif values[one.element].get(one.day, value) != value:
            flaws.add(
                "twice",
                Spot(shown_as, one.line),
                f"{one.element} of {one.day} stands twice, with different values",
                "Keep one of them.",
            )
        else:
            values[one.element][one.day] = value
    flaws.tell_the_rest()
    lows, highs, rain = (values[element] for element in ELEMENTS)
    for day in sorted(lows.keys() & highs.keys()):
        if lows[day] > highs[day]:
            left_out[CROSSED] += 2
            del lows[day], highs[day]
    if flaws.any:
        return None
    if not lows or not highs:
        missing = " or ".join(
            name for name, found in (("TMIN", lows), ("TMAX", highs)) if not found
        )
        problems.add(
            Spot(shown_as), f"holds no usable {missing}", "Choose a station that has both."
        )
        return None
    first, last = (pick(lows.keys() | highs.keys() | rain.keys()) for pick in (min, max))
    span = range(first.toordinal(), last.toordinal() + 1)
    columns = [
        array("d", [found.get(date.fromordinal(ordinal), nan) for ordinal in span])
        for found in (lows, highs, rain)
    ]
    record = DailyRecord(first, columns[0], columns[1], columns[2], bool(rain))
    return StationDays(record, stations[0], tuple(sorted(left_out.items())))
