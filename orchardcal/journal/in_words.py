"""An entry of the journal in one line of plain words, for the terminal."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from unicodedata import category

from orchardcal.care import TITLES
from orchardcal.journal.entries import (
    DEFERRED,
    DONE,
    DORMANCY_ANSWERS,
    MOVED,
    NOTED,
    PESTS,
    SKIPPED,
    UNDONE,
    Entry,
    plain,
)

NAMED_TREES = 6  # more than so many are counted, not named


def day_in_words(day: date) -> str:
    """
    >>> day_in_words(date(2027, 1, 9))
    '9 Jan 2027'
    """
    return f"{day.day} {day:%b %Y}"


def trees_in_words(ids: Sequence[str]) -> str:
    """
    >>> trees_in_words(["A-01", "A-02"]), trees_in_words([])
    ('A-01, A-02', 'all trees')
    """
    if not ids:
        return "all trees"
    if len(ids) <= NAMED_TREES:
        return ", ".join(ids)
    return f"{ids[0]}, {ids[1]} … {ids[-1]} ({len(ids)} plantings)"


def entry_in_words(entry: Entry) -> str:
    """What happened, without the day and the site.

    >>> entry_in_words(Entry("", "", "done", "millbrook", date(2027, 1, 9),
    ...     care="dormant_pruning", plantings=("A-01",), minutes=40))
    'dormant pruning done: A-01; 40 min'
    """
    care = plain(TITLES.get(entry.care, entry.care))
    trees = trees_in_words(entry.plantings)
    if entry.kind == DONE:
        what = f"{care} done: {trees}"
    elif entry.kind == SKIPPED:
        what = f"{care} skipped: {trees}"
    elif entry.kind == DEFERRED:
        until = day_in_words(entry.until) if entry.until else "no day"
        what = f"cut put off at {trees} ({care}), look again {until}"
    elif entry.kind == MOVED:
        asked = day_in_words(entry.until) if entry.until else "another day"
        what = f"{asked} asked for: {care} at {trees}"
    elif entry.kind == NOTED:
        what = f"noted ({care or 'no care'}): {trees}"
    elif entry.kind == UNDONE:
        what = f"taken back: {entry.undoes}"
    elif entry.seen in DORMANCY_ANSWERS:
        what = f"seen {entry.seen}: {trees}"
    elif entry.seen in PESTS:
        what = f"seen {'no pests' if entry.seen == 'none' else entry.seen}: {trees}"
    else:
        what = f"seen at {plain(entry.seen)}: {trees}"
    details = [
        f"{entry.trees} trees" if entry.trees is not None else "",
        f"{entry.minutes} min" if entry.minutes is not None else "",
        f"by {entry.by}" if entry.by else "",
        f"“{' '.join(entry.note.split())}”" if entry.note.strip() else "",
    ]
    return printable("; ".join([what, *(detail for detail in details if detail)]))


def printable(text: str) -> str:
    """Text without signs that could steer a terminal.

    >>> printable("a\\x1b[2Jb")
    'a�[2Jb'
    """
    return "".join("\N{REPLACEMENT CHARACTER}" if category(sign) == "Cc" else sign for sign in text)
