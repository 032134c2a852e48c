"""An hourly file: air temperatures of a logger or an airport nearby, in local standard time."""

from __future__ import annotations

from array import array
from dataclasses import dataclass
from datetime import datetime, timedelta
from math import nan
from pathlib import Path

from orchardcal.errors import Problems, Spot
from orchardcal.sites.csv_table import csv_table, number
from orchardcal.sites.record import COLDEST_C, HOTTEST_C, MISSING
from orchardcal.sites.repeats import Repeats
from orchardcal.sites.text_file import text_of
from orchardcal.sites.units import celsius

LIMIT_MB = 50
HEADER = "Its first row is: hour,air_c (or air_f); its hours are written 2026-01-31 14:00"
HOUR = timedelta(hours=1)


@dataclass(frozen=True)
class HourlyRecord:
    """air_c: one value an hour from first_hour on, nan where missing [°C]."""

    first_hour: datetime
    air_c: array[float]


def read_hourly(path: Path, problems: Problems, shown_as: str) -> HourlyRecord | None:
    """The hours in a file, or None after problems."""
    text = text_of(path, shown_as, problems, limit_mb=LIMIT_MB, instead=HEADER)
    table = csv_table(text, shown_as, problems) if text is not None else None
    if table is None:
        return None
    if sorted(table.header) not in (["air_c", "hour"], ["air_f", "hour"]):
        problems.add(
            Spot(shown_as, table.header_line),
            f"has the columns {', '.join(table.header)}",
            HEADER,
        )
        return None
    flaws = Repeats(shown_as, problems)
    in_f = "air_f" in table.header
    found: dict[datetime, float] = {}
    latest: datetime | None = None
    for spot, cells in table.records():
        hour = _hour(cells["hour"])
        text = cells["air_f" if in_f else "air_c"]
        value = nan if text in MISSING else number(text)
        if hour is None:
            flaws.add("hour", spot, f'hour is "{cells["hour"]}"', HEADER)
        elif value is None:
            flaws.add("number", spot, f'the temperature is "{text}"', "Write a plain number.")
        elif latest is not None and hour <= latest:
            flaws.add(
                "order",
                spot,
                f"{hour:%Y-%m-%d %H:%M} comes after {latest:%Y-%m-%d %H:%M}",
                "Sort the rows, one row an hour, in standard time all year.",
            )
        else:
            air_c = celsius(value) if in_f else value
            if air_c < COLDEST_C or air_c > HOTTEST_C:
                flaws.add(
                    "range",
                    spot,
                    f"{air_c:.1f} °C is beyond any seen on Earth",
                    "Leave the cell empty if it is unknown; is it °F? Then write air_f.",
                )
            found[hour], latest = air_c, hour
    flaws.tell_the_rest()
    if flaws.any or not found:
        if not found and not flaws.any:
            problems.add(Spot(shown_as), "holds no hour", HEADER)
        return None
    first = min(found)
    air = array("d", [nan]) * ((max(found) - first) // HOUR + 1)
    for hour, air_c in found.items():
        air[(hour - first) // HOUR] = air_c
    return HourlyRecord(first, air)


def _hour(text: str) -> datetime | None:
    """A whole hour without a time zone, or None."""
    try:
        hour = datetime.fromisoformat(text.replace("/", "-"))
    except ValueError:
        return None
    return hour if hour.tzinfo is None and hour == hour.replace(minute=0, second=0) else None
