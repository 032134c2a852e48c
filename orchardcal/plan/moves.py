"""Why a job that people have seen on one day now stands on another."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date

from orchardcal.plan.days import DayList
from orchardcal.plan.task import Task
from orchardcal.sentence import Sentence, say


def moved_because(
    task: Task, day: date, days: DayList, as_of: date, in_order: Callable[[date], bool]
) -> Sentence | None:
    """What took the published day away; None for a new job and for one that stays.

    in_order: whether the task would keep its order with other work, as that stands now, on a day.
    """
    before = task.previous_day
    if before is None or before == day:
        return None
    if before < as_of:
        return say("it was not ticked off")
    if before not in task.span:
        return say(
            "it may now be done from {first} to {last}", first=task.span.first, last=task.span.last
        )
    against = days.kept_out.get(before, ())
    for rule, text in RULES.items():
        if rule in against:
            return say(text, name=days.names.get(before, ""))
    if not in_order(before):
        return say("it keeps its distance from other work")
    if task.odds is not None and task.suits(before) < task.suits(day):
        return say("the weather then is less likely to suit")
    return say("it joins another visit")


RULES = {
    "weekday": "that weekday is no longer one of the site's",
    "closed": "the site is closed then ({name})",
    "pupils": "pupils are on the ground then",
    "notice": "no notice of the spraying stands for that day",
    "volunteers": "volunteers cannot come on that weekday",
    "banned": "that day is now banned for work days",
    "weather": "hardly a season has weather that suits then",
    "dark": "there is too little daylight then",
}
