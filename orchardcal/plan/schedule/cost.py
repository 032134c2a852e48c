"""What a schedule costs: exchange rates in points, each with its words, and the bill by part."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import astuple, dataclass, field, fields

from orchardcal.plan.schedule.instance import Instance

GIVEN_UP = 10**9  # points for one unit of priority: above any sum of the other parts


def _rate(points: int, words: str) -> int:
    return field(default=points, metadata={"words": words})


@dataclass(frozen=True)
class Weights:
    """Exchange rates in points. Giving up a task stands above all of them.

    common practice, no source: the rates say what a coordinator would trade for what.
    """

    unsuited: int = _rate(100, "a day that is certain not to suit the care is worth {} points")
    visit: int = _rate(30, "a visit to a place is worth {}")
    trip: int = _rate(10, "a drive to a group of near places is worth {}")
    trip_km: int = _rate(1, "and each kilometre of that drive is worth {}")
    work_day: int = _rate(40, "calling a volunteer work day is worth {}")
    busy_hour: int = _rate(1, "an hour above a crew's even week is worth {}")
    moved: int = _rate(60, "moving a published date is worth {}")
    moved_day: int = _rate(3, "and each day it moves is worth {}")

    def in_words(self) -> tuple[tuple[str, int, str], ...]:
        """(name, points, sentence) of each rate."""
        return tuple(
            (rate.name, points, rate.metadata["words"].format(points))
            for rate, points in zip(fields(self), astuple(self), strict=True)
        )

    def day_points(self, unsuited_percent: int, day: int, published: int | None) -> int:
        """What one task costs on one day, whoever does it."""
        points = self.unsuited * unsuited_percent // 100
        if published is not None and published != day:
            points += self.moved + self.moved_day * abs(day - published)
        return points

    def busy_points(self, load_minutes: int, even_week_minutes: int | None) -> int:
        """What a crew's week costs; an hour begun counts as an hour."""
        if even_week_minutes is None or load_minutes <= even_week_minutes:
            return 0
        return -(-(load_minutes - even_week_minutes) // 60) * self.busy_hour


@dataclass(frozen=True)
class Cost:
    """The bill of a schedule: the priority given up, then the points of each part.

    visits, trips, work_days, moved: also as counts, for people to read.
    """

    given_up: int
    unsuited_points: int
    visit_points: int
    trip_points: int
    work_day_points: int
    busy_points: int
    moved_points: int
    visits: int
    trips: int
    work_days: int
    moved: int
    km: int

    @property
    def points(self) -> int:
        return (
            self.unsuited_points
            + self.visit_points
            + self.trip_points
            + self.work_day_points
            + self.busy_points
            + self.moved_points
        )

    @property
    def compared(self) -> tuple[int, int]:
        """Schedules compare by what they give up, and only then by points."""
        return self.given_up, self.points


def cost_of(instance: Instance, weights: Weights, slot_of: Sequence[int | None]) -> Cost:
    """The bill of a schedule, summed afresh. slot_of: the slot of each task, or None."""
    visits: set[tuple[int, int]] = set()
    trips: set[tuple[int, int]] = set()
    week_minutes: Counter[tuple[int, int]] = Counter()
    given_up = unsuited = moved = moved_points = 0
    for task, number in zip(instance.tasks, slot_of, strict=True):
        if number is None:
            given_up += task.priority
            continue
        slot = instance.slots[number]
        visits.add((number, task.place))
        trips.add((number, instance.clusters[task.place]))
        week_minutes[slot.crew, slot.day // 7] += instance.crews[slot.crew].minutes_for(task)
        unsuited += weights.day_points(dict(task.days)[slot.day], slot.day, None)
        if task.published not in (None, slot.day):
            moved += 1
            moved_points += weights.day_points(0, slot.day, task.published)
    work_days = {number for number, _ in visits if instance.slots[number].work_day}
    km = sum(instance.trips[instance.slots[slot].crew, cluster].km for slot, cluster in trips)
    return Cost(
        given_up=given_up,
        unsuited_points=unsuited,
        visit_points=weights.visit * len(visits),
        trip_points=weights.trip * len(trips) + weights.trip_km * km,
        work_day_points=weights.work_day * len(work_days),
        busy_points=sum(
            weights.busy_points(minutes, instance.crews[crew].even_week_minutes)
            for (crew, _), minutes in week_minutes.items()
        ),
        moved_points=moved_points,
        visits=len(visits),
        trips=len(trips),
        work_days=len(work_days),
        moved=moved,
        km=km,
    )
