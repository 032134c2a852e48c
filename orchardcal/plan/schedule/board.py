"""The board: which task stands in which slot now, what that costs, what is still free."""

from __future__ import annotations

from bisect import bisect_left

from orchardcal.plan.schedule.choices import Choices


class Board:
    """A schedule in the making. The cost is kept up to date with each task put or taken.

    room: minutes left in each slot. tasks_in: the tasks of each slot.
    visits: in each slot, place -> tasks there. clusters: in each slot, cluster -> places visited.
    week_minutes: the load of each crew's week.
    """

    def __init__(self, choices: Choices) -> None:
        instance = choices.instance
        self.choices = choices
        self.slot_of: list[int | None] = [None] * len(instance.tasks)
        self.room = [slot.minutes for slot in instance.slots]
        self.tasks_in: list[list[int]] = [[] for _ in instance.slots]
        self.visits: list[dict[int, int]] = [{} for _ in instance.slots]
        self.clusters: list[dict[int, int]] = [{} for _ in instance.slots]
        weeks = {(slot.crew, slot.day // 7) for slot in instance.slots}
        number = {week: index for index, week in enumerate(sorted(weeks))}
        self.week_of = [number[slot.crew, slot.day // 7] for slot in instance.slots]
        self.week_minutes = [0] * len(number)
        self.cost = sum(choices.dropped)

    def put(self, task: int, slot_number: int) -> None:
        """Places an unplaced task; the caller has seen to it that it fits."""
        instance, weights = self.choices.instance, self.choices.weights
        slot = instance.slots[slot_number]
        work = instance.tasks[task]
        crew = instance.crews[slot.crew]
        minutes = crew.minutes_for(work)
        cost = self._day_points(task, slot.day) - self.choices.dropped[task]
        visits = self.visits[slot_number]
        used = minutes
        if work.place in visits:
            visits[work.place] += 1
        else:
            cost += weights.visit
            if slot.work_day and not visits:
                cost += weights.work_day
            visits[work.place] = 1
            used += slot.visit_minutes
            cluster = instance.clusters[work.place]
            clusters = self.clusters[slot_number]
            if cluster in clusters:
                clusters[cluster] += 1
            else:
                clusters[cluster] = 1
                points, way_minutes = self.choices.trip[cluster][slot.crew]
                cost += points
                used += way_minutes
        self.room[slot_number] -= used
        week = self.week_of[slot_number]
        load = self.week_minutes[week]
        even = crew.even_week_minutes
        cost += weights.busy_points(load + minutes, even) - weights.busy_points(load, even)
        self.week_minutes[week] = load + minutes
        self.slot_of[task] = slot_number
        self.tasks_in[slot_number].append(task)
        self.cost += cost

    def take(self, task: int) -> None:
        """Takes a task off the board; one that does not stand on it stays as it is."""
        slot_number = self.slot_of[task]
        if slot_number is None:
            return
        instance, weights = self.choices.instance, self.choices.weights
        slot = instance.slots[slot_number]
        work = instance.tasks[task]
        crew = instance.crews[slot.crew]
        minutes = crew.minutes_for(work)
        saved = self._day_points(task, slot.day) - self.choices.dropped[task]
        visits = self.visits[slot_number]
        freed = minutes
        if visits[work.place] > 1:
            visits[work.place] -= 1
        else:
            del visits[work.place]
            saved += weights.visit
            if slot.work_day and not visits:
                saved += weights.work_day
            freed += slot.visit_minutes
            cluster = instance.clusters[work.place]
            clusters = self.clusters[slot_number]
            if clusters[cluster] > 1:
                clusters[cluster] -= 1
            else:
                del clusters[cluster]
                points, way_minutes = self.choices.trip[cluster][slot.crew]
                saved += points
                freed += way_minutes
        self.room[slot_number] += freed
        week = self.week_of[slot_number]
        load = self.week_minutes[week]
        even = crew.even_week_minutes
        saved += weights.busy_points(load, even) - weights.busy_points(load - minutes, even)
        self.week_minutes[week] = load - minutes
        self.slot_of[task] = None
        self.tasks_in[slot_number].remove(task)
        self.cost -= saved

    def take_tree(self, tree: int) -> None:
        for task in self.choices.trees[tree]:
            self.take(task)

    def placed(self, tree: int) -> list[tuple[int, int]]:
        """(task, slot) of each task of a tree that stands on the board."""
        slot_of = self.slot_of
        return [
            (task, slot) for task in self.choices.trees[tree] if (slot := slot_of[task]) is not None
        ]

    def _day_points(self, task: int, day: int) -> int:
        choice = self.choices.of_task[task]
        return choice.points[bisect_left(choice.days, day)]
