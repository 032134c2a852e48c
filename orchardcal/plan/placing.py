"""Tasks of one site put on days: order and gaps first, then likely weather and few visits."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from orchardcal import care as cares
from orchardcal.plan.task import Task

WEATHER = 100.0  # cost of a day that never suits; twice for oil
VISIT = 30.0  # cost of going to the site on one more day
FROM_TARGET = 0.5  # cost per day away from the best day
FROM_TARGET_PRUNING = 2.0  # the same for pruning, whose best time is the tree's, not the weather's
GIVES_WAY_DAYS = 21  # pruning leaves its best day by no more than this for the work after it
MOVED, MOVED_PER_DAY = 60.0, 3.0  # cost of moving a date that people have seen
PINNED = 1000.0  # gain of a day that the coordinator pinned: above all other costs


PRUNING = (cares.DORMANT_PRUNING, cares.IN_LEAF_PRUNING)


@dataclass(frozen=True)
class Order:
    """Task `later` comes at least `gap` days after task `earlier`, at most `within` where given.

    needed: without the earlier task there is no later one.
    """

    earlier: int
    later: int
    gap: int
    within: int | None
    needed: bool = False

    def after(self, day: date) -> tuple[date, date]:
        """The first and last day for the later task when the earlier one is on `day`."""
        last = date.max if self.within is None else day + timedelta(days=self.within)
        return day + timedelta(days=self.gap), last

    def before(self, day: date) -> tuple[date, date]:
        """The first and last day for the earlier task when the later one is on `day`."""
        first = date.min if self.within is None else day - timedelta(days=self.within)
        return first, day - timedelta(days=self.gap)


@dataclass(frozen=True)
class Placed:
    """days: one per task, None where no day keeps the order. blocked_by: for those, which order."""

    days: tuple[date | None, ...]
    blocked_by: dict[int, Order]

    def in_order(self, at: int, day: date, rules: Sequence[Order]) -> bool:
        """Whether task `at` would keep its order with the others, where they are, on a day."""
        for rule in rules:
            if at not in (rule.earlier, rule.later):
                continue
            other = self.days[rule.earlier if at == rule.later else rule.later]
            if other is None:
                continue
            first, last = rule.after(other) if at == rule.later else rule.before(other)
            if not first <= day <= last:
                return False
        return True


def orders(tasks: Sequence[Task]) -> list[Order]:
    """The links of all tasks to earlier tasks that share a planting with them."""
    found = []
    for later, task in enumerate(tasks):
        for link in task.links:
            for earlier, other in enumerate(tasks):
                if (
                    other.slot == link.slot
                    and other.season == task.season
                    and set(other.ids) & set(task.ids)
                ):
                    found.append(
                        Order(earlier, later, link.gap_days, link.within_days, link.needed)
                    )
    return found


def placed(tasks: Sequence[Task], free: Sequence[Sequence[date]], rules: Sequence[Order]) -> Placed:
    """A day for every task that has one under the order; the later task of a broken order yields.

    free: candidate days per task. Tasks are taken earlier before later; each takes its cheapest
    day among those that leave every later task a day.
    """
    domains = [_near_best(task, days) for task, days in zip(tasks, free, strict=True)]
    blocked: dict[int, Order] = {}
    live = list(rules)
    _narrow(domains, live, blocked)
    chosen: list[date | None] = [None] * len(tasks)
    for at in _earlier_first(len(tasks), rules):
        if not domains[at]:
            continue
        visits = {
            day
            for other, day in zip(tasks, chosen, strict=True)
            if day is not None and other.for_crews == tasks[at].for_crews
        }
        day = min(domains[at], key=lambda day: (_cost(tasks[at], day, visits), day))
        chosen[at] = day
        domains[at] = [day]
        _narrow(domains, live, blocked)
    return Placed(tuple(chosen), blocked)


def _near_best(task: Task, days: Sequence[date]) -> list[date]:
    """The free days without those the forecast speaks against, where others are left.

    For pruning only those near its best day, where there are any.
    """
    days = not_against_forecast(task, days)
    if task.care not in PRUNING:
        return days
    near = [
        day
        for day in days
        if abs((day - task.target).days) <= GIVES_WAY_DAYS
        or (day == task.previous_day and not task.for_crews)
        or day in task.pinned
    ]
    return near or list(days)


def not_against_forecast(task: Task, days: Sequence[date]) -> list[date]:
    """The days without those the forecast speaks against, where others are left."""
    return [day for day in days if day not in task.by_forecast or task.suits(day)] or list(days)


def days_in_order(free: Sequence[Sequence[date]], rules: Sequence[Order]) -> list[list[date]]:
    """The free days of each task that leave every task linked with it a day."""
    domains = [list(days) for days in free]
    _narrow(domains, list(rules), {})
    return domains


def day_cost(task: Task, day: date) -> float:
    """What a day costs a task by itself: unlikely weather, and the distance from its best day."""
    weather = WEATHER * (2 if task.care == cares.DORMANT_OIL_SPRAY else 1)
    away = abs((day - task.target).days)
    per_day = FROM_TARGET_PRUNING if task.care in PRUNING else FROM_TARGET
    return weather * (1 - task.suits(day)) + away * per_day


def _cost(task: Task, day: date, visits: set[date]) -> float:
    cost = day_cost(task, day)
    if task.care != cares.SPRAY_NOTICE:
        cost += 0 if day in visits else VISIT
    if task.previous_day is not None and not task.for_crews and day != task.previous_day:
        cost += MOVED + MOVED_PER_DAY * abs((day - task.previous_day).days)
    return cost - PINNED if day in task.pinned else cost


def _narrow(domains: list[list[date]], live: list[Order], blocked: dict[int, Order]) -> None:
    """Take out days that leave a linked task no day, until nothing changes.

    Where an order cannot be kept at all its later task loses all its days and its orders fall.
    """
    changed = True
    while changed:
        changed = False
        for order in list(live):
            earlier, later = domains[order.earlier], domains[order.later]
            if not earlier or not later:
                if order.needed and later:
                    domains[order.later] = []
                    blocked[order.later] = order
                live.remove(order)
                changed = True
                continue
            later_kept = [day for day in later if _some_within(earlier, *order.before(day))]
            if not later_kept:
                domains[order.later] = []
                blocked[order.later] = order
                changed = True
                continue
            earlier_kept = [day for day in earlier if _some_within(later_kept, *order.after(day))]
            if len(later_kept) < len(later) or len(earlier_kept) < len(earlier):
                domains[order.later], domains[order.earlier] = later_kept, earlier_kept
                changed = True


def _some_within(days: list[date], first: date, last: date) -> bool:
    """Whether one of the days, which are in order, lies between the two."""
    at = bisect_left(days, first)
    return at < len(days) and days[at] <= last


def _earlier_first(count: int, rules: Sequence[Order]) -> list[int]:
    """Task numbers with every earlier task before its later ones, else in their given order."""
    waiting = {at: {rule.earlier for rule in rules if rule.later == at} for at in range(count)}
    ordered: list[int] = []
    while waiting:
        ready = [at for at, before in waiting.items() if not before - set(ordered)]
        if not ready:
            raise ValueError("tasks wait for each other in a circle")
        ordered.extend(ready)
        for at in ready:
            del waiting[at]
    return ordered


def notice_days(notice_h: int) -> int:
    """Whole days a notice must stand before spraying."""
    return -(-notice_h // 24)
