"""Entries of the journal: what was done, skipped, put off, seen or taken back; never changed."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

DONE, SKIPPED, DEFERRED, UNDONE, SEEN = "done", "skipped", "deferred", "undone", "seen"
KINDS = (DONE, SKIPPED, DEFERRED, UNDONE, SEEN)
DORMANCY_ANSWERS = ("dormant", "nearly", "growing", "not sure")
PESTS = ("scale", "mite eggs", "aphid eggs", "none")


@dataclass(frozen=True, order=True)
class Entry:
    """One fact.

    recorded: when it was written down, an instant in UTC as "2026-12-01T09:30:00Z"; entries are
    read in this order. id: unique, from the content unless given, so that a second import adds
    nothing. day: when it happened. plantings: ids, empty for all of the site's.
    care: a key of care.TITLES (for a deferred cut: the pruning it was put off from).
    until: deferred entries only, when to look again. seen: what was seen, one of
    DORMANCY_ANSWERS, PESTS or a bud stage key. undoes: the id an "undone" entry takes back.
    """

    recorded: str
    id: str
    kind: str
    site: str
    day: date
    care: str = ""
    plantings: tuple[str, ...] = ()
    season: int = 0
    by: str = ""
    minutes: int | None = None
    trees: int | None = None
    until: date | None = None
    seen: str = ""
    note: str = ""
    undoes: str = ""
