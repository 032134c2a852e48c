"""Entries of the journal: what was done, skipped, put off, seen or taken back; never changed."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass, fields, replace
from datetime import date

from orchardcal.care import TITLES

DONE, SKIPPED, DEFERRED, UNDONE, SEEN = "done", "skipped", "deferred", "undone", "seen"
MOVED, NOTED = "moved", "noted"
KINDS = (DONE, SKIPPED, DEFERRED, UNDONE, SEEN, MOVED, NOTED)
DORMANCY_ANSWERS = ("dormant", "nearly", "growing", "not sure")
PESTS = ("scale", "mite eggs", "aphid eggs", "none")


@dataclass(frozen=True, order=True)
class Entry:
    """One fact.

    recorded: when it was written down, an instant in UTC as "2026-12-01T09:30:00Z"; entries are
    read in this order, and in the order of writing within a second. id: unique, from the content
    unless given, so that a second import adds nothing. day: when it happened. plantings: ids,
    empty for all of the site's. care: a key of care.TITLES (for a deferred cut: the pruning it
    was put off from). season: harvest year, 0 for the season of the day. until: of a deferred cut,
    when to look again; of a moved visit, the day asked for. seen: what was seen, one of
    DORMANCY_ANSWERS, PESTS or a bud stage key; of a moved visit, which round of the care, as
    "after_dormant_pruning". undoes: the id an "undone" entry takes back. cut: the cut put off
    that a later entry decides or puts off again, by the id of the entry that first put it off.
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
    cut: str = ""


def with_id_of_content(entry: Entry, occurrence: int = 1) -> Entry:
    """The entry with an id made from all else in it, and from which of several alike it is.

    The leading letter keeps a spreadsheet from reading the id as a number.
    """
    content = [str(getattr(entry, field.name)) for field in fields(entry) if field.name != "id"]
    digest = hashlib.sha256("\x1f".join([*content, str(occurrence)]).encode()).hexdigest()
    return replace(entry, id="j" + digest[:11])


def plain(text: str) -> str:
    """Words as people mean them: case, hyphens, underscores and spare spaces do not count.

    >>> plain(" Dormant-Pruning "), plain("mite_eggs")
    ('dormant pruning', 'mite eggs')
    """
    return " ".join(text.replace("-", " ").replace("_", " ").casefold().split())


def care_named(text: str) -> str | None:
    """The key of a care from its key or its plain words.

    >>> care_named("Dormant pruning"), care_named("dormant-oil-spray"), care_named("mowing")
    ('dormant_pruning', 'dormant_oil_spray', None)
    """
    return next((key for key in TITLES if plain(text) in (plain(key), plain(TITLES[key]))), None)


def answer_or_pest_named(text: str) -> str | None:
    """A dormancy answer or a scouting result from plain words; None if it is neither.

    >>> answer_or_pest_named("Not-sure"), answer_or_pest_named("no pests")
    ('not sure', 'none')
    """
    word = plain(text)
    if word in ("no pests", "no eggs", "nothing"):
        return "none"
    return word if word in DORMANCY_ANSWERS or word in PESTS else None
