"""The order between a site's crew tasks as links that each task has at most one of before it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date, timedelta

from orchardcal.plan.outcome import SERVES
from orchardcal.plan.placing import Order, days_in_order, not_against_forecast, orders
from orchardcal.plan.schedule import Link
from orchardcal.plan.site_work import SiteWork
from orchardcal.plan.volunteers import FOR_VOLUNTEERS


def crew_links(
    work: SiteWork, own: Sequence[int]
) -> tuple[Mapping[int, Sequence[date]], list[Link]]:
    """The days each crew task may have, and the links among them, by their number at the site.

    own: the crew tasks. Tasks of volunteers stand on the day the site by itself gave them; those of
    the site lead may still go anywhere that leaves the crew's a day.
    """
    tasks, placed = work.outcome.tasks, work.outcome.placed.days
    rules = [
        rule
        for rule in orders(tasks)
        if placed[rule.earlier] is not None and placed[rule.later] is not None
    ]
    among = [rule for rule in rules if rule.earlier in own and rule.later in own]
    links = _one_before_each(among, placed)
    apart = [rule for rule in among if rule not in links]
    free = [
        _free(work, at, own, [rule for rule in apart if at in (rule.earlier, rule.later)])
        for at in range(len(tasks))
    ]
    days = days_in_order(free, rules)
    return {at: days[at] for at in own}, [_link(work, rule) for rule in links]


def _one_before_each(among: Sequence[Order], placed: Sequence[date | None]) -> list[Order]:
    """For each later task the order that binds it most: behind the work that stands last."""
    binding: dict[int, Order] = {}
    for rule in among:
        other = binding.get(rule.later)
        if other is None or _binds_from(rule, placed) > _binds_from(other, placed):
            binding[rule.later] = rule
    return list(binding.values())


def _binds_from(rule: Order, placed: Sequence[date | None]) -> date:
    day = placed[rule.earlier]
    assert day is not None
    return day + timedelta(days=rule.gap)


def _free(work: SiteWork, at: int, own: Sequence[int], apart: Sequence[Order]) -> list[date]:
    """The candidate days of a task; on its own side of a day between, where an order is no link."""
    task, day = work.outcome.tasks[at], work.outcome.placed.days[at]
    if day is None:
        return []
    if at not in own:
        fixed = task.care in FOR_VOLUNTEERS and work.site.volunteers
        return [day] if fixed else list(work.outcome.day_lists[at].free)
    days = not_against_forecast(task, work.outcome.day_lists[at].free)
    for rule in apart:
        first, last = _side(rule, at == rule.later, work.outcome.placed.days)
        days = [one for one in days if first <= one <= last]
    return days


def _side(rule: Order, later: bool, placed: Sequence[date | None]) -> tuple[date, date]:
    """The days of one side of an order when both its tasks are held apart by a day between them.

    The day lies half-way in the slack there is between where the two stand now; a longest distance
    is halved between the two sides.
    """
    earlier_day, later_day = placed[rule.earlier], placed[rule.later]
    assert earlier_day is not None
    assert later_day is not None
    slack = (later_day - earlier_day).days - rule.gap
    between = earlier_day + timedelta(days=slack // 2)
    back = forth = timedelta(days=3650)
    if rule.within is not None:
        room = rule.within - rule.gap
        back, forth = timedelta(days=room // 2), timedelta(days=room - room // 2)
    if later:
        begin = between + timedelta(days=rule.gap)
        return begin, begin + forth
    return between - back, between


def _link(work: SiteWork, rule: Order) -> Link:
    earlier, later = work.outcome.tasks[rule.earlier], work.outcome.tasks[rule.later]
    needed = rule.needed or SERVES.get(later.slot) == earlier.slot
    return Link(rule.earlier, rule.later, rule.gap, rule.within, needed)
