"""Who is who between two plans: the UID a job or window had when it was first published."""

from __future__ import annotations

import uuid
from collections.abc import Iterable, Sequence
from datetime import date
from typing import NamedTuple

from orchardcal.journal.published import Published
from orchardcal.plan.task import Task

NAMESPACE = uuid.UUID("6f0c5c0e-3a0b-5d0e-9d8e-0a4d7b1f2c63")  # ours, drawn once


class Slot(NamedTuple):
    """What stays the same while days move: care and part at a site in a season."""

    site: str
    slot: str
    season: int


Wanted = tuple[Slot, tuple[str, ...]]  # a job or window: its slot and its plantings


def wanted(task: Task, site: str) -> Wanted:
    return Slot(site, task.slot, task.season.harvest_year), task.ids


class Seen(NamedTuple):
    """What subscribers last saw of a job: its day, the first that passed undone, which crew."""

    day: date | None
    missed: date | None
    crew: str = ""


def seen_before(jobs: Sequence[Wanted], published: Iterable[Published], as_of: date) -> list[Seen]:
    """For each job what subscribers last saw: of the published one sharing most trees with it."""
    rows = _by_slot(row for row in published if row.live)
    found = []
    for slot, plantings in jobs:
        shared = [(len(set(row.plantings) & set(plantings)), row) for row in rows.get(slot, ())]
        most = max((count for count, _ in shared), default=0)
        best = [row for count, row in shared if count == most > 0]
        first = min(best, key=lambda row: (row.first, row.uid), default=None)
        if first is None:
            found.append(Seen(None, None))
        else:
            passed = first.first if first.first < as_of else None
            found.append(Seen(first.first, first.missed or passed, first.crew))
    return found


def uids(jobs: Sequence[Wanted], published: Iterable[Published]) -> list[str]:
    """A UID for each job or window, given its slot and plantings.

    One that was published keeps its UID; when plantings left or joined, the one that shares most
    with it keeps it. A new one gets a UID made from its slot and plantings, never from a day or a
    person, so that the same programme gives the same UIDs on any machine.
    """
    rows = _by_slot(published)
    pairs = sorted(
        (
            -len(set(row.plantings) & set(plantings)),
            row.plantings != plantings,
            row.uid,
            at,
        )
        for at, (slot, plantings) in enumerate(jobs)
        for row in rows.get(slot, ())
        if set(row.plantings) & set(plantings)
    )
    known: dict[int, str] = {}
    taken: set[str] = set()
    for _, _, uid, at in pairs:
        if at not in known and uid not in taken:
            known[at] = uid
            taken.add(uid)
    return [
        known.get(at) or _free_uid(slot, plantings, taken)
        for at, (slot, plantings) in enumerate(jobs)
    ]


def _by_slot(published: Iterable[Published]) -> dict[Slot, list[Published]]:
    rows: dict[Slot, list[Published]] = {}
    for row in published:
        rows.setdefault(Slot(row.site, row.care, row.season), []).append(row)
    return rows


def _free_uid(slot: Slot, plantings: tuple[str, ...], taken: set[str]) -> str:
    """A UID from slot and plantings; a further one where that is still another's."""
    for attempt in range(len(taken) + 1):
        name = "|".join(
            [*map(str, slot), ",".join(sorted(plantings)), *([str(attempt)] * bool(attempt))]
        )
        uid = str(uuid.uuid5(NAMESPACE, name))
        if uid not in taken:
            break
    taken.add(uid)
    return uid
