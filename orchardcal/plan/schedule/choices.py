"""Where each task may go at all, made ready once for the many questions of a search."""

from __future__ import annotations

from dataclasses import dataclass

from orchardcal.plan.schedule.cost import GIVEN_UP, Weights
from orchardcal.plan.schedule.instance import Instance

NO_LIMIT = 1 << 30  # days


@dataclass(frozen=True)
class Choice:
    """The slots in which one task may stand, by day and then crew, as lists side by side.

    points: what the day itself costs. minutes: at the crew's pace.
    """

    slots: list[int]
    days: list[int]
    points: list[int]
    minutes: list[int]


@dataclass(frozen=True)
class Follower:
    """A task that comes after another, and the days to leave."""

    task: int
    min_days: int
    max_days: int
    needed: bool


@dataclass(frozen=True)
class Choices:
    """An instance as the search reads it.

    order: the tasks of each tree, those that come first before those that follow. A tree is a task
    without one before it and all that hang on it by links: a site's chain of cares.
    dropped: points for giving up each task.
    trip: for each cluster, crew -> (points, minutes).
    """

    instance: Instance
    weights: Weights
    of_task: tuple[Choice, ...]
    followers: tuple[tuple[Follower, ...], ...]
    trees: tuple[tuple[int, ...], ...]
    tree_of: tuple[int, ...]
    trees_in_cluster: dict[int, list[int]]
    slots_of_tree: tuple[list[int], ...]
    dropped: tuple[int, ...]
    trip: dict[int, dict[int, tuple[int, int]]]


def choices(instance: Instance, weights: Weights) -> Choices:
    """All that does not change while tasks move about."""
    followers: list[list[Follower]] = [[] for _ in instance.tasks]
    has_one_before: set[int] = set()
    for link in instance.links:
        most = NO_LIMIT if link.max_days is None else link.max_days
        followers[link.before].append(Follower(link.after, link.min_days, most, link.needed))
        has_one_before.add(link.after)

    trees: list[tuple[int, ...]] = []
    for root in range(len(instance.tasks)):
        if root not in has_one_before:
            tasks = [root]
            for task in tasks:  # grows while it is read
                tasks.extend(follower.task for follower in followers[task])
            trees.append(tuple(tasks))
    if sum(map(len, trees)) < len(instance.tasks):
        raise ValueError("the links go round in a circle")
    tree_of = {task: number for number, tree in enumerate(trees) for task in tree}
    trees_in_cluster: dict[int, list[int]] = {}
    for number, tree in enumerate(trees):
        cluster = instance.clusters[instance.tasks[tree[0]].place]
        trees_in_cluster.setdefault(cluster, []).append(number)

    of_task = _choice_of_each_task(instance, weights)
    trip: dict[int, dict[int, tuple[int, int]]] = {}
    for (crew, cluster), way in instance.trips.items():
        points = weights.trip + weights.trip_km * way.km
        trip.setdefault(cluster, {})[crew] = (points, way.minutes)
    return Choices(
        instance=instance,
        weights=weights,
        of_task=of_task,
        followers=tuple(map(tuple, followers)),
        trees=tuple(trees),
        tree_of=tuple(tree_of[task] for task in range(len(instance.tasks))),
        trees_in_cluster=trees_in_cluster,
        slots_of_tree=tuple(
            sorted({slot for task in tree for slot in of_task[task].slots}) for tree in trees
        ),
        dropped=tuple(GIVEN_UP * task.priority for task in instance.tasks),
        trip=trip,
    )


def _choice_of_each_task(instance: Instance, weights: Weights) -> tuple[Choice, ...]:
    slots_on: dict[int, list[int]] = {}
    by_crew = sorted(range(len(instance.slots)), key=lambda number: instance.slots[number].crew)
    for slot in by_crew:
        if instance.slots[slot].places > 0:
            slots_on.setdefault(instance.slots[slot].day, []).append(slot)
    found = []
    for number, task in enumerate(instance.tasks):
        able = {
            crew: instance.crews[crew].minutes_for(task)
            for crew in range(len(instance.crews))
            if instance.may_do(crew, number)
        }
        choice = Choice([], [], [], [])
        for day, unsuited in task.days:
            points = weights.day_points(unsuited, day, task.published)
            for slot in slots_on.get(day, ()):
                crew = instance.slots[slot].crew
                if crew in able and able[crew] <= instance.slots[slot].minutes:
                    choice.slots.append(slot)
                    choice.days.append(day)
                    choice.points.append(points)
                    choice.minutes.append(able[crew])
        found.append(choice)
    return tuple(found)
