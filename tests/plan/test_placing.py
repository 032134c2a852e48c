"""Placing: the order is always kept, whatever days are free."""

from __future__ import annotations

from datetime import date, timedelta

from hypothesis import given, settings
from hypothesis import strategies as st

from orchardcal import care as cares
from orchardcal.plan.placing import Order, notice_days, orders, placed
from orchardcal.plan.task import Link, Task
from orchardcal.season import Season, Span
from tests.invented import planting

FIRST = date(2027, 1, 1)
CHAIN = (
    cares.DORMANCY_CHECK,
    cares.DORMANT_PRUNING,
    cares.WHITEWASH_PAINTING,
    cares.SPRAY_NOTICE,
    cares.DORMANT_OIL_SPRAY,
)


def day(number: int) -> date:
    return FIRST + timedelta(days=number)


def task(care: str, target: int = 30, links: tuple[Link, ...] = (), **more: object) -> Task:
    return Task(
        care=care,
        part="",
        season=Season(2027, southern=False),
        plantings=(planting("A", "apple"),),
        span=Span(day(0), day(120)),
        target=day(target),
        odds=None,
        why=(),
        links=links,
        **more,  # type: ignore[arg-type]
    )


@settings(max_examples=200, deadline=None)
@given(
    st.lists(st.sets(st.integers(0, 60), max_size=12), min_size=5, max_size=5),
    st.lists(st.integers(0, 60), min_size=5, max_size=5),
)
def test_every_order_between_placed_tasks_holds(free: list[set[int]], targets: list[int]) -> None:
    links: dict[str, tuple[Link, ...]] = {
        CHAIN[0]: (),
        CHAIN[1]: (Link(CHAIN[0], 1),),
        CHAIN[2]: (Link(CHAIN[1], 0, 14),),
        CHAIN[3]: (),
        CHAIN[4]: (Link(CHAIN[1], 1), Link(CHAIN[2], 2), Link(CHAIN[3], 3, 10)),
    }
    tasks = [task(care, at, links[care]) for care, at in zip(CHAIN, targets, strict=True)]
    days = [[day(number) for number in sorted(numbers)] for numbers in free]
    rules = orders(tasks)
    outcome = placed(tasks, days, rules)
    for at, chosen in enumerate(outcome.days):
        assert chosen is None or chosen in days[at]
        if chosen is None and days[at]:
            assert at in outcome.blocked_by
    for rule in rules:
        one, other = outcome.days[rule.earlier], outcome.days[rule.later]
        if one is not None and other is not None:
            first, last = rule.after(one)
            assert first <= other <= last


def test_an_order_that_cannot_be_kept_costs_the_later_task_alone() -> None:
    tasks = [task(cares.DORMANT_PRUNING), task(cares.DORMANT_OIL_SPRAY, 30, (Link(CHAIN[1], 1),))]
    outcome = placed(tasks, [[day(30)], [day(29)]], orders(tasks))
    assert outcome.days == (day(30), None)
    assert outcome.blocked_by == {1: Order(0, 1, 1, None)}


def test_one_visit_serves_cares_that_fit_together() -> None:
    tasks = [task(cares.DORMANT_PRUNING, 30), task(cares.OIL_SCOUTING, 40)]
    days = [day(number) for number in range(61)]
    outcome = placed(tasks, [days, days], [])
    assert outcome.days[0] == outcome.days[1]


def test_a_published_day_stays_while_it_is_free() -> None:
    days = [day(number) for number in range(61)]
    kept = placed([task(cares.LOOK_AT_CUTS, 30, previous_day=day(44))], [days], [])
    assert kept.days == (day(44),)
    gone = placed([task(cares.LOOK_AT_CUTS, 30, previous_day=day(44))], [days[:44]], [])
    assert gone.days != (day(44),)


def test_pruning_gives_way_to_oil_by_three_weeks_at_most() -> None:
    """Shape before spray: the tree's best time leads, and oil takes what is left."""
    prune = task(cares.DORMANT_PRUNING, 60)
    oil = task(cares.DORMANT_OIL_SPRAY, 20, (Link(cares.DORMANT_PRUNING, 1),))
    days = [day(number) for number in range(100)]
    near = placed([prune, oil], [days, [day(45)]], orders([prune, oil]))
    assert near.days == (day(44), day(45))
    far = placed([prune, oil], [days, [day(10)]], orders([prune, oil]))
    assert far.days == (day(60), None)


def test_notice_is_counted_in_whole_days() -> None:
    """California Education Code 17612: at least 72 hours before the spray."""
    assert (notice_days(72), notice_days(73), notice_days(24)) == (3, 4, 1)
