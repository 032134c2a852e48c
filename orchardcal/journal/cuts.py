"""Cuts put off: each with its whole history, whether it is open, and when to look again."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import date

from orchardcal.care import DEFERRED_CUT
from orchardcal.journal.entries import DEFERRED, DONE, SKIPPED, Entry
from orchardcal.journal.saying import current


@dataclass(frozen=True)
class CutStep:
    """One thing said of a cut put off. kind: deferred, done (cut) or skipped (kept)."""

    entry: str
    kind: str
    day: date
    until: date | None
    note: str
    by: str


@dataclass(frozen=True)
class DeferredCut:
    """A cut put off at one planting: its whole history, oldest first.

    reference: the id of the entry that first put it off. care: the pruning it was put off from.
    """

    reference: str
    site: str
    planting: str
    care: str
    steps: tuple[CutStep, ...]

    @property
    def open(self) -> bool:
        """Still to be looked at; a cut decided and then put off again is open once more."""
        return self.steps[-1].kind == DEFERRED

    @property
    def look_again(self) -> date | None:
        """When to look again, as last said; None once decided."""
        return self.steps[-1].until if self.open else None

    @property
    def first_put_off(self) -> date:
        return self.steps[0].day

    @property
    def times_put_off(self) -> int:
        return sum(step.kind == DEFERRED for step in self.steps)

    @property
    def note(self) -> str:
        """The latest note that says anything."""
        return next((step.note for step in reversed(self.steps) if step.note), "")

    @property
    def decision(self) -> CutStep | None:
        """The step that closed it, None while open."""
        return None if self.open else self.steps[-1]


def put_off(entries: Iterable[Entry]) -> tuple[DeferredCut, ...]:
    """Every cut put off, open and decided, in the order first put off.

    An entry with a `cut` belongs to that one. Without it, a deferred entry belongs to the
    newest open cut of the same care on that planting, or begins one; and a done or skipped
    deferred_cut decides every open cut of its plantings. Other work decides nothing: a tree may
    be pruned with the cut still put off.
    """
    cuts: dict[tuple[str, str, str], DeferredCut] = {}
    for entry in current(entries):
        step = CutStep(entry.id, entry.kind, entry.day, entry.until, entry.note, entry.by)
        if entry.kind == DEFERRED:
            for planting in entry.plantings:
                reference = entry.cut or _newest_open(cuts, entry, planting) or entry.id
                key = (entry.site, planting, reference)
                before = cuts.get(key) or DeferredCut(
                    reference, entry.site, planting, entry.care, ()
                )
                cuts[key] = replace(before, steps=(*before.steps, step))
        elif entry.kind in (DONE, SKIPPED) and (entry.cut or entry.care == DEFERRED_CUT):
            for key, cut in cuts.items():
                if _decides(entry, cut):
                    cuts[key] = replace(cut, steps=(*cut.steps, step))
    return tuple(cuts.values())


def _newest_open(
    cuts: Mapping[tuple[str, str, str], DeferredCut], entry: Entry, planting: str
) -> str:
    open_ones = [
        cut.reference
        for (site, at, _), cut in cuts.items()
        if (site, at, cut.care, cut.open) == (entry.site, planting, entry.care, True)
    ]
    return open_ones[-1] if open_ones else ""


def _decides(entry: Entry, cut: DeferredCut) -> bool:
    here = entry.site == cut.site and cut.planting in (entry.plantings or (cut.planting,))
    return here and (entry.cut == cut.reference if entry.cut else cut.open)
