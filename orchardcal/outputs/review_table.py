"""What was planned beside what happened: planned day, done day, odds then, weather that came."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping

from orchardcal.care import TITLES
from orchardcal.journal.published import CANCELLED, DONE, WINDOW, Published
from orchardcal.outputs.listing import table
from orchardcal.outputs.speech import Speech
from orchardcal.sentence import Celsius, Rain
from orchardcal.sites.record import DailyRecord

HEADINGS = ("Care", "Trees", "Planned", "Done", "Late", "Suited then", "Weather that came")


def review_table(
    rows: Iterable[Published], records: Mapping[str, DailyRecord], speech: Speech
) -> str:
    """A table per site of its published jobs of a season; "" if there are none.

    records: daily records by site key, for the weather of the day the work was done.
    """
    by_site: dict[str, list[Published]] = {}
    for row in rows:
        if row.status not in (WINDOW, CANCELLED) and row.planned is not None:
            by_site.setdefault(row.site, []).append(row)
    parts = []
    for site, own in sorted(by_site.items()):
        own.sort(key=lambda row: (row.planned or row.first, row.care, row.uid))
        cells = [_cells(row, records.get(site), speech) for row in own]
        done = sum(row.status == DONE for row in own)
        head = f"{site}: {done} of {len(own)} jobs ticked off"
        parts.append("\n".join([head, *table([HEADINGS, *cells])]))
    return "\n\n".join(parts) + ("\n" if parts else "")


def _cells(row: Published, record: DailyRecord | None, speech: Speech) -> tuple[str, ...]:
    planned = row.missed or row.planned or row.first
    done = row.status == DONE
    return (
        TITLES[row.care.partition("/")[0]],
        ", ".join(row.plantings),
        speech.day(planned),
        speech.day(row.first) if done else "not ticked off",
        f"{(row.first - planned).days} d" if done else "",
        "" if row.odds is None else f"{round(10 * row.odds)} of 10",
        _weather(row, record, speech) if done else "",
    )


def _weather(row: Published, record: DailyRecord | None, speech: Speech) -> str:
    """Low, high and rain of the day, as far as the record knows them."""
    if record is None or not record.first_day <= row.first <= record.last_day:
        return "not in the record"
    at = (row.first - record.first_day).days
    low_c, high_c, rain_mm = record.low_c[at], record.high_c[at], record.rain_mm[at]
    if math.isnan(low_c) or math.isnan(high_c):
        return "not in the record"
    said = f"{speech.value(Celsius(low_c))} to {speech.value(Celsius(high_c))}"
    return said if math.isnan(rain_mm) else f"{said}, {speech.value(Rain(rain_mm))}"
