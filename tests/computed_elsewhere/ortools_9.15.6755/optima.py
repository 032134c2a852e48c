"""Proven optima of small instances by Google OR-Tools CP-SAT 9.15.6755; writes optima.json.

Run from the top of the repository, in an environment that holds ortools==9.15.6755:

    python tests/computed_elsewhere/ortools_9.15.6755/optima.py
"""

from __future__ import annotations

import hashlib
import json
import sys
from collections import defaultdict
from collections.abc import Mapping
from dataclasses import asdict
from pathlib import Path
from typing import Any

TOP = Path(__file__).resolve().parents[3]
sys.path.insert(0, str(TOP))

from orchardcal.plan.schedule.cost import Weights  # noqa: E402
from orchardcal.plan.schedule.instance import Instance  # noqa: E402
from tests.plan.schedule.instances import city  # noqa: E402

GIVEN_UP = 10**6  # points for one unit of priority; the sum of the rest stays below
SEEDS = range(21, 31)


def model_of(
    instance: Instance, rates: Mapping[str, int]
) -> tuple[Any, dict[tuple[int, int], Any]]:
    """(CP-SAT model, one yes/no for each task and slot it may stand in)."""
    from ortools.sat.python import cp_model

    model = cp_model.CpModel()
    stands: dict[tuple[int, int], Any] = {}
    points: list[Any] = []
    for number, task in enumerate(instance.tasks):
        days = dict(task.days)
        for slot_number, slot in enumerate(instance.slots):
            able = (
                slot.day in days
                and task.needs <= instance.crews[slot.crew].skills
                and (slot.crew, instance.clusters[task.place]) in instance.trips
                and task.crew in (None, slot.crew)
            )
            if able:
                yes = model.new_bool_var(f"task{number}_slot{slot_number}")
                stands[number, slot_number] = yes
                cost = rates["unsuited"] * days[slot.day] // 100
                if task.published is not None and task.published != slot.day:
                    cost += rates["moved"] + rates["moved_day"] * abs(slot.day - task.published)
                points.append(cost * yes)
    slots_of: dict[int, list[int]] = defaultdict(list)
    tasks_in: dict[int, list[int]] = defaultdict(list)
    for number, slot_number in stands:
        slots_of[number].append(slot_number)
        tasks_in[slot_number].append(number)

    placed = {}
    for number, task in enumerate(instance.tasks):
        placed[number] = sum(stands[number, slot] for slot in slots_of[number])
        model.add(placed[number] <= 1)
        points.append(GIVEN_UP * task.priority * (1 - placed[number]))

    for link in instance.links:
        if link.needed:
            model.add(placed[link.after] <= placed[link.before])
        for one in slots_of[link.before]:
            reach = [
                other
                for other in slots_of[link.after]
                if instance.slots[other].day - instance.slots[one].day >= link.min_days
                and (
                    link.max_days is None
                    or instance.slots[other].day - instance.slots[one].day <= link.max_days
                )
            ]
            # before in this slot: after, if it is placed at all, is within reach
            model.add(
                sum(stands[link.after, other] for other in reach)
                >= placed[link.after] + stands[link.before, one] - 1
            )

    load: dict[tuple[int, int], list[Any]] = defaultdict(list)
    for slot_number, numbers in tasks_in.items():
        slot = instance.slots[slot_number]
        pace = instance.crews[slot.crew].pace_percent
        minutes: list[Any] = []
        visits: dict[int, Any] = {}
        ways: dict[int, Any] = {}
        for number in numbers:
            task = instance.tasks[number]
            cluster = instance.clusters[task.place]
            if task.place not in visits:
                visits[task.place] = model.new_bool_var("")
            if cluster not in ways:
                ways[cluster] = model.new_bool_var("")
            model.add_implication(stands[number, slot_number], visits[task.place])
            model.add_implication(visits[task.place], ways[cluster])
            needed = -(-task.minutes * 100 // pace)
            minutes.append(needed * stands[number, slot_number])
            load[slot.crew, slot.day // 7].append(needed * stands[number, slot_number])
        for visit in visits.values():
            minutes.append(slot.visit_minutes * visit)
            points.append(rates["visit"] * visit)
        for cluster, way in ways.items():
            trip = instance.trips[slot.crew, cluster]
            minutes.append(trip.minutes * way)
            points.append((rates["trip"] + rates["trip_km"] * trip.km) * way)
        if slot.work_day:
            called = model.new_bool_var("")
            for visit in visits.values():
                model.add_implication(visit, called)
            points.append(rates["work_day"] * called)
        model.add(sum(minutes) <= slot.minutes)
        model.add(sum(visits.values()) <= slot.places)
    for (crew, _), parts in load.items():
        even = instance.crews[crew].even_week_minutes
        if even is not None:
            hours = model.new_int_var(0, 10_000, "")
            model.add(60 * hours >= sum(parts) - even)
            points.append(rates["busy_hour"] * hours)
    model.minimize(sum(points))
    return model, stands


def optimum(
    instance: Instance, rates: Mapping[str, int], seconds: float = 120
) -> tuple[int, int, bool]:
    """(priority given up, points, proven optimal)."""
    from ortools.sat.python import cp_model

    model, _ = model_of(instance, rates)
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.linearization_level = 2
    solver.parameters.max_time_in_seconds = seconds
    status = solver.solve(model)
    given_up, points = divmod(round(solver.objective_value), GIVEN_UP)
    return given_up, points, status == cp_model.OPTIMAL


def fingerprint(instance: Instance) -> str:
    """A short mark of an instance, to notice when the generator changes."""
    text = repr(
        (
            [(t.place, t.minutes, t.days, sorted(t.needs), t.priority) for t in instance.tasks],
            instance.links,
            instance.slots,
            instance.clusters,
            sorted(instance.trips.items()),
        )
    )
    return hashlib.sha256(text.encode()).hexdigest()[:16]


def main() -> None:
    from ortools import __version__

    found = {}
    for seed in SEEDS:
        for load in (100, 160):
            instance = city(4, seed, load, crews=1)
            given_up, points, proven = optimum(instance, asdict(Weights()))
            found[f"{seed}/{load}"] = {
                "instance": fingerprint(instance),
                "given_up": given_up,
                "points": points,
                "proven": proven,
            }
            print(seed, load, given_up, points, proven, flush=True)
    written = {"program": f"OR-Tools CP-SAT {__version__}", "optima": found}
    Path(__file__).with_name("optima.json").write_text(json.dumps(written, indent=1) + "\n")


if __name__ == "__main__":
    main()
