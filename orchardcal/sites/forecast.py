"""A weather forecast of the coming days, if one lies in the site's folder."""

from __future__ import annotations

from array import array
from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, timedelta
from math import nan
from pathlib import Path

from orchardcal.errors import Problems, Spot, known
from orchardcal.sites.csv_table import CsvTable, csv_table, number
from orchardcal.sites.record import COLDEST_C, HOTTEST_C, MISSING
from orchardcal.sites.text_file import text_of
from orchardcal.sites.units import MM_PER_INCH, celsius

FORECAST_FILE = "forecast.csv"
LIMIT_MB = 1
MOST_DAYS = 16
HEADER = (
    "Its first row is: day,low_c,high_c,rain_mm,wind_ms (or low_f, high_f, rain_in, wind_mph,"
    " wind_kmh; rain and wind may be left out)"
)
# Column -> the quantity it gives and how it becomes °C, mm or m/s.
COLUMNS: dict[str, tuple[str, Callable[[float], float]]] = {
    "low_c": ("low", lambda value: value),
    "low_f": ("low", celsius),
    "high_c": ("high", lambda value: value),
    "high_f": ("high", celsius),
    "rain_mm": ("rain", lambda value: value),
    "rain_in": ("rain", lambda value: value * MM_PER_INCH),
    "wind_ms": ("wind", lambda value: value),
    "wind_mph": ("wind", lambda value: value * 0.44704),  # NIST SP 811, exact
    "wind_kmh": ("wind", lambda value: value / 3.6),
}


@dataclass(frozen=True)
class Forecast:
    """Daily values from first_day on, nan where missing [°C, mm, m/s]; no day is skipped."""

    first_day: date
    low_c: array[float]
    high_c: array[float]
    rain_mm: array[float]
    wind_ms: array[float]

    @property
    def last_day(self) -> date:
        return self.first_day + timedelta(days=len(self.low_c) - 1)


def read_forecast(path: Path, problems: Problems, shown_as: str) -> Forecast | None:
    """The forecast in a file, or None after problems."""
    text = text_of(path, shown_as, problems, limit_mb=LIMIT_MB, instead=HEADER)
    table = csv_table(text, shown_as, problems) if text is not None else None
    if table is None or not _columns_fit(table, problems):
        return None
    before = len(problems.found)
    days: list[date] = []
    values: dict[str, array[float]] = {name: array("d") for name in ("low", "high", "rain", "wind")}
    for spot, cells in table.records():
        day = _day(cells["day"], days, spot, problems)
        row = dict.fromkeys(values, nan)
        for column, (quantity, convert) in COLUMNS.items():
            text = cells.get(column, "")
            if text in MISSING:
                continue
            value = number(text)
            if value is None:
                problems.add(spot, f'{column} is "{text}"', "Write a plain number.")
            else:
                row[quantity] = convert(value)
        _check(row, spot, problems)
        if day is not None:
            days.append(day)
            for name in values:
                values[name].append(row[name])
    if len(days) > MOST_DAYS:
        what = f"has {len(days)} days"
        problems.add(Spot(shown_as), what, f"Keep the first {MOST_DAYS}: no forecast holds longer.")
    if len(problems.found) > before or not days:
        if not days and len(problems.found) == before:
            problems.add(Spot(shown_as), "holds no day", HEADER)
        return None
    return Forecast(days[0], values["low"], values["high"], values["rain"], values["wind"])


def _columns_fit(table: CsvTable, problems: Problems) -> bool:
    spot = Spot(table.shown_as, table.header_line)
    good = True
    for name in table.header:
        if name != "day" and name not in COLUMNS:
            what = f'has the unknown column "{name}"'
            problems.add(spot, what, known("columns", name, ("day", *COLUMNS)))
            good = False
    quantities = [COLUMNS[name][0] for name in table.header if name in COLUMNS]
    for quantity in sorted(set(quantities)):
        if quantities.count(quantity) > 1:
            problems.add(spot, f"gives the {quantity} in two units", "Keep one column of them.")
            good = False
    if "day" not in table.header or not {"low", "high"} <= set(quantities):
        problems.add(spot, f"has the columns {', '.join(table.header)}", HEADER)
        good = False
    return good


def _day(text: str, before: list[date], spot: Spot, problems: Problems) -> date | None:
    try:
        day = date.fromisoformat(text)
    except ValueError:
        problems.add(spot, f'day is "{text}"', "Write it as 2027-01-31.")
        return None
    if before and day != before[-1] + timedelta(days=1):
        problems.add(
            spot,
            f"{day} does not follow {before[-1]}",
            "A forecast has one row for each day, in order.",
        )
        return None
    return day


def _check(row: dict[str, float], spot: Spot, problems: Problems) -> None:
    low, high = row["low"], row["high"]
    if low > high:
        problems.add(
            spot, f"has its low {low:.1f} °C above its high {high:.1f} °C", "Swap the two."
        )
    for value in (low, high):
        if value < COLDEST_C or value > HOTTEST_C:
            problems.add(
                spot,
                f"{value:.1f} °C is beyond any seen on Earth",
                "Is it °F? Write low_f, high_f.",
            )
    if row["rain"] < 0 or row["wind"] < 0:
        problems.add(spot, "has rain or wind below zero", "Leave the cell empty if it is unknown.")
