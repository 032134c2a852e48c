"""Two records of one place made one: what is added, where they disagree, and as text."""

from __future__ import annotations

from array import array
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta
from functools import lru_cache
from math import nan

from orchardcal.season import Span
from orchardcal.sites.record import DailyRecord

ROUNDING = 0.051  # °C or mm: two records of one value may each be rounded to a tenth


@dataclass(frozen=True)
class Disagreement:
    """One value that differs: the column's name, what the record has, what the file has."""

    day: date
    column: str
    had: float
    found: float


@dataclass(frozen=True)
class Joined:
    """record: both together; where both have a value, the older record's stands.

    added_days: days of which nothing was known before. filled: single values that were missing.
    disagreements: in order of day.
    """

    record: DailyRecord
    added_days: int
    filled: int
    disagreements: tuple[Disagreement, ...]


def joined(old: DailyRecord | None, new: DailyRecord) -> Joined:
    """The old record with the new one's days and values added."""
    if old is None:
        return Joined(new, sum(not missing for missing in _blank(new)), 0, ())
    first = min(old.first_day, new.first_day)
    length = (max(old.last_day, new.last_day) - first).days + 1
    added: set[date] = set()
    filled, disagreements = 0, []
    old_blank = list(_blank(old))
    columns = []
    for name in ("low_c", "high_c", "rain_mm"):
        values = array("d", [nan]) * length
        at = (old.first_day - first).days
        values[at : at + len(old.low_c)] = getattr(old, name)
        at = (new.first_day - first).days
        for offset, value in enumerate(getattr(new, name)):
            had = values[at + offset]
            if value != value:
                continue
            day = new.first_day + timedelta(days=offset)
            before = (day - old.first_day).days
            if had != had:
                values[at + offset] = value
                if 0 <= before < len(old_blank) and not old_blank[before]:
                    filled += 1
                else:
                    added.add(day)
            elif abs(had - value) > ROUNDING:
                disagreements.append(Disagreement(day, name, had, value))
        columns.append(values)
    record = DailyRecord(first, columns[0], columns[1], columns[2], old.has_rain or new.has_rain)
    order = sorted(disagreements, key=lambda one: (one.day, one.column))
    return Joined(record, len(added), filled, tuple(order))


def gaps(record: DailyRecord) -> tuple[Span, ...]:
    """Stretches of days without a low or without a high."""
    found: list[Span] = []
    for offset, (low, high) in enumerate(zip(record.low_c, record.high_c, strict=True)):
        if low == low and high == high:
            continue
        day = record.first_day + timedelta(days=offset)
        if found and found[-1].last == day - timedelta(days=1):
            found[-1] = Span(found[-1].first, day)
        else:
            found.append(Span(day, day))
    return tuple(found)


def record_text(record: DailyRecord) -> str:
    """The record as CSV in °C and mm, two decimals at most; days without any value are left out."""
    known = (record.low_c, record.high_c, *([record.rain_mm] if record.has_rain else []))
    columns = [[_cell(value) if value == value else "" for value in values] for values in known]
    first = record.first_day.toordinal()
    lines = ["day,low_c,high_c,rain_mm" if record.has_rain else "day,low_c,high_c"]
    for ordinal, cells in enumerate(zip(*columns, strict=True), start=first):
        if any(cells):
            lines.append(f"{_iso_day(ordinal)},{','.join(cells)}")
    return "\n".join(lines) + "\n"


def _blank(record: DailyRecord) -> Iterator[bool]:
    for low, high, rain in zip(record.low_c, record.high_c, record.rain_mm, strict=True):
        yield low != low and high != high and rain != rain


@lru_cache(maxsize=4096)  # a station's tenths of a degree are the same few hundred
def _cell(value: float) -> str:
    text = f"{value:.2f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


@lru_cache(maxsize=65536)  # the stations of a country have the same days
def _iso_day(ordinal: int) -> str:
    return date.fromordinal(ordinal).isoformat()
