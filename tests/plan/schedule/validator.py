"""Every rule of a schedule, checked from the instance alone; shares no code with the planner."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping

from orchardcal.plan.schedule.instance import Instance


def broken_rules(instance: Instance, slot_of: Mapping[int, int]) -> list[str]:
    """One line for each rule that a schedule (task -> slot) breaks."""
    broken: list[str] = []
    work_minutes: dict[int, int] = defaultdict(int)
    places: dict[int, set[int]] = defaultdict(set)
    for task_number, slot_number in slot_of.items():
        task, slot = instance.tasks[task_number], instance.slots[slot_number]
        crew = instance.crews[slot.crew]
        if slot.day not in [day for day, _ in task.days]:
            broken.append(f"task {task_number} stands on day {slot.day}, not one of its days")
        if task.needs - crew.skills:
            broken.append(f"crew {slot.crew} lacks a skill for task {task_number}")
        if task.crew is not None and task.crew != slot.crew:
            broken.append(f"task {task_number} is for crew {task.crew} only")
        if (slot.crew, instance.clusters[task.place]) not in instance.trips:
            broken.append(f"crew {slot.crew} does not go to task {task_number}")
        work_minutes[slot_number] += (task.minutes * 100 + crew.pace_percent - 1) // (
            crew.pace_percent
        )
        places[slot_number].add(task.place)
    for slot_number, visited in places.items():
        slot = instance.slots[slot_number]
        ways = {instance.clusters[place] for place in visited}
        minutes = work_minutes[slot_number] + slot.visit_minutes * len(visited)
        minutes += sum(instance.trips[slot.crew, cluster].minutes for cluster in ways)
        if minutes > slot.minutes:
            broken.append(f"slot {slot_number} has {minutes} of {slot.minutes} minutes")
        if len(visited) > slot.places:
            broken.append(f"slot {slot_number} has {len(visited)} of {slot.places} places")
    for link in instance.links:
        if link.after not in slot_of:
            continue
        if link.before not in slot_of:
            if link.needed:
                broken.append(f"task {link.after} stands without task {link.before}")
            continue
        gap = instance.slots[slot_of[link.after]].day - instance.slots[slot_of[link.before]].day
        if gap < link.min_days or (link.max_days is not None and gap > link.max_days):
            broken.append(f"{gap} days between tasks {link.before} and {link.after}")
    return broken


def bill(
    instance: Instance, rates: Mapping[str, int], slot_of: Mapping[int, int]
) -> tuple[int, int]:
    """(priority given up, points) of a schedule, from the rates by name."""
    points = 0
    visits: set[tuple[int, int, int]] = set()
    ways: set[tuple[int, int, int]] = set()
    called: set[tuple[int, int]] = set()
    load: dict[tuple[int, int], int] = defaultdict(int)
    for number, slot_number in slot_of.items():
        task, slot = instance.tasks[number], instance.slots[slot_number]
        unsuited = next(cost for day, cost in task.days if day == slot.day)
        points += rates["unsuited"] * unsuited // 100
        if task.published is not None and task.published != slot.day:
            points += rates["moved"] + rates["moved_day"] * abs(slot.day - task.published)
        visits.add((slot.crew, slot.day, task.place))
        ways.add((slot.crew, slot.day, instance.clusters[task.place]))
        if slot.work_day:
            called.add((slot.crew, slot.day))
        pace = instance.crews[slot.crew].pace_percent
        load[slot.crew, slot.day // 7] += (task.minutes * 100 + pace - 1) // pace
    points += rates["visit"] * len(visits) + rates["work_day"] * len(called)
    for crew, _, cluster in ways:
        points += rates["trip"] + rates["trip_km"] * instance.trips[crew, cluster].km
    for (crew, _), minutes in load.items():
        even = instance.crews[crew].even_week_minutes
        if even is not None and minutes > even:
            points += rates["busy_hour"] * ((minutes - even + 59) // 60)
    given_up = sum(
        task.priority for number, task in enumerate(instance.tasks) if number not in slot_of
    )
    return given_up, points
