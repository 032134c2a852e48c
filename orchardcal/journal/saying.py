"""What the journal says, for the plan: what still holds, work done, and what was seen."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from orchardcal.journal.entries import DONE, DORMANCY_ANSWERS, PESTS, SEEN, UNDONE, Entry
from orchardcal.season import Season


def in_force(entries: Iterable[Entry]) -> tuple[Entry, ...]:
    """The entries nobody took back, undoings among them, in the order given.

    Taking back an undoing brings the entry back. An undoing only reaches what was recorded
    before it.
    """
    taken_back: set[str] = set()
    kept: list[Entry] = []
    for entry in reversed(tuple(entries)):
        if entry.id not in taken_back:
            kept.append(entry)
            if entry.kind == UNDONE:
                taken_back.add(entry.undoes)
    return tuple(reversed(kept))


def current(entries: Iterable[Entry]) -> tuple[Entry, ...]:
    """The entries that still hold, in the order given: neither undone ones nor the undoings."""
    return tuple(entry for entry in in_force(entries) if entry.kind != UNDONE)


def season_of(entry: Entry, southern: bool) -> int:
    """The harvest year an entry counts for: as written, else the season of its day."""
    return entry.season or Season.containing(entry.day, southern).harvest_year


def done_work(entries: Iterable[Entry], site: str) -> tuple[Entry, ...]:
    """Every done entry of a site that still holds, in recorded order (plan against what happened).

    One entry is one piece of work; its plantings are empty where it was the whole site.
    """
    return tuple(entry for entry in current(entries) if entry.site == site and entry.kind == DONE)


@dataclass(frozen=True)
class Observed:
    """Something seen in the field. plantings: empty for the whole site. seen: answer or stage."""

    entry: str
    site: str
    plantings: tuple[str, ...]
    day: date
    season: int
    seen: str
    by: str
    note: str

    def covers(self, planting: str) -> bool:
        return not self.plantings or planting in self.plantings


def dormancy_answers(entries: Iterable[Entry], site: str, southern: bool) -> tuple[Observed, ...]:
    """Dormancy checks answered, by day (the later recorded of one day last)."""
    return _seen(entries, site, southern, DORMANCY_ANSWERS)


def pests_seen(entries: Iterable[Entry], site: str, southern: bool) -> tuple[Observed, ...]:
    """Scouting results, by day; "none" is a look that found nothing."""
    return _seen(entries, site, southern, PESTS)


def stages_seen(entries: Iterable[Entry], site: str, southern: bool) -> tuple[Observed, ...]:
    """Bud stages seen, by day; `seen` is a stage key of the species."""
    return _seen(entries, site, southern, None)


def latest(observed: Iterable[Observed], planting: str, season: int) -> Observed | None:
    """The last of them that covers a planting in a season; None if there is none."""
    fitting = [one for one in observed if one.season == season and one.covers(planting)]
    return fitting[-1] if fitting else None


def _seen(
    entries: Iterable[Entry], site: str, southern: bool, words: tuple[str, ...] | None
) -> tuple[Observed, ...]:
    found = [
        Observed(
            entry.id,
            entry.site,
            entry.plantings,
            entry.day,
            season_of(entry, southern),
            entry.seen,
            entry.by,
            entry.note,
        )
        for entry in current(entries)
        if entry.site == site and entry.kind == SEEN and _fits(entry.seen, words)
    ]
    return tuple(sorted(found, key=lambda one: one.day))


def _fits(seen: str, words: tuple[str, ...] | None) -> bool:
    return seen not in DORMANCY_ANSWERS + PESTS if words is None else seen in words
