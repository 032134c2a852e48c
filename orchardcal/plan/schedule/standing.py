"""What people were told, put back on the board as far as it still stands."""

from __future__ import annotations

from bisect import bisect_left
from dataclasses import dataclass

from orchardcal.plan.schedule.board import Board


@dataclass(frozen=True)
class Standing:
    """any: whether a task stands where people were told. lost: whether one no longer can.

    places_short: the number of places with a task that has no standing place, lost or new.
    """

    any: bool
    lost: bool
    places_short: int


def stand(board: Board) -> Standing:
    """Puts every task told of on its day with its crew, where hours, places and order allow."""
    ready = board.choices
    tasks = ready.instance.tasks
    told = [task for task, work in enumerate(tasks) if work.published_crew is not None]
    slots = {(slot.crew, slot.day): number for number, slot in enumerate(ready.instance.slots)}
    for task in told:
        crew, day = tasks[task].published_crew, tasks[task].published
        if crew is not None and day is not None:
            slot = slots.get((crew, day))
            if slot is not None and _fits(board, task, slot):
                board.put(task, slot)
    for tree in ready.trees:
        for task in tree:  # earlier tasks first
            _take_out_of_order(board, task)
    short = {tasks[task].place for task, slot in enumerate(board.slot_of) if slot is None}
    return Standing(
        any=any(board.slot_of[task] is not None for task in told),
        lost=any(board.slot_of[task] is None for task in told),
        places_short=len(short),
    )


def _fits(board: Board, task: int, number: int) -> bool:
    """Whether a task may stand in a slot and there is room for it and its way there."""
    ready = board.choices
    choice = ready.of_task[task]
    slot = ready.instance.slots[number]
    if number not in choice.slots[bisect_left(choice.days, slot.day) :]:
        return False
    place = ready.instance.tasks[task].place
    visits = board.visits[number]
    needed = ready.instance.crews[slot.crew].minutes_for(ready.instance.tasks[task])
    if place not in visits:
        if len(visits) >= slot.places:
            return False
        needed += slot.visit_minutes
        cluster = ready.instance.clusters[place]
        if cluster not in board.clusters[number]:
            needed += ready.trip[cluster][slot.crew][1]
    return needed <= board.room[number]


def _take_out_of_order(board: Board, task: int) -> None:
    """Takes off the tasks behind this one that no longer keep their distance from it."""
    slots, slot_of = board.choices.instance.slots, board.slot_of
    mine = slot_of[task]
    for follower in board.choices.followers[task]:
        theirs = slot_of[follower.task]
        if theirs is None:
            continue
        if mine is None:
            broken = follower.needed
        else:
            gap = slots[theirs].day - slots[mine].day
            broken = not follower.min_days <= gap <= follower.max_days
        if broken:
            board.take(follower.task)
