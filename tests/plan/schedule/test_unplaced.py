"""What is said of unplaced tasks holds: each change, once made, gives the task a place."""

from __future__ import annotations

from dataclasses import replace

import pytest

from orchardcal.plan.schedule import (
    Change,
    Instance,
    Slot,
    Unplaced,
    Weights,
    explain_unplaced,
    scheduled,
)
from orchardcal.plan.schedule import unplaced as kinds
from tests.plan.schedule.instances import city, standing
from tests.plan.schedule.validator import broken_rules

TIGHT = city(50, 12, 100, crews=1)
SCHEDULE = scheduled(TIGHT, Weights(), iterations=100)
ACCOUNTS = explain_unplaced(TIGHT, SCHEDULE)


def changed(instance: Instance, task: int, change: Change) -> tuple[Instance, int]:
    """The instance with one thing changed, and the slot in which the task then has its place."""
    slots, tasks, links = list(instance.slots), list(instance.tasks), list(instance.links)
    number = next(
        (i for i, s in enumerate(slots) if (s.crew, s.day) == (change.crew, change.day)),
        len(slots),
    )
    if change.kind == kinds.MORE_MINUTES:
        slots[number] = replace(slots[number], minutes=slots[number].minutes + change.amount)
    elif change.kind == kinds.ONE_MORE_PLACE:
        slots[number] = replace(slots[number], places=slots[number].places + change.amount)
    elif change.kind == kinds.ONE_MORE_DAY:
        visit = next(slot.visit_minutes for slot in slots if slot.crew == change.crew)
        slots.append(Slot(change.crew, change.day, change.amount, 1, visit))
    elif change.kind == kinds.WIDER_GAP:
        index = next(i for i, link in enumerate(links) if link.after == task)
        most = links[index].max_days
        assert most is not None
        links[index] = replace(links[index], max_days=most + change.amount)
    else:
        days = tasks[task].days
        added = range(days[0][0] - change.amount, days[-1][0] + change.amount + 1)
        tasks[task] = replace(tasks[task], days=tuple((day, 0) for day in added))
    new = replace(instance, slots=tuple(slots), tasks=tuple(tasks), links=tuple(links))
    return new, number


@pytest.mark.parametrize("account", ACCOUNTS, ids=lambda account: f"task {account.task}")
def test_each_change_gives_a_place_and_no_less_would(account: Unplaced) -> None:
    assert not account.proven
    for change in account.changes:
        new, slot = changed(TIGHT, account.task, change)
        assert broken_rules(new, {**standing(SCHEDULE), account.task: slot}) == []
        less = replace(change, amount=change.amount - 1)
        if less.amount or change.kind == kinds.MORE_MINUTES:
            new, slot = changed(TIGHT, account.task, less)
            if slot < len(new.slots):
                assert broken_rules(new, {**standing(SCHEDULE), account.task: slot}) != []


def test_funnel_narrows_to_nothing() -> None:
    assert len(ACCOUNTS) == len(SCHEDULE.unplaced) > 3
    for account in ACCOUNTS:
        counts = [step.days for step in account.funnel]
        assert counts == sorted(counts, reverse=True)
        assert counts[-1] == 0
        in_order = next(step.days for step in account.funnel if step.name == kinds.IN_ORDER)
        assert account.nearest is not None or account.waits_for is not None or in_order == 0


def test_most_have_a_change_or_wait_for_another() -> None:
    placed = set(standing(SCHEDULE))
    for account in ACCOUNTS:
        if account.waits_for is not None:
            assert account.waits_for not in placed
            assert account.changes == ()
        assert set(account.blockers) <= placed


def test_nobody_with_the_skill_is_proof() -> None:
    unskilled = replace(
        TIGHT, crews=tuple(replace(crew, skills=frozenset()) for crew in TIGHT.crews)
    )
    accounts = explain_unplaced(unskilled, scheduled(unskilled, Weights(), iterations=20))
    skilled = [one for one in accounts if unskilled.tasks[one.task].needs]
    assert skilled
    assert all(one.proven for one in skilled)
