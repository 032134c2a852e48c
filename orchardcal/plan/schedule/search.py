"""The search for a good schedule: insert, improve one by one, then take apart and rebuild.

What people were told stands, unless a task lost its place or a move gains more than it costs.
It stops after a fixed number of rounds, never by the clock: the same input gives the same plan.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from orchardcal.plan.schedule.board import Board
from orchardcal.plan.schedule.choices import Choices, choices
from orchardcal.plan.schedule.cost import GIVEN_UP, Cost, Weights, cost_of
from orchardcal.plan.schedule.insertion import insert_tree
from orchardcal.plan.schedule.instance import Instance, check
from orchardcal.plan.schedule.random_numbers import RandomNumbers
from orchardcal.plan.schedule.standing import stand

SEED = 20261125  # any number; fixed, so that the plan is
DEVIATION = 30  # points above the best so far at which a round may still be kept
CYCLES = 4  # times the deviation falls to nothing
MOST_TAKEN = 10  # trees besides the first one that a round takes apart
# The same while some task has no place: the search must go further afield.
DEVIATION_WHEN_SHORT, CYCLES_WHEN_SHORT = 600, 1
MOST_PASSES = 5
MOST_SETTLINGS = 20
MOST_EJECTED = 50  # trees asked to step aside for one that is not wholly placed
ROUNDS_A_PLACE = 100
ROUNDS_A_PLACE_WHEN_FEW = 2000, 8000  # for each place, and at most


@dataclass(frozen=True)
class Placement:
    """One task in one slot."""

    task: int
    slot: int
    crew: int
    day: int


@dataclass(frozen=True)
class Schedule:
    """What was placed, by task; what was not; and the bill."""

    placements: tuple[Placement, ...]
    unplaced: tuple[int, ...]
    cost: Cost


def scheduled(instance: Instance, weights: Weights, iterations: int | None = None) -> Schedule:
    """A schedule of all tasks that found a place.

    iterations: rounds of taking apart and rebuilding; by default 2000 for each of the first four
    places that hold a task without a standing place, and 100 for each from 80 on; as if all places
    did where that leaves a task without a place that people were told of. A schedule that was told
    and is given back comes out as it is. Raises ValueError on an instance that
    contradicts itself.
    """
    check(instance)
    board = Board(choices(instance, weights))
    trees, places = range(len(board.choices.trees)), len(instance.clusters)
    standing = stand(board)
    lost = standing.lost
    if standing.any:
        before = list(board.slot_of)
        settle(board, trees)
        lost = lost or board.slot_of != before
    else:
        build(board, trees)
        lost = True
    if lost:
        few, many = default_rounds(max(1, standing.places_short)), default_rounds(places)
        rebuild(board, trees, few if iterations is None else iterations)
        if few < many and iterations is None and _told_of_without_place(board):
            rebuild(board, trees, many)
        settle(board, trees)
    slot_of = as_if_told(instance, weights, board.slot_of) if lost else board.slot_of
    return schedule_of(instance, weights, slot_of)


def _told_of_without_place(board: Board) -> bool:
    return any(
        slot is None and task.published is not None
        for task, slot in zip(board.choices.instance.tasks, board.slot_of, strict=True)
    )


def as_if_told(
    instance: Instance, weights: Weights, slot_of: Sequence[int | None]
) -> Sequence[int | None]:
    """The schedule as it will come out again once people were told of it."""
    for _ in range(MOST_SETTLINGS):
        told = with_told(instance, slot_of)
        board = Board(choices(told, weights))
        stand(board)
        settle(board, range(len(board.choices.trees)))
        if board.slot_of == list(slot_of):
            break
        slot_of = list(board.slot_of)
    return slot_of


def with_told(instance: Instance, slot_of: Sequence[int | None]) -> Instance:
    """The instance once people were told of a schedule, and of nothing else."""
    tasks = []
    for task, number in zip(instance.tasks, slot_of, strict=True):
        slot = None if number is None else instance.slots[number]
        day, crew = (None, None) if slot is None else (slot.day, slot.crew)
        tasks.append(replace(task, published=day, published_crew=crew))
    return replace(instance, tasks=tuple(tasks))


def settle(board: Board, trees: Sequence[int]) -> None:
    """Improves until nothing changes any more."""
    for _ in range(MOST_SETTLINGS):
        before = board.cost
        improve(board, trees)
        if board.cost == before:
            return


def default_rounds(places: int) -> int:
    """Enough to come near the best in small instances, and in proportion to large ones.

    >>> [default_rounds(places) for places in (1, 4, 8, 40, 200)]
    [2000, 8000, 8000, 8000, 20000]
    """
    a_place, most = ROUNDS_A_PLACE_WHEN_FEW
    return max(min(a_place * places, most), ROUNDS_A_PLACE * places)


def schedule_of(instance: Instance, weights: Weights, slot_of: Sequence[int | None]) -> Schedule:
    """The schedule with each task in its slot."""
    placements = tuple(
        Placement(task, slot, instance.slots[slot].crew, instance.slots[slot].day)
        for task, slot in enumerate(slot_of)
        if slot is not None
    )
    unplaced = tuple(task for task, slot in enumerate(slot_of) if slot is None)
    return Schedule(placements, unplaced, cost_of(instance, weights, slot_of))


def build(board: Board, trees: Sequence[int]) -> None:
    """A first schedule: the trees with the fewest choices first, then each improved in turn."""
    ready = board.choices
    for tree in sorted(trees, key=lambda tree: _constrained_first(ready, tree)):
        insert_tree(board, tree)
    improve(board, trees)


def improve(board: Board, trees: Sequence[int]) -> None:
    """Inserts each tree anew, while that helps; then makes way for those that found no place."""
    for _ in range(MOST_PASSES):
        before = board.cost
        for tree in trees:
            _try_whole(board, [tree])
        if board.cost == before:
            break
    movable = set(trees)
    for tree in trees:
        if len(board.placed(tree)) < len(board.choices.trees[tree]):
            _eject_for(board, tree, movable)


def rebuild(board: Board, trees: Sequence[int], rounds: int) -> None:
    """Ruin and recreate with record-to-record acceptance (Schrimpf and others 2000; Dueck 1993).

    J. Comput. Phys. 159 (2000) 139-171 and 104 (1993) 86-92. Each round takes tasks of a few trees
    that stand in each other's way off the board, or one or two whole crew-days, and inserts them
    anew in another order. A round
    is kept unless it ends more than the deviation above the best so far; the deviation falls to
    nothing over the rounds, a few times in all.
    """
    if not trees:
        return
    random = RandomNumbers(SEED)
    movable = set(trees)
    best_cost, best = board.cost, list(board.slot_of)
    for done in range(rounds):
        deviation, cycles = DEVIATION, CYCLES
        if best_cost >= GIVEN_UP:
            deviation, cycles = DEVIATION_WHEN_SHORT, CYCLES_WHEN_SHORT
        cycle = max(1, rounds // cycles)
        allowed = deviation * (cycle - done % cycle) // cycle
        first = _first_tree(board, trees, random)
        taken = _neighbours(board, first, movable, 1 + random.below(MOST_TAKEN), random)
        if random.below(3) == 0:
            taken, tasks = _crew_days(board, taken, movable, random)
        else:
            tasks = _some_tasks(board, taken, random)
        _order(board.choices, taken, random)
        bait = _bait(board.choices, taken, random)
        _try(board, taken, tasks, best_cost + allowed, bait)
        if board.cost < best_cost:
            best_cost, best = board.cost, list(board.slot_of)
    _set(board, best)


def _try(
    board: Board, trees: list[int], tasks: list[int], limit: int, bait: int | None = None
) -> None:
    """Inserts tasks of some trees anew, and those without a place; puts all back if too dear."""
    waiting = [
        task for tree in trees for task in board.choices.trees[tree] if board.slot_of[task] is None
    ]
    before = [(task, board.slot_of[task]) for task in dict.fromkeys([*tasks, *waiting])]
    for task in tasks:
        board.take(task)
    fits = all(insert_tree(board, tree, bait) for tree in trees)
    if not fits or board.cost > limit:
        for task, _ in before:
            board.take(task)
        for task, slot in before:
            if slot is not None:
                board.put(task, slot)


def _try_whole(board: Board, trees: list[int]) -> None:
    """Inserts whole trees anew, if that costs less than before."""
    tasks = [task for tree in trees for task in board.choices.trees[tree]]
    _try(board, trees, tasks, board.cost - 1)


def _some_tasks(board: Board, trees: list[int], random: RandomNumbers) -> list[int]:
    """The tasks to take off: of some trees all, of others about half."""
    tasks = []
    for tree in trees:
        whole = random.below(3) == 0
        for task in board.choices.trees[tree]:
            if whole or random.below(2):
                tasks.append(task)
    return tasks


def _crew_days(
    board: Board, trees: list[int], movable: set[int], random: RandomNumbers
) -> tuple[list[int], list[int]]:
    """All tasks of one or two crew-days of some trees, and no other; and the trees to insert."""
    standing = [slot for tree in trees for _, slot in board.placed(tree)]
    if not standing:
        return trees[:1], []
    slots = {standing[random.below(len(standing))] for _ in range(1 + random.below(2))}
    tasks = [
        task
        for slot in sorted(slots)
        for task in board.tasks_in[slot]
        if board.choices.tree_of[task] in movable
    ]
    others = [board.choices.tree_of[task] for task in tasks]
    return list(dict.fromkeys([trees[0], *others])), tasks


def _bait(ready: Choices, trees: list[int], random: RandomNumbers) -> int | None:
    """Every second round: the best of three days drawn for one task."""
    tasks = ready.trees[trees[random.below(len(trees))]]
    choice = ready.of_task[tasks[random.below(len(tasks))]]
    if random.below(2) or not choice.slots:
        return None
    drawn = [random.below(len(choice.slots)) for _ in range(3)]
    return choice.slots[min(drawn, key=lambda index: choice.points[index])]


def _eject_for(board: Board, tree: int, movable: set[int]) -> None:
    """Makes way for a tree that is not wholly placed: one other tree at a time steps aside."""
    in_the_way = {
        board.choices.tree_of[task]: None
        for slot in board.choices.slots_of_tree[tree]
        for task in board.tasks_in[slot]
    }
    others = [other for other in in_the_way if other in movable and other != tree]
    for other in others[:MOST_EJECTED]:
        before = board.cost
        _try_whole(board, [tree, other])
        if board.cost < before:
            return


def _first_tree(board: Board, trees: Sequence[int], random: RandomNumbers) -> int:
    """Every second round one that is not wholly placed, if there is one; else any."""
    if board.cost >= GIVEN_UP and random.below(2):
        slot_of, tree_of = board.slot_of, board.choices.tree_of
        waiting = [task for task, slot in enumerate(slot_of) if slot is None]
        return tree_of[waiting[random.below(len(waiting))]]
    return trees[random.below(len(trees))]


def _neighbours(
    board: Board, first: int, movable: set[int], count: int, random: RandomNumbers
) -> list[int]:
    """The first tree and up to so many others: of its cluster, or from crew-days it could use."""
    ready = board.choices
    if random.below(3) == 0:
        place = ready.instance.tasks[ready.trees[first][0]].place
        near = [
            tree
            for tree in ready.trees_in_cluster[ready.instance.clusters[place]]
            if tree in movable and tree != first
        ]
        random.shuffle(near)
        return [first, *near[:count]]
    tasks = ready.trees[first]
    waiting = [task for task in tasks if board.slot_of[task] is None] or tasks
    slots = ready.of_task[waiting[random.below(len(waiting))]].slots
    found = {first: None}
    if slots:
        middle = random.below(len(slots))
        for step in range(2 * count):  # outward, day by day, on both sides
            index = middle + (step + 1) // 2 * (1 if step % 2 else -1)
            for task in board.tasks_in[slots[index % len(slots)]]:
                tree = ready.tree_of[task]
                if tree in movable:
                    found[tree] = None
            if len(found) > count:
                break
    return list(found)[: count + 1]


def _order(ready: Choices, trees: list[int], random: RandomNumbers) -> None:
    """One of three orders for inserting anew: the first one first, any, the fewest choices first"""
    kind = random.below(3)
    if kind == 0:
        others = trees[1:]
        random.shuffle(others)
        trees[1:] = others
    elif kind == 1:
        random.shuffle(trees)
    else:
        trees.sort(key=lambda tree: _constrained_first(ready, tree))


def _set(board: Board, slot_of: Sequence[int | None]) -> None:
    """Brings the board to a schedule known from before."""
    moved = [task for task, slot in enumerate(slot_of) if board.slot_of[task] != slot]
    for task in moved:
        board.take(task)
    for task in moved:
        slot = slot_of[task]
        if slot is not None:
            board.put(task, slot)


def _constrained_first(ready: Choices, tree: int) -> tuple[int, int, int]:
    tasks = [ready.instance.tasks[task] for task in ready.trees[tree]]
    published = any(task.published is not None for task in tasks)
    fewest = min(len(ready.of_task[task].slots) for task in ready.trees[tree])
    return (0 if published else 1, fewest, -sum(task.minutes for task in tasks))
