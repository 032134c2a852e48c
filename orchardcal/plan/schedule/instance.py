"""What is to be scheduled, in whole numbers: tasks, links, crews, their days and trips.

The planner knows nothing of sites, species or dates. A caller numbers its places, crews and skills
from 0, and its days from 0 so that a week is seven days in a row (day // 7).
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

PINNED_PRIORITY = 1000  # a pinned task is given up last


@dataclass(frozen=True)
class Task:
    """One piece of work at one place, done by one crew on one day.

    days: (day, percent unsuited) for each day on which it may be done, in order of days. Closures
    and bans are days left out. 0 means suited for certain; what is worth more care may count above
    100.
    minutes: person-minutes at a pace of 100 percent. needs: the skills a crew must hold.
    priority: what giving it up counts. published, published_crew: the day people were told and the
    crew that was to come, if any. crew: the only crew that may do it, if somebody said so.
    """

    place: int
    minutes: int
    days: tuple[tuple[int, int], ...]
    needs: frozenset[int] = frozenset()
    priority: int = 1
    published: int | None = None
    published_crew: int | None = None
    crew: int | None = None


@dataclass(frozen=True)
class Link:
    """An order between two tasks of one place, with the days to leave between them.

    min_days 0: the same day will do. max_days None: no limit.
    needed: without the first task there is no second one (no paint without a cut).
    """

    before: int
    after: int
    min_days: int = 0
    max_days: int | None = None
    needed: bool = True


@dataclass(frozen=True)
class Crew:
    """People who work together: a staff crew or a group of volunteers.

    even_week_minutes: the load of a week above which a busy week is counted; None: never.
    pace_percent: 50 takes twice the minutes of a task.
    """

    skills: frozenset[int] = frozenset()
    even_week_minutes: int | None = None
    pace_percent: int = 100

    def minutes_for(self, task: Task) -> int:
        return -(-task.minutes * 100 // self.pace_percent)


@dataclass(frozen=True)
class Slot:
    """One crew on one day.

    minutes: person-minutes to give. places: how many places at most. visit_minutes: what each
    place costs before work starts (unloading, talk). work_day: a volunteer day, optional, which
    costs something to call.
    """

    crew: int
    day: int
    minutes: int
    places: int
    visit_minutes: int = 0
    work_day: bool = False


@dataclass(frozen=True)
class Trip:
    """The way of a crew to a cluster of near places and back, once a day."""

    km: int
    minutes: int = 0


@dataclass(frozen=True)
class Instance:
    """Everything to schedule.

    clusters: the cluster of each place. trips: by (crew, cluster); a pair that is missing says
    that the crew does not go there.
    """

    tasks: tuple[Task, ...]
    links: tuple[Link, ...]
    crews: tuple[Crew, ...]
    slots: tuple[Slot, ...]
    clusters: tuple[int, ...]
    trips: Mapping[tuple[int, int], Trip]

    def may_do(self, crew: int, task: int) -> bool:
        """Whether a crew goes to the task's place, holds the skills, and was not ruled out."""
        wanted = self.tasks[task]
        return (
            (wanted.crew is None or wanted.crew == crew)
            and (crew, self.clusters[wanted.place]) in self.trips
            and wanted.needs <= self.crews[crew].skills
        )


def pinned(task: Task, day: int, crew: int | None = None) -> Task:
    """The task on this day or nowhere; a day outside its own days is kept and counts as unsuited.

    >>> pinned(Task(place=0, minutes=60, days=((3, 0), (4, 20))), day=4).days
    ((4, 20),)
    """
    unsuited = dict(task.days).get(day, 100)
    only = task.crew if crew is None else crew
    return replace(task, days=((day, unsuited),), priority=PINNED_PRIORITY, crew=only)


def without_days(task: Task, banned: Iterable[int]) -> Task:
    """The task with some of its days ruled out."""
    out = set(banned)
    return replace(task, days=tuple((day, cost) for day, cost in task.days if day not in out))


def check(instance: Instance) -> None:
    """Raises ValueError on an instance no caller should build."""
    faults: list[str] = []
    for number, task in enumerate(instance.tasks):
        if not 0 <= task.place < len(instance.clusters):
            faults.append(f"task {number} is at place {task.place}, which does not exist")
        if task.minutes <= 0 or task.priority <= 0:
            faults.append(f"task {number} needs minutes and a priority above 0")
        if any(cost < 0 for _, cost in task.days):
            faults.append(f"task {number} has a day with a cost below 0")
        if any(one[0] >= two[0] for one, two in zip(task.days, task.days[1:], strict=False)):
            faults.append(f"task {number} has days out of order")
    for number, slot in enumerate(instance.slots):
        if not 0 <= slot.crew < len(instance.crews):
            faults.append(f"slot {number} is of crew {slot.crew}, which does not exist")
    if len({(slot.crew, slot.day) for slot in instance.slots}) < len(instance.slots):
        faults.append("a crew has the same day twice")
    seen: set[int] = set()
    for link in instance.links:
        ends = (link.before, link.after)
        if not all(0 <= end < len(instance.tasks) for end in ends):
            faults.append(f"a link joins tasks {ends}, which do not both exist")
            continue
        if instance.tasks[link.before].place != instance.tasks[link.after].place:
            faults.append(f"a link joins tasks {ends} of different places")
        if link.min_days < 0 or (link.max_days is not None and link.max_days < link.min_days):
            faults.append(f"the gap between tasks {ends} is not a range of days")
        if link.after in seen:
            faults.append(f"task {link.after} has two tasks before it; link them in a row")
        seen.add(link.after)
    if faults:
        raise ValueError("; ".join(faults))
