"""Tasks that follow another: paint after cuts, a look at cuts, the notice before spraying."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace
from datetime import date, timedelta

from orchardcal import care as cares
from orchardcal.plan.care_tasks import AFTER, BEFORE_SUN, SiteSeason
from orchardcal.plan.days import WARM_ENOUGH
from orchardcal.plan.placing import notice_days
from orchardcal.plan.quantities import age_of
from orchardcal.plan.task import Link, Task, slot_of
from orchardcal.season import Span
from orchardcal.sentence import Sentence, say
from orchardcal.sites.site import Planting
from orchardcal.species.rules import CareRule, Follows
from orchardcal.windows.day_odds import conditions_at, odds_over

SAME_COAT_DAYS = 60  # paint after cuts is the yearly coat where the two come so close
LATE_DAYS = 60  # painting waits so long for a day that is warm enough, where none comes in time
NOTICE_STANDS_DAYS = 7  # a notice older than this is forgotten


def follow_ups(tasks: Sequence[Task], here: SiteSeason) -> list[Task]:
    """Painting and looks after every pruning, planned or done, and notices before every spray."""
    found: list[Task] = []
    for task in (*tasks, *_done_prunings(here)):
        if task.care in AFTER:
            for care in (cares.WHITEWASH_PAINTING, cares.LOOK_AT_CUTS):
                after = _after_pruning(task, care, tasks, here)
                if after is not None:
                    found.append(after)
        if any(link.slot == cares.SPRAY_NOTICE for link in task.links):
            found.append(_notice(task, here))
    return found


def with_notice(task: Task, here: SiteSeason, some_day: Callable[[Task], bool]) -> Iterable[Task]:
    """An oil spray as what its notice lets it be: trees with a notice given apart from the others.

    A notice given holds the spray to the days it stands for, if one of them will do. Otherwise
    the spray waits for a notice still to be given. some_day: whether a task has any free day.
    """
    if task.care != cares.DORMANT_OIL_SPRAY:
        yield task
        return
    stands = timedelta(days=notice_days(here.site.spray.notice_h))
    forgotten = stands + timedelta(days=NOTICE_STANDS_DAYS)
    given: dict[date | None, list[Planting]] = {}
    for planting in task.plantings:
        told = here.known.done_day(planting, cares.SPRAY_NOTICE, here.season.harvest_year)
        given.setdefault(told if told and told + forgotten >= here.as_of else None, []).append(
            planting
        )
    for told, plantings in given.items():
        part = replace(task, plantings=tuple(plantings))
        if told is not None:
            noticed = Span(told + stands, told + forgotten)
            why = say("Notice was given on {day}.", day=told)
            held = replace(part, noticed=noticed, why=(*part.why, why))
            if some_day(held):
                yield held
                continue
        yield _with_notice_to_give(part, here.as_of, stands, forgotten)


def _with_notice_to_give(oil: Task, as_of: date, stands: timedelta, forgotten: timedelta) -> Task:
    """The spray with its link to the notice before it, which can be given today at the earliest."""
    first = as_of + stands
    link = Link(cares.SPRAY_NOTICE, stands.days, forgotten.days, needed=True)
    return replace(oil, links=(*oil.links, link), noticed=Span(first, max(first, oil.span.last)))


def _done_prunings(here: SiteSeason) -> list[Task]:
    """Prunings done this season as tasks of one day, for what follows them."""
    days: dict[tuple[str, date], list[Planting]] = {}
    for planting in here.site.plantings:
        for care in AFTER:
            day = here.known.done_day(planting, care, here.season.harvest_year)
            if day is not None:
                days.setdefault((care, day), []).append(_worked_on(planting, care, here))
    return [
        Task(care, "", here.season, tuple(plantings), Span(day, day), day, None, ())
        for (care, day), plantings in days.items()
    ]


def _worked_on(planting: Planting, care: str, here: SiteSeason) -> Planting:
    """The trees of a planting on which the care is done."""
    standing = here.known.standing(planting, care, here.season.harvest_year)
    done = standing.trees_done if standing is not None else 0
    return replace(planting, count=max(1, min(done, planting.count)))


def _after_pruning(
    pruning: Task, care: str, tasks: Sequence[Task], here: SiteSeason
) -> Task | None:
    """The task of one care that follows a pruning, for the plantings whose rules ask for it."""
    asked = [
        (planting, rule, follows)
        for planting in pruning.plantings
        for rule in here.rules[planting.species].cares
        for follows in rule.follows
        if rule.care == care and follows.care == pruning.care and not rule.never
        if not _done_since(planting, care, pruning, here)
        if rule.last_age is None or age_of(planting, here.season.harvest_year) <= rule.last_age
    ]
    if not asked:
        return None
    _, rule, follows = asked[0]
    plantings = tuple(planting for planting, _, _ in asked)
    within = follows.within_days if follows.within_days is not None else follows.gap_days
    span = Span(
        pruning.span.first + timedelta(days=follows.gap_days),
        pruning.span.last + timedelta(days=within),
    )
    why = (_because(care, follows), *((say(rule.why, source=rule.source),) if rule.why else ()))
    task = Task(
        care=care,
        part=AFTER[pruning.care],
        season=here.season,
        plantings=plantings,
        span=span,
        target=_clamped(pruning.target + timedelta(days=follows.gap_days), span),
        odds=None,
        why=why,
        links=() if _is_done(pruning) else (_behind(pruning, follows, follows.within_days),),
    )
    return _when_weather_suits(task, pruning, rule, follows, tasks, here)


def _when_weather_suits(
    task: Task,
    pruning: Task,
    rule: CareRule,
    follows: Follows,
    tasks: Sequence[Task],
    here: SiteSeason,
) -> Task | None:
    """The task with the odds of its days; where hardly any day suits in time, it may wait.

    Trees whose yearly painting is still to come then wait for that, and need no task of their own.
    """
    conditions = conditions_at(rule.day, rule.day_by_climate, here.climate)
    late = Span(task.span.first, task.span.last + timedelta(days=LATE_DAYS))
    odds = odds_over(conditions, here.climate, here.season, late)
    if odds is None:
        return task
    within = timedelta(days=follows.within_days or 0)
    in_time = Span(task.target, _clamped(task.target + within, late))
    if max(odds[day] for day in in_time.days()) >= WARM_ENOUGH:
        in_span = {day: odds[day] for day in task.span.days()}
        return replace(task, odds=in_span, conditions=(conditions,))
    yearly = {
        planting.id
        for other in tasks
        if other.slot == slot_of(cares.WHITEWASH_PAINTING, BEFORE_SUN)
        and other.span.last > in_time.last
        for planting in other.plantings
    }
    left = tuple(planting for planting in task.plantings if planting.id not in yearly)
    if not left:
        return None
    waits = say(
        "Hardly a season has a suitable day within {within} days of the cuts, so it waits for the"
        " first likely one.",
        within=follows.within_days or 0,
        source=conditions.source,
    )
    after = Span(in_time.last, late.last)
    likely = next((day for day in after.days() if odds[day] >= WARM_ENOUGH), late.last)
    links = () if _is_done(pruning) else (_behind(pruning, follows, None),)
    why = (*task.why, waits)
    return replace(
        task,
        plantings=left,
        span=late,
        odds=odds,
        conditions=(conditions,),
        links=links,
        target=likely,
        why=why,
    )


def _is_done(pruning: Task) -> bool:
    """Whether the pruning is work already done, which `_done_prunings` makes a task of one day."""
    return not pruning.windows


def _behind(pruning: Task, follows: Follows, within_days: int | None) -> Link:
    return Link(pruning.slot, follows.gap_days, within_days)


def _done_since(planting: Planting, care: str, pruning: Task, here: SiteSeason) -> bool:
    """Whether the follower was done after the pruning, or the pruning is still to come and not."""
    year = here.season.harvest_year
    pruned = here.known.done_day(planting, pruning.care, year)
    done = here.known.done_day(planting, care, year)
    skipped = here.known.standing(planting, care, year)
    if skipped is not None and skipped.state == "skipped":
        return True
    return pruned is not None and done is not None and done >= pruned


def _because(care: str, follows: Follows) -> Sentence:
    if care == cares.WHITEWASH_PAINTING:
        text = "Fresh cuts bare bark to the sun: paint it within {within} days of pruning."
    else:
        text = "New cuts are looked at {gap} to {within} days after pruning, for gum and shoots."
    return say(text, gap=follows.gap_days, within=follows.within_days or 0, source=follows.source)


def _notice(oil: Task, here: SiteSeason) -> Task:
    """The notice to families and staff, long enough before the spray."""
    spray = here.site.spray
    stands = notice_days(spray.notice_h)
    span = Span(
        oil.span.first - timedelta(days=stands + NOTICE_STANDS_DAYS),
        oil.span.last - timedelta(days=stands),
    )
    why = (
        say(
            "This ground asks for {hours} hours' notice before spraying.",
            hours=spray.notice_h,
        ),
    )
    target = _clamped(oil.target - timedelta(days=stands), span)
    return Task(cares.SPRAY_NOTICE, "", here.season, oil.plantings, span, target, None, why)


def without_double_painting(tasks: Sequence[Task]) -> list[Task]:
    """The tasks without the yearly painting of trees that are painted after cuts about then."""
    yearly = slot_of(cares.WHITEWASH_PAINTING, BEFORE_SUN)
    kept = []
    for task in tasks:
        if task.slot == yearly:
            painted = {
                planting.id
                for other in tasks
                if other.care == cares.WHITEWASH_PAINTING and other.slot != yearly
                if abs((other.target - task.target).days) <= SAME_COAT_DAYS
                for planting in other.plantings
            }
            left = tuple(planting for planting in task.plantings if planting.id not in painted)
            if not left:
                continue
            task = replace(task, plantings=left)
        kept.append(task)
    return kept


def _clamped(day: date, span: Span) -> date:
    return min(max(day, span.first), span.last)


def without_over(tasks: Iterable[Task], as_of: date) -> list[Task]:
    """The tasks whose span is not over."""
    return [task for task in tasks if task.span.last >= as_of]
