"""A file with the days of many stations, such as a weather service gives out, as their records."""

from __future__ import annotations

import csv
import io
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from operator import itemgetter
from pathlib import Path

from orchardcal.errors import Problems, Spot, known
from orchardcal.sites.csv_table import CsvTable, csv_table, separator
from orchardcal.sites.record import COLUMNS, MISSING, DailyRecord, record_of
from orchardcal.sites.repeats import Repeats
from orchardcal.sites.text_file import text_of

LIMIT_MB = 400
ROWS_AT_ONCE = 50_000
SPLITTING = 0.6  # of the time goes into telling the stations' rows apart
STATION = "station"
FORM = (
    "Give a CSV with a row for each day of each station: station, day, low_c, high_c, rain_mm (or "
    "low_f, high_f, rain_in)."
)


@dataclass(frozen=True)
class ManyStations:
    """records: by the station's name, in their order. without: stations without a low or a high."""

    records: dict[str, DailyRecord]
    without: tuple[str, ...]


@dataclass(frozen=True)
class _Rows:
    rows: list[Sequence[str]] = field(default_factory=list)
    lines: list[int] = field(default_factory=list)


def records_of_stations(
    path: Path,
    shown_as: str,
    names: Mapping[str, str],
    problems: Problems,
    progress: Callable[[float], None] = lambda share: None,
) -> ManyStations | None:
    """The record of every station in a file, or None after problems.

    names: our column -> the file's ("station" -> "location"), for those it calls otherwise.
    Columns that are not ours are left aside. The rows of a station may stand anywhere, its days
    in order. progress: told now and then what share of the work is done.
    """
    text = text_of(path, shown_as, problems, limit_mb=LIMIT_MB, instead=FORM)
    if text is None:
        return None
    head_text = _head_text(text)
    head = csv_table(head_text, shown_as, problems)
    places = _places(head, names, problems) if head is not None else None
    if head is None or places is None:
        return None
    mark = separator(head_text.splitlines()[-1])
    rows = _rows(text, mark, lambda share: progress(share * SPLITTING))
    found = _by_station(rows, head, places, problems)
    del text, rows
    stations = len(found)
    records: dict[str, DailyRecord] = {}
    without = []
    for number, station in enumerate(sorted(found)):
        progress(SPLITTING + (1 - SPLITTING) * number / stations)
        own = found.pop(station)
        table = CsvTable(
            f"{shown_as}, {station}",
            tuple(name for name in places if name != STATION),
            head.header_line,
            own.rows,
            own.lines,
            mark != ",",
        )
        if not _has_temperatures(table):
            without.append(station)
        elif (record := record_of(table, problems)) is not None:
            records[station] = record
    return ManyStations(records, tuple(without))


def _head_text(text: str) -> str:
    """The first row, which names the columns, with the remarks before it."""
    end = 0
    while end < len(text):
        begin, end = end, text.find("\n", end) + 1 or len(text)
        if text[begin:end].strip() and text[begin] != "#":
            break
    return text[:end].rstrip("\n")


def _places(head: CsvTable, names: Mapping[str, str], problems: Problems) -> dict[str, int] | None:
    """Where each of our columns stands in a row."""
    ours = (STATION, *COLUMNS)
    spot = Spot(head.shown_as, head.header_line)
    good = True
    for name in names:
        if name not in ours:
            what = f'"{name}" is no column of a record'
            problems.add(Spot("--column"), what, known("columns", name, ours))
            good = False
    places = {}
    for name in ours:
        theirs = names.get(name, name)
        plain = "_".join(theirs.strip().lower().split())
        if plain in head.header:
            places[name] = head.header.index(plain)
        elif name in names:
            problems.add(spot, f'has no column "{theirs}"', known("columns", plain, head.header))
            good = False
        elif name in (STATION, "day"):
            problems.add(
                spot,
                f'has no column "{name}" among {", ".join(head.header)}',
                f"{FORM} Other names can be told: --column {name}=NAME.",
            )
            good = False
    return places if good else None


def _by_station(
    rows: Iterator[tuple[int, list[str]]],
    head: CsvTable,
    places: Mapping[str, int],
    problems: Problems,
) -> dict[str, _Rows]:
    """Each station's rows, of our columns alone."""
    flaws = Repeats(head.shown_as, problems)
    found: dict[str, _Rows] = {}
    station_at = places[STATION]
    of_record = itemgetter(*(place for name, place in places.items() if name != STATION))
    width, least = len(head.header), max(places.values()) + 1
    for line, row in rows:
        if line <= head.header_line:
            continue
        if len(row) != width:
            row += [""] * (least - len(row))
        station = row[station_at]
        of_station = found.get(station)
        if of_station is None or len(row) > width:
            if len(row) > width or not station.strip():
                _tell(Spot(head.shown_as, line), row, width, flaws)
                continue
            of_station = found[station] = _Rows()
        of_station.rows.append(of_record(row))
        of_station.lines.append(line)
    flaws.tell_the_rest()
    return found


def _tell(spot: Spot, row: Sequence[str], width: int, flaws: Repeats) -> None:
    """What is wrong with a row, unless it is blank."""
    if len(row) > width:
        what = f"has {len(row)} cells, but the first row names {width} columns"
        flaws.add("cells", spot, what, "Put text that holds the separator in quotation marks.")
    elif any(cell.strip() for cell in row):
        flaws.add("station", spot, "names no station", "Write its name, or take the row out.")


def _rows(
    text: str, mark: str, progress: Callable[[float], None]
) -> Iterator[tuple[int, list[str]]]:
    """Each row with the line it ends in; without quotation marks a row is a line."""
    if '"' not in text:
        lines = text.split("\n")
        for first in range(0, len(lines), ROWS_AT_ONCE):
            some = lines[first : first + ROWS_AT_ONCE]
            yield from enumerate((line.split(mark) for line in some), start=first + 1)
            progress((first + len(some)) / len(lines))
        return
    reader = csv.reader(io.StringIO(text), delimiter=mark)
    for row in reader:
        yield reader.line_num, row


def _has_temperatures(table: CsvTable) -> bool:
    at = [table.header.index(name) for name in table.header if name[:4] in ("low_", "high")]
    return all(any(row[place] not in MISSING for row in table.rows) for place in at)
