"""One row of a journal file -> an entry, or what is wrong with the row."""

from __future__ import annotations

import re
from collections.abc import Mapping
from datetime import UTC, date, datetime

from orchardcal.care import TITLES
from orchardcal.errors import Problems, Spot, known
from orchardcal.journal.entries import (
    DEFERRED,
    DONE,
    KINDS,
    MOVED,
    NOTED,
    SEEN,
    SKIPPED,
    UNDONE,
    Entry,
    answer_or_pest_named,
    care_named,
    plain,
)

_DOTTED_DAY = re.compile(r"(\d{1,2})\.(\d{1,2})\.(\d{4})")


def entry_of_row(row: Mapping[str, str], spot: Spot, problems: Problems) -> Entry | None:
    """The entry of a row (field name -> cell), its id empty if the row has none.

    A row without a recorded instant counts as recorded at noon UTC of its day.
    """
    before = len(problems.found)
    cells = {name: cell if name == "note" else cell.strip() for name, cell in row.items()}
    kind = plain(cells.get("kind", ""))
    if kind not in KINDS:
        problems.add(
            spot, f'kind "{cells.get("kind", "")}" is unknown', known("kinds", kind, KINDS)
        )
    site = cells.get("site", "")
    if not site:
        problems.add(spot, "the row names no site", "Write the name of the site's folder.")
    day = _day(cells, "day", spot, problems)
    if not cells.get("day"):
        problems.add(spot, "the row has no day", "Write it as 2026-12-01.")
    entry = Entry(
        recorded=_recorded(cells, day, spot, problems),
        id=cells.get("id", ""),
        kind=kind,
        site=site,
        day=day or date.min,
        care=_care(cells, kind, spot, problems),
        plantings=tuple(p for p in map(str.strip, cells.get("plantings", "").split(";")) if p),
        season=_number(cells, "season", spot, problems) or 0,
        by=cells.get("by", ""),
        minutes=_number(cells, "minutes", spot, problems),
        trees=_number(cells, "trees", spot, problems),
        until=_day(cells, "until", spot, problems),
        seen=_seen(cells, kind, spot, problems),
        note=cells.get("note", ""),
        undoes=cells.get("undoes", ""),
        cut=cells.get("cut", ""),
    )
    _check_whole(entry, spot, problems)
    return entry if len(problems.found) == before else None


def _check_whole(entry: Entry, spot: Spot, problems: Problems) -> None:
    """What a kind of entry cannot do without."""
    if entry.kind == SKIPPED and not entry.note.strip():
        problems.add(spot, "skipped without a reason", "Say why in the note.")
    if entry.kind == UNDONE and not entry.undoes:
        problems.add(spot, "undone, but not what", "Write the id of that entry under undoes.")
    if entry.kind == NOTED and not entry.note.strip():
        problems.add(spot, "noted, but not what", "Write it in the note.")
    if entry.kind == MOVED and entry.until is None:
        problems.add(spot, "moved, but not where to", "Write under until which day is asked for.")
    if entry.kind == DEFERRED:
        if not entry.plantings:
            problems.add(spot, "a cut put off at no tree", "Write the tree's id under plantings.")
        if entry.until is None:
            problems.add(
                spot, "a cut put off without a day", "Write under until when to look again."
            )
        elif entry.until <= entry.day:
            problems.add(
                spot,
                f"put off on {entry.day} until {entry.until}, which is not later",
                "Write a later day under until.",
            )


def _care(cells: Mapping[str, str], kind: str, spot: Spot, problems: Problems) -> str:
    written = cells.get("care", "")
    care = care_named(written) or ""
    if written and not care:
        problems.add(
            spot, f'care "{written}" is unknown', known("cares", plain(written), _titles())
        )
    if not written and kind in (DONE, SKIPPED, DEFERRED, MOVED):
        problems.add(spot, f"{kind}, but no care is named", known("cares", "", _titles()))
    return care


def _titles() -> list[str]:
    return [plain(title) for title in TITLES.values()]


def _seen(cells: Mapping[str, str], kind: str, spot: Spot, problems: Problems) -> str:
    written = cells.get("seen", "")
    if kind == SEEN and not written:
        problems.add(
            spot,
            "seen, but not what",
            'Write under seen: dormant, nearly, growing, "not sure", a bud stage, scale,'
            ' "mite eggs", "aphid eggs" or "no pests".',
        )
    return answer_or_pest_named(written) or plain(written).replace(" ", "_")


def _recorded(cells: Mapping[str, str], day: date | None, spot: Spot, problems: Problems) -> str:
    written = cells.get("recorded", "")
    if not written:
        return f"{day}T12:00:00Z"
    try:
        instant = datetime.fromisoformat(written)
    except ValueError:
        instant = None
    if instant is None or instant.tzinfo is None:
        problems.add(
            spot,
            f'"{written}" under recorded is no instant',
            "Write it as 2026-12-01T09:30:00Z, or leave it empty.",
        )
        return ""
    return instant.astimezone(UTC).strftime("%Y-%m-%dT%H:%M:%SZ")


def _day(cells: Mapping[str, str], name: str, spot: Spot, problems: Problems) -> date | None:
    """A day as 2026-12-01, or with dots as European spreadsheets write it, day first."""
    written = cells.get(name, "")
    if not written:
        return None
    dotted = _DOTTED_DAY.fullmatch(written)
    try:
        if dotted:
            return date(int(dotted[3]), int(dotted[2]), int(dotted[1]))
        return date.fromisoformat(written)
    except ValueError:
        problems.add(spot, f'"{written}" under {name} is no day', "Write it as 2026-12-01.")
        return None


def _number(cells: Mapping[str, str], name: str, spot: Spot, problems: Problems) -> int | None:
    written = cells.get(name, "")
    if not written:
        return None
    if not (written.isascii() and written.isdigit() and len(written) <= 6):
        problems.add(spot, f'"{written}" under {name} is no whole number', "Write it as 40.")
        return None
    return int(written)
