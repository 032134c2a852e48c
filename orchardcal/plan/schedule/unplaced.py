"""Why a task found no place, and the smallest single change found that would give it one.

What is said here is what the planner found, not what is possible: "no place found". Only an empty
row of choices, before hours and other work come in, proves that there is none.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from orchardcal.plan.schedule.instance import Instance, Link
from orchardcal.plan.schedule.search import Schedule

# The steps of the funnel, each narrower than the one before, counted in days.
OPEN = "days on which the care may be done"
WORKED = "days on which some crew works"
ABLE = "days on which a crew works that goes there and holds the skills"
IN_ORDER = "days in order with the cares before and after"
LARGE = "days long enough for the care, were the crew free"
FREE = "days on which the crew has hours and places left"

# The kinds of change, from the one that asks least to the one that asks most.
MORE_MINUTES = "more minutes"  # amount: minutes, for a crew on a day
ONE_MORE_PLACE = "one more place"  # amount: places, for a crew on a day
WIDER_GAP = "wider gap"  # amount: days added to the longest gap after the care before
ONE_MORE_DAY = "one more day"  # amount: minutes, of a crew on a day it does not work
WIDER_WINDOW = "wider window"  # amount: days before the first or after the last day
KINDS = (MORE_MINUTES, ONE_MORE_PLACE, WIDER_GAP, ONE_MORE_DAY, WIDER_WINDOW)


@dataclass(frozen=True)
class Step:
    """How many days are left after one question."""

    name: str
    days: int


@dataclass(frozen=True)
class Change:
    """One thing that, changed alone, would give the task a place on that day with that crew."""

    kind: str
    amount: int
    crew: int
    day: int


@dataclass(frozen=True)
class Unplaced:
    """A task without a place.

    waits_for: the unplaced task that must come first; then there is no change of its own.
    proven: no day is left before hours come in, so that no plan at all can place it as things are.
    blockers: the tasks that fill the crew-days it could use, those with most minutes first.
    changes: the smallest of each kind, the least demanding kind first.
    """

    task: int
    funnel: tuple[Step, ...]
    waits_for: int | None
    proven: bool
    blockers: tuple[int, ...]
    changes: tuple[Change, ...]

    @property
    def nearest(self) -> Change | None:
        return self.changes[0] if self.changes else None


def explain_unplaced(instance: Instance, schedule: Schedule) -> tuple[Unplaced, ...]:
    """One account for each unplaced task, all else standing as it does."""
    state = _Standing(instance, schedule)
    return tuple(_account(state, task) for task in schedule.unplaced)


class _Standing:
    """The schedule as it stands: what is left of each slot, and the days of each task."""

    def __init__(self, instance: Instance, schedule: Schedule) -> None:
        self.instance = instance
        self.day_of = {placed.task: placed.day for placed in schedule.placements}
        self.tasks_in: dict[int, list[int]] = {}
        for placed in schedule.placements:
            self.tasks_in.setdefault(placed.slot, []).append(placed.task)
        self.slots_on: dict[int, list[int]] = {}
        self.days_of_crew: dict[int, list[int]] = {}
        for number, slot in enumerate(instance.slots):
            self.slots_on.setdefault(slot.day, []).append(number)
            self.days_of_crew.setdefault(slot.crew, []).append(number)
        self.before = {link.after: link for link in instance.links}
        self.links_of: dict[int, list[Link]] = {}
        for link in instance.links:
            self.links_of.setdefault(link.before, []).append(link)
            self.links_of.setdefault(link.after, []).append(link)

    def minutes_short(self, task: int, slot_number: int) -> int:
        """Minutes the slot lacks for the task and its way there; 0 or less where it fits."""
        slot = self.instance.slots[slot_number]
        others = self.tasks_in.get(slot_number, [])
        places = {self.instance.tasks[other].place for other in [*others, task]}
        crew = self.instance.crews[slot.crew]
        work = sum(crew.minutes_for(self.instance.tasks[other]) for other in [*others, task])
        ways = {self.instance.clusters[place] for place in places}
        drive = sum(self.instance.trips[slot.crew, cluster].minutes for cluster in ways)
        return work + slot.visit_minutes * len(places) + drive - slot.minutes

    def alone_minutes(self, task: int, crew: int, visit_minutes: int) -> int:
        """Minutes of a day with this task only."""
        work = self.instance.tasks[task]
        drive = self.instance.trips[crew, self.instance.clusters[work.place]].minutes
        return self.instance.crews[crew].minutes_for(work) + visit_minutes + drive

    def place_is_free(self, task: int, slot_number: int) -> bool:
        tasks = self.instance.tasks
        places = {tasks[other].place for other in self.tasks_in.get(slot_number, [])}
        places.add(tasks[task].place)
        return len(places) <= self.instance.slots[slot_number].places

    def in_order(self, task: int, day: int, wider: int = 0) -> bool:
        """Whether the day keeps the gaps to placed neighbours; wider: days added before it."""
        for link in self.links_of.get(task, ()):
            other = link.before if link.after == task else link.after
            if other not in self.day_of:
                if link.after == task and link.needed:
                    return False
                continue
            gap = day - self.day_of[other] if link.after == task else self.day_of[other] - day
            most = link.max_days
            if most is not None and link.after == task:
                most += wider
            if gap < link.min_days or (most is not None and gap > most):
                return False
        return True


def _account(state: _Standing, task: int) -> Unplaced:
    instance = state.instance
    days = [day for day, _ in instance.tasks[task].days]
    able = [
        slot
        for day in days
        for slot in state.slots_on.get(day, [])
        if instance.may_do(instance.slots[slot].crew, task)
    ]
    ordered = [slot for slot in able if state.in_order(task, instance.slots[slot].day)]
    large = [slot for slot in ordered if _fits_alone(state, task, slot)]
    free = [
        slot
        for slot in large
        if state.minutes_short(task, slot) <= 0 and state.place_is_free(task, slot)
    ]
    worked = [day for day in days if day in state.slots_on]
    link = state.before.get(task)
    waits = link is not None and link.needed and link.before not in state.day_of
    in_the_way = {other for slot in large for other in state.tasks_in.get(slot, [])}
    return Unplaced(
        task=task,
        funnel=(
            Step(OPEN, len(days)),
            Step(WORKED, len(worked)),
            *(
                Step(name, len({instance.slots[slot].day for slot in slots}))
                for name, slots in ((ABLE, able), (IN_ORDER, ordered), (LARGE, large), (FREE, free))
            ),
        ),
        waits_for=link.before if link is not None and waits else None,
        proven=not any(_fits_alone(state, task, slot) for slot in able),
        blockers=tuple(
            sorted(in_the_way, key=lambda other: (-instance.tasks[other].minutes, other))
        ),
        changes=() if waits else _smallest_of_each_kind(state, task, ordered),
    )


def _fits_alone(state: _Standing, task: int, slot_number: int) -> bool:
    slot = state.instance.slots[slot_number]
    return slot.places > 0 and (
        state.alone_minutes(task, slot.crew, slot.visit_minutes) <= slot.minutes
    )


def _smallest_of_each_kind(state: _Standing, task: int, ordered: list[int]) -> tuple[Change, ...]:
    found = [
        *_changes_on_crew_days(state, task, ordered),
        *_wider_gaps(state, task),
        *_more_days(state, task),
        *_wider_windows(state, task),
    ]
    best: dict[str, Change] = {}
    for change in sorted(found, key=lambda one: (one.amount, one.day, one.crew)):
        best.setdefault(change.kind, change)
    return tuple(best[kind] for kind in KINDS if kind in best)


def _changes_on_crew_days(state: _Standing, task: int, ordered: list[int]) -> Iterator[Change]:
    for number in ordered:
        slot = state.instance.slots[number]
        short, free = state.minutes_short(task, number), state.place_is_free(task, number)
        if short > 0 and free:
            yield Change(MORE_MINUTES, short, slot.crew, slot.day)
        elif short <= 0 and not free:
            yield Change(ONE_MORE_PLACE, 1, slot.crew, slot.day)


def _free_slot(state: _Standing, task: int, slot_number: int) -> bool:
    slot = state.instance.slots[slot_number]
    return (
        state.instance.may_do(slot.crew, task)
        and state.place_is_free(task, slot_number)
        and state.minutes_short(task, slot_number) <= 0
    )


def _wider_gaps(state: _Standing, task: int) -> Iterator[Change]:
    link = state.before.get(task)
    if link is None or link.max_days is None or link.before not in state.day_of:
        return
    for day, _ in state.instance.tasks[task].days:
        wider = day - state.day_of[link.before] - link.max_days
        if wider > 0 and state.in_order(task, day, wider):
            for number in state.slots_on.get(day, []):
                if _free_slot(state, task, number):
                    yield Change(WIDER_GAP, wider, state.instance.slots[number].crew, day)


def _more_days(state: _Standing, task: int) -> Iterator[Change]:
    """A day on which an able crew does not work yet; its hours as this task needs them."""
    instance = state.instance
    for crew, numbers in sorted(state.days_of_crew.items()):
        if not instance.may_do(crew, task):
            continue
        worked = {instance.slots[number].day for number in numbers}
        visit_minutes = max(instance.slots[number].visit_minutes for number in numbers)
        minutes = state.alone_minutes(task, crew, visit_minutes)
        for day, _ in instance.tasks[task].days:
            if day not in worked and state.in_order(task, day):
                yield Change(ONE_MORE_DAY, minutes, crew, day)
                break


def _wider_windows(state: _Standing, task: int) -> Iterator[Change]:
    """The nearest crew-day with room before the first or after the last day."""
    days = [day for day, _ in state.instance.tasks[task].days]
    if not days:
        return
    for number, slot in enumerate(state.instance.slots):
        outside = max(days[0] - slot.day, slot.day - days[-1])
        if outside > 0 and state.in_order(task, slot.day) and _free_slot(state, task, number):
            yield Change(WIDER_WINDOW, outside, slot.crew, slot.day)
