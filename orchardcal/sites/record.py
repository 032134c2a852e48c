"""A site's daily record of lows, highs and rain, read from CSV with every problem in it."""

from __future__ import annotations

from array import array
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import pairwise
from math import nan
from operator import gt, lt
from pathlib import Path

from orchardcal.errors import Problems, Spot, known
from orchardcal.sites.csv_table import CsvTable, csv_table, number
from orchardcal.sites.repeats import Repeats
from orchardcal.sites.text_file import text_of
from orchardcal.sites.units import MM_PER_INCH, celsius

LIMIT_MB = 20
HEADER = (
    "Its first row is: day,low_c,high_c,rain_mm (or low_f, high_f, rain_in; rain may be left out)"
)
COLUMNS = ("day", "low_c", "high_c", "low_f", "high_f", "rain_mm", "rain_in")
MISSING = ("", "NA", "nan", "NaN")
# World records, rounded outward. Source: WMO World Weather and Climate Extremes Archive: 56.7 °C
# (Furnace Creek 1913), -89.2 °C (Vostok 1983), 1825 mm in 24 h (Foc-Foc 1966); from memory.
COLDEST_C, HOTTEST_C, WETTEST_MM = -90.0, 57.0, 1830.0
TOO_HOT_C = 50.0  # highs above it on one day in a hundred are no °C
MILD_F = 50.0  # a year never above it in °F has no orchard


@dataclass(frozen=True)
class DailyRecord:
    """Daily values from first_day on, one place a day, nan where missing.

    low_c, high_c [°C], rain_mm [mm]: of one length. has_rain: is rain known at all?
    """

    first_day: date
    low_c: array[float]
    high_c: array[float]
    rain_mm: array[float]
    has_rain: bool

    @property
    def last_day(self) -> date:
        return self.first_day + timedelta(days=len(self.low_c) - 1)


@dataclass(frozen=True)
class _Column:
    """Where a quantity stands in a row, its name, and how it becomes °C or mm."""

    place: int
    name: str
    inside: Callable[[float], float] | None  # None where it is °C or mm already


def read_record(path: Path, problems: Problems, shown_as: str) -> DailyRecord | None:
    """The record in a file, or None after problems."""
    text = text_of(path, shown_as, problems, limit_mb=LIMIT_MB, instead=HEADER)
    table = csv_table(text, shown_as, problems) if text is not None else None
    return record_of(table, problems) if table is not None else None


def record_of(table: CsvTable, problems: Problems) -> DailyRecord | None:
    """The record in a table, or None after problems: unordered days, a low above its high, …"""
    columns = _columns(table, problems)
    if columns is None:
        return None
    day, low, high, rain = columns
    return _at_once(table, day, low, high, rain) or _row_by_row(
        table, day, low, high, rain, problems
    )


def _columns(
    table: CsvTable, problems: Problems
) -> tuple[int, _Column, _Column, _Column | None] | None:
    spot = Spot(table.shown_as, table.header_line)
    good = True
    for name in table.header:
        if name not in COLUMNS:
            problems.add(spot, f'has the unknown column "{name}"', known("columns", name, COLUMNS))
            good = False
    found: dict[str, _Column] = {}
    for quantity, inside, other, convert in (
        ("low", "low_c", "low_f", celsius),
        ("high", "high_c", "high_f", celsius),
        ("rain", "rain_mm", "rain_in", _millimetres),
    ):
        here = [name for name in (inside, other) if name in table.header]
        if len(here) == 2:
            problems.add(spot, f"has both {inside} and {other}", "Keep one of them.")
            good = False
        if here:
            place = table.header.index(here[0])
            found[quantity] = _Column(place, here[0], None if here[0] == inside else convert)
    for wanted, there in (
        ("day", "day" in table.header),
        ("low_c", "low" in found),
        ("high_c", "high" in found),
    ):
        if not there:
            problems.add(spot, f'has no column "{wanted}"', HEADER)
            good = False
    if not good:
        return None
    return table.header.index("day"), found["low"], found["high"], found.get("rain")


def _millimetres(inches: float) -> float:
    return inches * MM_PER_INCH


def _at_once(
    table: CsvTable, day: int, low: _Column, high: _Column, rain: _Column | None
) -> DailyRecord | None:
    """The record of a table without any flaw, a column at a time; None if there may be one.

    Thirty years come in a few thousandths of a second this way; row by row takes ten times that.
    """
    rows = table.rows
    while rows and not rows[-1]:
        rows = rows[:-1]
    try:
        cells = list(zip(*rows, strict=True))
        ordinals = [date.fromisoformat(text).toordinal() for text in cells[day]]
        low_c = _values(cells[low.place], low, table.decimal_comma)
        high_c = _values(cells[high.place], high, table.decimal_comma)
        rain_mm = _values(cells[rain.place], rain, table.decimal_comma) if rain else None
    except (ValueError, IndexError):
        return None
    if (
        not all(map(lt, ordinals, ordinals[1:]))
        or any(map(gt, low_c, high_c))
        or not _within(low_c, COLDEST_C, HOTTEST_C)
        or not _within(high_c, COLDEST_C, HOTTEST_C)
        or (rain_mm is not None and not _within(rain_mm, 0.0, WETTEST_MM))
        or _unit_problem(low_c, high_c, high) is not None
    ):
        return None
    return _record(ordinals, low_c, high_c, rain_mm)


def _values(cells: Sequence[str], column: _Column, decimal_comma: bool) -> array[float]:
    if decimal_comma:
        cells = [cell.replace(",", ".") for cell in cells]
    values = array("d", [float(cell) if cell else nan for cell in cells])
    if column.inside is not None:
        values = array("d", map(column.inside, values))
    return values


def _within(values: Sequence[float], low: float, high: float) -> bool:
    known = [value for value in values if value == value]
    return not known or (low <= min(known) and max(known) <= high)


def _record(
    ordinals: Sequence[int],
    low_c: array[float],
    high_c: array[float],
    rain_mm: array[float] | None,
) -> DailyRecord | None:
    """A record with a place for every day; None without a single temperature."""
    if not any(value == value for value in low_c) or not any(value == value for value in high_c):
        return None
    length = ordinals[-1] - ordinals[0] + 1
    rain = rain_mm if rain_mm is not None else array("d", [nan]) * len(ordinals)
    columns = (low_c, high_c, rain)
    if length != len(ordinals):
        runs = _runs(ordinals)
        low_c, high_c, rain = (_in_place(column, runs, length) for column in columns)
        columns = (low_c, high_c, rain)
    has_rain = rain_mm is not None and any(value == value for value in rain_mm)
    return DailyRecord(date.fromordinal(ordinals[0]), *columns, has_rain)


def _runs(ordinals: Sequence[int]) -> list[tuple[slice, slice]]:
    """Stretches of days without a gap: where each stands in the rows, and in the record."""
    ahead = range(1, len(ordinals))
    starts = [0, *(at for at in ahead if ordinals[at] != ordinals[at - 1] + 1), len(ordinals)]
    return [
        (slice(begin, end), slice(ordinals[begin] - first, ordinals[end - 1] + 1 - first))
        for first in ordinals[:1]
        for begin, end in pairwise(starts)
    ]


def _in_place(
    given: array[float], runs: Sequence[tuple[slice, slice]], length: int
) -> array[float]:
    """A column with a place for every day, nan where no row is."""
    whole = array("d", [nan]) * length
    for rows, days in runs:
        whole[days] = given[rows]
    return whole


def _unit_problem(
    low_c: Sequence[float], high_c: Sequence[float], high: _Column
) -> tuple[str, str] | None:
    """°F in a °C column or the other way about, told by what no orchard's highs can be."""
    highs = [value for value in high_c if value == value]
    hot = sum(value > TOO_HOT_C for value in highs)
    if high.inside is None and hot >= 5 and hot * 100 >= len(highs):
        return (
            f"{high.name} is above 50 °C on {hot} of {len(highs)} days: is this °F?",
            "If so, call the columns low_f and high_f; the numbers stay as they are.",
        )
    if high.inside is not None and len(highs) >= 300 and max(highs) <= celsius(MILD_F):
        return (
            f"{high.name} is never above 50 °F in {len(highs)} days: is this °C?",
            "If so, call the columns low_c and high_c; the numbers stay as they are.",
        )
    return None


def _row_by_row(
    table: CsvTable,
    day: int,
    low: _Column,
    high: _Column,
    rain: _Column | None,
    problems: Problems,
) -> DailyRecord | None:
    """The record, or every flaw of it by its line."""
    flaws = Repeats(table.shown_as, problems)
    ordinals: list[int] = []
    columns: dict[str, array[float]] = {name: array("d") for name in ("low", "high", "rain")}
    lines: list[int | None] = []
    day_name = table.header[day]
    for spot, cells in table.records():
        when = _day(cells[day_name], spot, flaws)
        values = {
            name: nan if column is None else _value(cells[column.name], column, spot, flaws)
            for name, column in (("low", low), ("high", high), ("rain", rain))
        }
        if when is not None:
            ordinals.append(when.toordinal())
            lines.append(spot.line)
            for name, value in values.items():
                columns[name].append(value)
    unit = _unit_problem(columns["low"], columns["high"], high)
    if unit is not None:
        problems.add(Spot(table.shown_as, table.header_line), *unit)
    else:
        _check_values(ordinals, columns, lines, flaws)
    _check_order(ordinals, lines, flaws)
    flaws.tell_the_rest()
    if flaws.any or unit is not None:
        return None
    kept_rain = columns["rain"] if rain is not None else None
    record = _record(ordinals, columns["low"], columns["high"], kept_rain) if ordinals else None
    if record is None:
        problems.add(Spot(table.shown_as), "holds no day with a low and a high", HEADER)
    return record


def _day(text: str, spot: Spot, flaws: Repeats) -> date | None:
    try:
        return date.fromisoformat(text.replace("/", "-") if text[:4].isdigit() else text)
    except ValueError:
        flaws.add(
            "day",
            spot,
            f'day is "{text}"',
            "Write days as 2026-01-31; in a spreadsheet, set the column's format to that.",
        )
        return None


def _value(text: str, column: _Column, spot: Spot, flaws: Repeats) -> float:
    if text in MISSING:
        return nan
    value = number(text)
    if value is None:
        flaws.add(
            column.name,
            spot,
            f'{column.name} is "{text}"',
            "Write a number without its unit; leave the cell empty if it is unknown.",
        )
        return nan
    return column.inside(value) if column.inside is not None else value


def _check_values(
    ordinals: Sequence[int],
    columns: dict[str, array[float]],
    lines: Sequence[int | None],
    flaws: Repeats,
) -> None:
    for place, line in enumerate(lines):
        spot, when = Spot(flaws.shown_as, line), date.fromordinal(ordinals[place])
        low, high, rain = (columns[name][place] for name in ("low", "high", "rain"))
        for name, value in (("low", low), ("high", high)):
            if value < COLDEST_C or value > HOTTEST_C:
                flaws.add(
                    f"{name} range",
                    spot,
                    f"{when} has a {name} of {value:.1f} °C, beyond any seen on Earth",
                    "Leave the cell empty if it is unknown (no -9999 or 999).",
                )
        if rain < 0 or rain > WETTEST_MM:
            flaws.add(
                "rain range",
                spot,
                f"{when} has {rain:.1f} mm of rain",
                "Leave the cell empty if it is unknown; a trace of rain is 0.",
            )
        if low > high:
            flaws.add(
                "low above high",
                spot,
                f"{when} has its low {low:.1f} °C above its high {high:.1f} °C",
                "Exchange them if the columns were; leave both empty if they are unknown.",
            )


def _check_order(ordinals: Sequence[int], lines: Sequence[int | None], flaws: Repeats) -> None:
    first_line: dict[int, int | None] = {}
    latest = 0
    for ordinal, line in zip(ordinals, lines, strict=True):
        when, spot = date.fromordinal(ordinal), Spot(flaws.shown_as, line)
        if ordinal in first_line:
            flaws.add(
                "twice",
                spot,
                f"{when} stands in line {first_line[ordinal]} already",
                "Keep one row for each day.",
            )
        elif ordinal < latest:
            flaws.add(
                "order",
                spot,
                f"{when} comes after {date.fromordinal(latest)}",
                "Sort the rows by day, the earliest first.",
            )
        first_line.setdefault(ordinal, line)
        latest = max(latest, ordinal)
