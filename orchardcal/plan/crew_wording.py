"""What is said of crews: who comes, and why no crew has a place for a task."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date

from orchardcal.plan.crew_place import CrewPlace, NoCrew
from orchardcal.plan.schedule import Change, Unplaced
from orchardcal.plan.schedule.unplaced import (
    ABLE,
    FREE,
    IN_ORDER,
    LARGE,
    MORE_MINUTES,
    ONE_MORE_DAY,
    ONE_MORE_PLACE,
    OPEN,
    WIDER_GAP,
    WORKED,
)
from orchardcal.sentence import Hours, Sentence, say
from orchardcal.sites.crew_settings import LADDER, PRUNING, SPRAYING, CrewSettings


def crew_comes(place: CrewPlace) -> Sentence:
    return say(
        "{crew} comes with {count} person.",
        plural="{crew} comes with {count} people.",
        crew=place.name,
        count=place.people,
    )


def crew_day(place: CrewPlace) -> Sentence:
    return say(
        "The day is one of those on which {crew} works, chosen together with its work elsewhere.",
        crew=place.name,
    )


LACKING = {
    PRUNING: say("No crew that comes here is skilled in pruning."),
    LADDER: say("No crew that comes here works on ladders, which trees of this height ask for."),
    SPRAYING: say("No crew that comes here is licensed to spray, which this ground asks for."),
}


def lacking_skill(skill: str) -> NoCrew:
    """For a task that waits for somebody with a skill."""
    nearest = say("It waits for somebody who is: enter the skill with the crew that gains it.")
    return NoCrew((LACKING[skill],), nearest)


def no_crew(
    account: Unplaced,
    crews: tuple[CrewSettings, ...],
    day_of: Callable[[int], date],
    waits_for: Sentence | None,
) -> NoCrew:
    """The account of a task without a place, in words.

    waits_for: the title of the work it waits for, which found no place either.
    """
    if waits_for is not None:
        why = say("It follows other work ({work}) that no crew has a place for.", work=waits_for)
        return NoCrew((why,), None)
    days = {step.name: step.days for step in account.funnel}
    empty = next((step for step in (WORKED, ABLE, IN_ORDER, LARGE) if not days[step]), FREE)
    told = say(
        NARROWED[empty],
        open=days[OPEN],
        worked=days[WORKED],
        able=days[ABLE],
        in_order=days[IN_ORDER],
        large=days[LARGE],
        free=days[FREE],
    )
    change = account.nearest
    return NoCrew((told,), None if change is None else _nearest(change, crews, day_of(change.day)))


def no_hours(crew: CrewSettings) -> NoCrew:
    """For a task that no order of a crew's visits brings inside the hours of the sites."""
    why = say(
        "No place found with a crew: the hours of the sites that {crew} visits on the same days"
        " leave no room for it.",
        crew=crew.name,
    )
    return NoCrew((why,), say("Longer visiting hours at the site would help."))


# By the first step that leaves no day.
NARROWED = {
    WORKED: "No place found with a crew: none works on any day it may be done on (days: {open}).",
    ABLE: (
        "No place found with a crew: some crew works on days it may be done on ({worked} of"
        " {open}), but none that comes here with the skills for it."
    ),
    IN_ORDER: (
        "No place found with a crew: one could come on days it may be done on ({able} of {open}),"
        " but none of these keeps the order with other work."
    ),
    LARGE: (
        "No place found with a crew: one could come on days it may be done on ({in_order} of"
        " {open}), but its day is too short for all of it."
    ),
    FREE: (
        "No place found with a crew: one could come on days it may be done on ({in_order} of"
        " {open}), for long enough on {large} of them, and has the time left on {free}."
    ),
}


def _nearest(change: Change, crews: tuple[CrewSettings, ...], day: date) -> Sentence:
    name = crews[change.crew].name
    if change.kind == MORE_MINUTES:
        quarters = -(-change.amount // (15 * crews[change.crew].people))
        more = Hours(quarters / 4)
        return say("{day} would do, if {crew} had {more} more.", day=day, crew=name, more=more)
    if change.kind == ONE_MORE_PLACE:
        return say("{day} would do, if {crew} made one more visit that day.", day=day, crew=name)
    if change.kind == ONE_MORE_DAY:
        return say("{day} would do, if {crew} worked on that day too.", day=day, crew=name)
    if change.kind == WIDER_GAP:
        return say(
            "{day} would do with {crew}, if it might come {count} day later after the work before"
            " it.",
            plural="{day} would do with {crew}, if it might come {count} days later after the work"
            " before it.",
            day=day,
            crew=name,
            count=change.amount,
        )
    return say(
        "{day} would do with {crew}, {count} day outside its window: ask somebody who knows the"
        " tree first.",
        plural="{day} would do with {crew}, {count} days outside its window: ask somebody who knows"
        " the tree first.",
        day=day,
        crew=name,
        count=change.amount,
    )
