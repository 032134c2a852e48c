"""Large instances: crews in groups by territory, searched side by side by any executor.

Each group keeps its own crew-days. Only trees whose every possible crew lies in the group may move;
the groups shift by half from one turn to the next, so that most trees are free in one of them. The
result does not depend on how many processes there are.
"""

from __future__ import annotations

from collections.abc import Sequence
from concurrent.futures import Executor
from dataclasses import dataclass, replace

from orchardcal.plan.schedule.board import Board
from orchardcal.plan.schedule.choices import Choices, choices
from orchardcal.plan.schedule.cost import Weights
from orchardcal.plan.schedule.instance import Instance, Link, check
from orchardcal.plan.schedule.search import (
    Schedule,
    as_if_told,
    build,
    rebuild,
    schedule_of,
    settle,
)
from orchardcal.plan.schedule.standing import stand

CREWS_TOGETHER = 12
TURNS = 2
ROUNDS_A_PLACE = 30  # in each turn


@dataclass(frozen=True)
class Part:
    """A group's share of an instance, cut out and numbered anew.

    slot_of: where the tasks stand now. movable: the tasks that may be inserted anew.
    tasks, slots: the numbers in the whole instance.
    """

    instance: Instance
    weights: Weights
    slot_of: tuple[int | None, ...]
    movable: frozenset[int]
    rounds: int
    tasks: tuple[int, ...]
    slots: tuple[int, ...]


def scheduled_by_territory(
    instance: Instance,
    weights: Weights,
    executor: Executor | None = None,
    iterations: int | None = None,
    territories: Sequence[Sequence[int]] | None = None,
) -> Schedule:
    """A schedule of a large instance.

    executor: any concurrent.futures executor (a process pool, a cluster's); None: here, in turn.
    iterations: rounds for each place in each of two turns; 30 by default.
    territories: groups of crews that share places, in an order in which neighbours follow each
    other; by default crews that have a cluster in common, by their number.
    """
    check(instance)
    ready = choices(instance, weights)
    board = Board(ready)
    trees = range(len(ready.trees))
    standing = stand(board)
    if standing.any:
        before = list(board.slot_of)
        settle(board, trees)
        if not standing.lost and board.slot_of == before:
            return schedule_of(instance, weights, board.slot_of)
    else:
        build(board, trees)
    row = _neighbours_in_a_row(instance) if territories is None else territories
    rounds = ROUNDS_A_PLACE if iterations is None else iterations
    crews_of_tree = [
        frozenset(instance.slots[slot].crew for slot in slots) for slots in ready.slots_of_tree
    ]
    for turn in range(TURNS):
        groups = _groups(row, shift=CREWS_TOGETHER // 2 * turn)
        parts = [
            part for group in groups if (part := _part(board, crews_of_tree, group, rounds)).movable
        ]
        found = map(_searched, parts) if executor is None else executor.map(_searched, parts)
        for part, slots in zip(parts, list(found), strict=True):
            _bring_back(board, part, slots)
    settle(board, trees)
    return schedule_of(instance, weights, as_if_told(instance, weights, board.slot_of))


def _neighbours_in_a_row(instance: Instance) -> list[list[int]]:
    """Crews that first meet in a cluster, together; each crew once, in order of its number."""
    crews_of_cluster: dict[int, list[int]] = {}
    for crew, cluster in sorted(instance.trips):
        crews_of_cluster.setdefault(cluster, []).append(crew)
    seen: set[int] = set()
    row = []
    for crews in sorted(crews_of_cluster.values()):
        fresh = [crew for crew in crews if crew not in seen]
        if fresh:
            row.append(fresh)
            seen.update(fresh)
    return row


def _groups(row: Sequence[Sequence[int]], shift: int) -> list[frozenset[int]]:
    groups: list[frozenset[int]] = []
    group: set[int] = set()
    limit = CREWS_TOGETHER - shift  # the first group of a shifted turn is smaller
    for crews in row:
        if group and len(group) + len(crews) > limit:
            groups.append(frozenset(group))
            group, limit = set(), CREWS_TOGETHER
        group.update(crews)
    return [*groups, frozenset(group)] if group else groups


def _part(
    board: Board, crews_of_tree: Sequence[frozenset[int]], group: frozenset[int], rounds: int
) -> Part:
    """The group's crew-days, the trees that may move among them, and the tasks that stand there."""
    ready, whole = board.choices, board.choices.instance
    slots = [number for number, slot in enumerate(whole.slots) if slot.crew in group]
    free = [
        task
        for tree, crews in enumerate(crews_of_tree)
        if crews and crews <= group
        for task in ready.trees[tree]
    ]
    movable = set(free)
    fixed = [task for slot in slots for task in board.tasks_in[slot] if task not in movable]
    tasks = sorted([*free, *fixed])
    new_task = {task: number for number, task in enumerate(tasks)}
    new_slot = {slot: number for number, slot in enumerate(slots)}
    places = sorted({whole.tasks[task].place for task in tasks})
    new_place = {place: number for number, place in enumerate(places)}
    clusters = {whole.clusters[place] for place in places}
    standing = [board.slot_of[task] for task in tasks]
    instance = Instance(
        tasks=tuple(
            replace(whole.tasks[task], place=new_place[whole.tasks[task].place]) for task in tasks
        ),
        links=tuple(
            Link(
                task, new_task[follower.task], follower.min_days, follower.max_days, follower.needed
            )
            for task, followers in ((new_task[old], ready.followers[old]) for old in free)
            for follower in followers
        ),
        crews=whole.crews,
        slots=tuple(whole.slots[slot] for slot in slots),
        clusters=tuple(whole.clusters[place] for place in places),
        trips={
            (crew, cluster): trip
            for (crew, cluster), trip in whole.trips.items()
            if crew in group and cluster in clusters
        },
    )
    return Part(
        instance=instance,
        weights=ready.weights,
        slot_of=tuple(None if slot is None else new_slot[slot] for slot in standing),
        movable=frozenset(new_task[task] for task in free),
        rounds=rounds * len({whole.tasks[task].place for task in free}),
        tasks=tuple(tasks),
        slots=tuple(slots),
    )


def _searched(part: Part) -> list[int | None]:
    """The slots of a part's tasks after the search; runs in any process."""
    ready: Choices = choices(part.instance, part.weights)
    board = Board(ready)
    for task, slot in enumerate(part.slot_of):
        if slot is not None:
            board.put(task, slot)
    trees = [tree for tree, tasks in enumerate(ready.trees) if tasks[0] in part.movable]
    rebuild(board, trees, part.rounds)
    return board.slot_of


def _bring_back(board: Board, part: Part, slot_of: Sequence[int | None]) -> None:
    moved = [
        (part.tasks[number], None if slot is None else part.slots[slot])
        for number, slot in enumerate(slot_of)
        if number in part.movable
    ]
    for task, _ in moved:
        board.take(task)
    for task, slot in moved:
        if slot is not None:
            board.put(task, slot)
