"""Cuts put off: their whole life, from the first putting off to the decision."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

from orchardcal.journal.cuts import put_off
from orchardcal.journal.entries import DEFERRED, DONE, SKIPPED, UNDONE, Entry


def entry(number: int, kind: str = DEFERRED, **more: object) -> Entry:
    day = date(2027, 1, number)
    made = Entry(
        f"{day}T10:00:00Z",
        f"j{number}",
        kind,
        "millbrook",
        day,
        "dormant_pruning" if kind == DEFERRED else "deferred_cut",
        ("A",),
        until=date(2027, 2, number) if kind == DEFERRED else None,
        note=f"note {number}",
    )
    return replace(made, **more)  # type: ignore[arg-type]


def test_a_cut_put_off_is_open_until_the_day_said_last() -> None:
    (cut,) = put_off([entry(1), entry(2, note="")])
    assert (cut.reference, cut.site, cut.planting) == ("j1", "millbrook", "A")
    assert (cut.open, cut.times_put_off, cut.look_again) == (True, 2, date(2027, 2, 2))
    assert (cut.first_put_off, cut.note) == (date(2027, 1, 1), "note 1")


def test_a_cut_is_decided_put_off_again_and_decided_again() -> None:
    life = [
        entry(1),
        entry(2, SKIPPED, cut="j1"),
        entry(3, cut="j1"),
        entry(4, DONE, cut="j1", care="dormant_pruning"),
    ]
    assert [put_off(life[:count])[0].open for count in (1, 2, 3, 4)] == [True, False, True, False]
    (cut,) = put_off(life)
    assert [step.kind for step in cut.steps] == [DEFERRED, SKIPPED, DEFERRED, DONE]
    assert cut.decision is not None
    assert (cut.decision.entry, cut.look_again) == ("j4", None)


def test_cuts_of_other_trees_sites_and_cares_are_their_own() -> None:
    cuts = put_off(
        [
            entry(1),
            entry(2, plantings=("B",)),
            entry(3, site="karoo"),
            entry(4, care="in_leaf_pruning"),
            entry(5, DONE, plantings=("A",)),
        ]
    )
    assert [(cut.reference, cut.open) for cut in cuts] == [
        ("j1", False),
        ("j2", True),
        ("j3", True),
        ("j4", False),
    ]


def test_a_row_for_several_trees_is_a_cut_at_each() -> None:
    cuts = put_off([entry(1, plantings=("A", "B")), entry(2, DONE, cut="j1", plantings=("B",))])
    assert [(cut.planting, cut.open) for cut in cuts] == [("A", True), ("B", False)]


def test_a_second_cut_at_a_tree_is_decided_alone() -> None:
    cuts = put_off([entry(1, cut="j1"), entry(2, cut="j2"), entry(3, DONE, cut="j1")])
    assert [(cut.reference, cut.open) for cut in cuts] == [("j1", False), ("j2", True)]


def test_other_work_decides_nothing() -> None:
    (cut,) = put_off([entry(1), entry(2, DONE, care="dormant_pruning")])
    assert cut.open


def test_taking_back_a_decision_opens_the_cut_again() -> None:
    (cut,) = put_off([entry(1), entry(2, DONE), entry(3, UNDONE, undoes="j2")])
    assert cut.open
    assert put_off([entry(1), entry(3, UNDONE, undoes="j1")]) == ()
