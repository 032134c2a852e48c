"""Days people asked for, as the day subscribers last saw: the planner stays near that day."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from datetime import date

from orchardcal.journal.entries import MOVED, Entry
from orchardcal.journal.published import Published
from orchardcal.journal.saying import current


def part_key(slot: str) -> str:
    """Which round of its care a slot is, as a moved entry names it.

    >>> part_key("whitewash_painting/after dormant pruning"), part_key("dormant_pruning")
    ('after_dormant_pruning', '')
    """
    return slot.partition("/")[2].replace(" ", "_")


def with_asked_days(
    rows: Sequence[Published], entries: Iterable[Entry], as_of: date
) -> list[Published]:
    """The published rows, those somebody moved standing on the day asked for last.

    Only for the planner: subscribers are told of a change by what they really saw. A day before
    the as-of day asks for nothing any more.
    """
    asked = [one for one in current(entries) if one.kind == MOVED and one.until is not None]
    found = []
    for row in rows:
        fitting = [one for one in asked if row.live and _is_about(one, row)]
        day = fitting[-1].until if fitting else None
        if day is not None and day >= as_of:
            row = replace(row, first=day, last=day)
        found.append(row)
    return found


def _is_about(entry: Entry, row: Published) -> bool:
    care = row.care.partition("/")[0]
    same = (entry.site, entry.care, entry.season) == (row.site, care, row.season)
    shared = not entry.plantings or bool(set(entry.plantings) & set(row.plantings))
    return same and shared and entry.seen == part_key(row.care) and row.first == row.last
