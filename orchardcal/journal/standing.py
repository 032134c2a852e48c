"""How each care stands on each planting in each season, by what was recorded."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import date

from orchardcal.care import DEFERRED_CUT
from orchardcal.journal.entries import DONE, SKIPPED, Entry
from orchardcal.journal.saying import current, season_of

PARTLY = "partly"


@dataclass(frozen=True)
class Standing:
    """How one care stands on one planting in one season, by what was recorded.

    state: "done" (all trees), "partly" (some) or "skipped" (a later skip or done replaces it).
    trees_done: of the planting's trees; by_order: some of these were counted to it in the order
    of the tree list, because the entry told a number of trees but not which.
    days: each day of work, first to last. minutes: person-minutes written down for entries on
    this planting alone, None if none were. note: the latest note, or why it was skipped.
    entries: ids of what this was read from.
    """

    state: str
    trees_done: int
    days: tuple[date, ...]
    minutes: int | None
    note: str
    by_order: bool
    entries: tuple[str, ...]

    @property
    def last_day(self) -> date | None:
        """The last day of work: what paint or oil counts from; None where only skipped."""
        return self.days[-1] if self.days else None


NOTHING = Standing("", 0, (), None, "", False, ())


def standings(
    entries: Iterable[Entry], site: str, counts: Mapping[str, int], southern: bool
) -> dict[tuple[str, str, int], Standing]:
    """How every recorded care stands: (planting, care, harvest year) -> Standing.

    What is not in the answer has nothing recorded. counts: trees of each planting of the site,
    in the order of the tree list. A done entry without a number of trees is all of them. A
    number below that is dealt out to the named plantings in order, skipping trees already done.
    """
    found: dict[tuple[str, str, int], Standing] = {}
    for entry in current(entries):
        if entry.site != site or entry.kind not in (DONE, SKIPPED):
            continue
        if entry.cut or entry.care == DEFERRED_CUT:  # about one cut, not the care: see cuts.py
            continue
        season = season_of(entry, southern)
        left = entry.trees
        ids = [planting for planting in counts if planting in (entry.plantings or counts)]
        for planting in ids:
            key = (planting, entry.care, season)
            before = found.get(key, NOTHING)
            if entry.kind == SKIPPED:
                found[key] = _read(before, entry, SKIPPED, before.trees_done)
                continue
            room = counts[planting] - before.trees_done
            share = room if left is None else min(room, left)
            if left is not None:
                left -= share
                if share == 0 and before is NOTHING:
                    continue
            trees = before.trees_done + share
            state = DONE if trees >= counts[planting] else PARTLY
            after = _read(before, entry, state, trees, alone=len(ids) == 1)
            dealt_out = entry.trees is not None and len(ids) > 1
            found[key] = replace(after, by_order=before.by_order or dealt_out)
    return found


def _read(before: Standing, entry: Entry, state: str, trees: int, alone: bool = False) -> Standing:
    days = before.days if entry.kind == SKIPPED else tuple(sorted({*before.days, entry.day}))
    minutes = before.minutes
    if alone and entry.minutes is not None:
        minutes = (minutes or 0) + entry.minutes
    note = entry.note or before.note
    return Standing(state, trees, days, minutes, note, before.by_order, (*before.entries, entry.id))
