"""The best place for one tree of tasks while all else stands still, by exact dynamic programming.

Tasks are read from the last to the first. For each slot of a task the cheapest way to place it and
all that follows it is known from the same question asked of its followers: the cheapest slot within
the gap, or the very same slot, where the visit is then paid only once.

Two things are settled afterwards, and can cost exactness: three or more tasks of a tree that
together overfill one slot (one of them is barred from it and the question asked again), and the
hours of a busy week, which are counted for each task alone.
"""

from __future__ import annotations

from collections import deque

from orchardcal.plan.schedule.board import Board
from orchardcal.plan.schedule.choices import Choice, Follower

NOWHERE = 10**18  # points; above anything that can be summed
GIVE_UP = -1


def insert_tree(board: Board, tree: int, bait: int | None = None) -> bool:
    """Puts the unplaced tasks of a tree where they cost least, given those that stand.

    Tasks that find no place stay off the board. False, with the board as it was, where the tasks
    that stand leave no way to keep order with one that does not.
    bait: a slot whose visit is to look cheap, so that tasks may come to meet there.
    """
    barred: set[tuple[int, int]] = set()
    while True:
        found = _Insertion(board, tree, barred, bait).cheapest()
        if found is None:
            return False
        overfull = _overfull(board, found)
        if overfull is None:
            break
        barred.add(overfull)
    for task, slot in found:
        if board.slot_of[task] is None:
            board.put(task, slot)
    return True


def _overfull(board: Board, found: list[tuple[int, int]]) -> tuple[int, int] | None:
    """The last (task, slot) that does not fit after those before it, or None."""
    instance, trip = board.choices.instance, board.choices.trip
    left: dict[int, int] = {}
    for task, number in found:
        if board.slot_of[task] is not None:
            continue
        work, slot = instance.tasks[task], instance.slots[number]
        if number not in left:
            left[number] = board.room[number]
            if work.place not in board.visits[number]:
                left[number] -= slot.visit_minutes
                cluster = instance.clusters[work.place]
                if cluster not in board.clusters[number]:
                    left[number] -= trip[cluster][slot.crew][1]
        left[number] -= instance.crews[slot.crew].minutes_for(work)
        if left[number] < 0:
            return task, number
    return None


class _Insertion:
    """One question to the board, with what it costs to visit the tree's place in each slot."""

    def __init__(
        self, board: Board, tree: int, barred: set[tuple[int, int]], bait: int | None
    ) -> None:
        self.choices = board.choices
        self.tasks = board.choices.trees[tree]
        self.barred = barred
        self.slot_of = board.slot_of
        self.visit_points: dict[int, int] = {}
        self.free: dict[int, int] = {}  # minutes left for work once there
        self.spare: dict[int, int] = {}  # minutes until the crew's week counts as busy
        self._price_visits(board, tree, bait)
        self.busy_hour = self.choices.weights.busy_hour
        self.cost: dict[int, list[int]] = {}  # of a task and all after it, for each of its slots
        self.left_out: dict[int, int] = {}  # of giving the task up, with the best for those after
        self.best: dict[int, int] = {}  # index of its cheapest slot
        self.next: dict[tuple[int, int], list[int]] = {}  # (task, follower) -> follower's index

    def _price_visits(self, board: Board, tree: int, bait: int | None) -> None:
        instance, weights = self.choices.instance, self.choices.weights
        place = instance.tasks[self.tasks[0]].place
        cluster = instance.clusters[place]
        ways = self.choices.trip.get(cluster, {})
        visit_points, free, spare = self.visit_points, self.free, self.spare
        visits, clusters, room = board.visits, board.clusters, board.room
        week_of, week_minutes, slots = board.week_of, board.week_minutes, instance.slots
        crews = instance.crews
        for number in self.choices.slots_of_tree[tree]:
            slot = slots[number]
            there = visits[number]
            if place in there:
                visit_points[number] = 0
                free[number] = room[number]
            elif len(there) >= slot.places:
                visit_points[number] = 0
                free[number] = -1
            else:
                points = weights.visit
                minutes = room[number] - slot.visit_minutes
                if cluster not in clusters[number]:
                    way_points, way_minutes = ways[slot.crew]
                    points += way_points
                    minutes -= way_minutes
                if slot.work_day and not there:
                    points += weights.work_day
                visit_points[number] = points
                free[number] = minutes
            even = crews[slot.crew].even_week_minutes
            spare[number] = NOWHERE if even is None else even - week_minutes[week_of[number]]
        if bait in visit_points:
            visit_points[bait] //= 4

    def cheapest(self) -> list[tuple[int, int]] | None:
        """(task, slot) of all that are best placed."""
        for task in reversed(self.tasks):
            self._solve(task)
        found: list[tuple[int, int]] = []
        root = self.tasks[0]
        first = self._alone(root)
        if (self.left_out[root] if first == GIVE_UP else self.cost[root][first]) >= NOWHERE:
            return None
        ahead = [(root, first)]
        while ahead:
            task, index = ahead.pop(0)
            if index != GIVE_UP:
                found.append((task, self.choices.of_task[task].slots[index]))
            for follower in self.choices.followers[task]:
                after = follower.task
                if index != GIVE_UP:
                    ahead.append((after, self.next[task, after][index]))
                elif follower.needed:
                    ahead.append((after, GIVE_UP))
                else:
                    ahead.append((after, self._alone(after)))
        return found

    def _alone(self, task: int) -> int:
        """The index of the slot a task takes when nothing before it binds it."""
        best = self.best[task]
        return best if best != GIVE_UP and self.cost[task][best] < self.left_out[task] else GIVE_UP

    def _solve(self, task: int) -> None:
        choice = self.choices.of_task[task]
        cost = self._own_cost(task, choice)
        held = self.slot_of[task] is not None
        left_out = NOWHERE if held else self.choices.dropped[task]
        for follower in self.choices.followers[task]:
            after = follower.task
            added, taken = self._cheapest_follower(choice, follower)
            cost = [one + other for one, other in zip(cost, added, strict=True)]
            self.next[task, after] = taken
            alone = self._alone(after)
            if follower.needed or alone == GIVE_UP:
                left_out += self.left_out[after]
            else:
                left_out += self.cost[after][alone]
        self.cost[task] = cost
        self.left_out[task] = left_out
        self.best[task] = cost.index(min(cost)) if cost else GIVE_UP

    def _own_cost(self, task: int, choice: Choice) -> list[int]:
        held = self.slot_of[task]
        if held is not None:
            return [0 if slot == held else NOWHERE for slot in choice.slots]
        visit_points, free, spare, rate = self.visit_points, self.free, self.spare, self.busy_hour
        cost = [
            NOWHERE
            if minutes > free[slot]
            else points + visit_points[slot]
            if minutes <= spare[slot]
            else points + visit_points[slot] + _busy(minutes, spare[slot], rate)
            for slot, points, minutes in zip(
                choice.slots, choice.points, choice.minutes, strict=True
            )
        ]
        for barred_task, slot in self.barred:
            if barred_task == task:
                cost[choice.slots.index(slot)] = NOWHERE
        return cost

    def _cheapest_follower(self, choice: Choice, follower: Follower) -> tuple[list[int], list[int]]:
        """For each slot of a task: the least cost of its follower, and the index it takes."""
        least, most = follower.min_days, follower.max_days
        after = self.choices.of_task[follower.task]
        after_days, after_cost = after.days, self.cost[follower.task]
        left_out = self.left_out[follower.task]
        added: list[int] = []
        taken: list[int] = []
        window: deque[int] = deque()  # indices of falling use: the first is the cheapest in reach
        seen, end = 0, len(after_days)
        for day in choice.days:
            while seen < end and after_days[seen] <= day + most:
                cost = after_cost[seen]
                while window and after_cost[window[-1]] > cost:
                    window.pop()
                window.append(seen)
                seen += 1
            while window and after_days[window[0]] < day + least:
                window.popleft()
            if window and after_cost[window[0]] < left_out:
                added.append(after_cost[window[0]])
                taken.append(window[0])
            else:
                added.append(left_out)
                taken.append(GIVE_UP)
        if least == 0:
            self._join(choice, after, follower.task, added, taken)
        return added, taken

    def _join(
        self, choice: Choice, after: Choice, task: int, added: list[int], taken: list[int]
    ) -> None:
        """Lets the follower share the slot, and so the visit, where that is cheaper."""
        visit_points, free, cost = self.visit_points, self.free, self.cost[task]
        index_in = {slot: index for index, slot in enumerate(after.slots)}
        for index, slot in enumerate(choice.slots):
            other = index_in.get(slot)
            if other is None:
                continue
            joined = cost[other] - visit_points[slot]
            if joined < added[index] and (
                choice.minutes[index] + after.minutes[other] <= free[slot]
            ):
                added[index] = joined
                taken[index] = other


def _busy(minutes: int, spare_minutes: int, points_an_hour: int) -> int:
    """What a task adds to a week that is full, or becomes so."""
    over = minutes - spare_minutes if spare_minutes > 0 else minutes
    return -(-over // 60) * points_an_hour
