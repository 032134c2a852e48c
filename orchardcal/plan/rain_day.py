"""Where a work day goes when it is rained off, without upsetting what comes before and after."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from datetime import date, timedelta

from orchardcal import care as cares
from orchardcal.plan.days import SiteDays
from orchardcal.plan.placing import Order, orders
from orchardcal.plan.task import Task
from orchardcal.sentence import Sentence, say

WEEKS_LATER = (1, 2)  # people free on a Saturday mostly are on the next; common practice, no source


def rain_day(
    own: Collection[int],
    tasks: Sequence[Task],
    days: Sequence[date],
    calendar: SiteDays,
    taken: Collection[date],
) -> tuple[date | None, Sentence | None]:
    """Another day free for all tasks of a work day, or None and why there is none.

    The same weekday one or two weeks later if it will do, else the next day that does.
    own: numbers of its tasks. days: where every task stands. taken: other work days of the site.
    """
    day = days[min(own)]
    free = set.intersection(*(set(calendar.days_for(tasks[at]).free) for at in own))
    later = sorted(one for one in free if one > day and one not in taken)
    if not later:
        last = min(tasks[at].span.last for at in own)
        return None, say(
            "No rain date: no other day is free for all of this work up to {last}.", last=last
        )
    rules = orders(tasks)
    weeks = [day + timedelta(weeks=count) for count in WEEKS_LATER]
    for one in sorted(later, key=lambda one: (one not in weeks, one)):
        if all(_kept(rule, own, tasks, days, calendar, one) for rule in rules):
            return one, None
    return None, say("No rain date: work that is tied to this one leaves no room on a later day.")


def _kept(
    rule: Order,
    own: Collection[int],
    tasks: Sequence[Task],
    days: Sequence[date],
    calendar: SiteDays,
    moved_to: date,
) -> bool:
    """Whether an order still holds when the tasks of the work day are moved.

    A look at the cuts moves along if it can: nobody was invited to it.
    """
    if rule.earlier not in own and rule.later not in own:
        return True
    if rule.earlier in own and tasks[rule.later].care == cares.LOOK_AT_CUTS:
        first, last = rule.after(moved_to)
        return any(first <= day <= last for day in calendar.days_for(tasks[rule.later]).free)
    earlier = moved_to if rule.earlier in own else days[rule.earlier]
    later = moved_to if rule.later in own else days[rule.later]
    first, last = rule.after(earlier)
    return first <= later <= last
