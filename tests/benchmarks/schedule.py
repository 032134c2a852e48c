"""Prints seconds, unplaced tasks, cost and memory of schedules for cities of several sizes.

python -m tests.benchmarks.schedule 40 200            one process
python -m tests.benchmarks.schedule 1000 5000 --processes 2
"""

from __future__ import annotations

import argparse
import resource
import sys
from collections.abc import Callable
from concurrent.futures import ProcessPoolExecutor
from dataclasses import asdict
from time import perf_counter

from orchardcal.plan.schedule import (
    Instance,
    Schedule,
    Weights,
    scheduled,
    scheduled_by_territory,
)
from tests.plan.schedule.instances import city, standing
from tests.plan.schedule.validator import bill, broken_rules

BY_TERRITORY = 1000  # sites, and more


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("sites", nargs="+", type=int)
    parser.add_argument("--seeds", nargs="+", type=int, default=[1])
    parser.add_argument("--load", nargs="+", type=int, default=[70])
    parser.add_argument("--processes", type=int, default=2)
    given = parser.parse_args()
    print("sites  load seed  tasks  crews  first: unplaced    cost   seconds  unplaced    cost  MB")
    for sites in given.sites:
        for load in given.load:
            for seed in given.seeds:
                print(_line(sites, load, seed, given.processes), flush=True)


def _line(sites: int, load: int, seed: int, processes: int) -> str:
    instance = city(sites, seed, load)
    first = scheduled(instance, Weights(), iterations=0)
    start = perf_counter()
    schedule = _search(sites, processes)(instance)
    seconds = perf_counter() - start
    assert broken_rules(instance, standing(schedule)) == []
    assert schedule.cost.compared == bill(instance, asdict(Weights()), standing(schedule))
    return (
        f"{sites:5} {load:5} {seed:4} {len(instance.tasks):6} {len(instance.crews):6}"
        f" {len(first.unplaced):16} {first.cost.points:7} {seconds:9.1f}"
        f" {len(schedule.unplaced):9} {schedule.cost.points:7} {_megabytes():6}"
    )


def _search(sites: int, processes: int) -> Callable[[Instance], Schedule]:
    def by_territory(instance: Instance) -> Schedule:
        with ProcessPoolExecutor(processes) as pool:
            return scheduled_by_territory(instance, Weights(), pool)

    def at_once(instance: Instance) -> Schedule:
        return scheduled(instance, Weights())

    return by_territory if sites >= BY_TERRITORY else at_once


def _megabytes() -> str:
    """Peak memory of this process and of the largest child, in MB."""
    unit = 2**20 if sys.platform == "darwin" else 2**10
    own, child = (
        resource.getrusage(who).ru_maxrss // unit
        for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN)
    )
    return f"{own}+{child}"


if __name__ == "__main__":
    main()
