"""Large instances by territory: valid, better for it, and the same however many processes."""

from __future__ import annotations

from concurrent.futures import ProcessPoolExecutor
from dataclasses import asdict
from multiprocessing import get_context

from orchardcal.plan.schedule import Weights, scheduled, scheduled_by_territory
from tests.plan.schedule.instances import city, standing
from tests.plan.schedule.validator import bill, broken_rules

CITY = city(300, 3, 60)


def test_same_schedule_here_and_in_two_processes() -> None:
    here = scheduled_by_territory(CITY, Weights(), iterations=1)
    with ProcessPoolExecutor(2, mp_context=get_context("spawn")) as pool:
        there = scheduled_by_territory(CITY, Weights(), pool, iterations=1)
    assert here == there
    assert broken_rules(CITY, standing(here)) == []
    assert here.cost.compared == bill(CITY, asdict(Weights()), standing(here))
    assert here.cost.compared < scheduled(CITY, Weights(), iterations=0).cost.compared
