"""Hours of seasons at many places side by side, block by block, as the kernel asks for them."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Protocol

import numpy as np

from orchardcal.climate.hourly import Floats, hourly_weights, laid_rows, lay_days, windows_of
from orchardcal.season import DAYS

LANES_AT_ONCE = 2000  # seasons side by side: fewer pay for calls, more leave the core's own cache
HOUR_VALUES_AT_ONCE = 24 * LANES_AT_ONCE
DAYS_AHEAD = 4  # rebuilt together: a place's share of one day is too little for a call


@dataclass(frozen=True)
class DailyExtremes:
    """Lows and highs of seasons at one place: [°C], shape (members, 365), season day 0 first."""

    low_c: Floats
    high_c: Floats
    latitude_deg: float


class Hours(Protocol):
    """Hourly temperatures of seasons side by side, asked for from the first day to the last.

    At most days_at_once days at a time.
    """

    lanes: int
    days_at_once: int

    def between(self, days: slice) -> Floats:
        """[°C], shape (hours, lanes); the asker may change them, and the next call may too."""


class RebuiltHours:
    """Hours rebuilt from daily lows and highs of some members of some places, lane by lane.

    Each place is multiplied by itself, so that its hours are what they would be alone.
    """

    def __init__(self, parts: Sequence[tuple[DailyExtremes, slice]]) -> None:
        self.lanes = sum(members.stop - members.start for _, members in parts)
        self.days_at_once = _days_at_once(self.lanes)
        laid = np.empty((laid_rows(DAYS), self.lanes))
        windows = windows_of(laid)
        self._parts = []
        end = 0
        for place, members in parts:
            own = slice(end, end := end + members.stop - members.start)
            lay_days(place.low_c[members], place.high_c[members], laid[:, own])
            self._parts.append((hourly_weights(place.latitude_deg), windows[:, :, own], own))
        self._air_c = np.empty((max(self.days_at_once, DAYS_AHEAD), 24, self.lanes))
        self._ready = slice(0, 0)

    def between(self, days: slice) -> Floats:
        if days.start < self._ready.start or days.stop > self._ready.stop:
            self._ready = slice(days.start, min(days.start + len(self._air_c), DAYS))
            self._rebuild(self._ready)
        at = days.start - self._ready.start
        return self._air_c[at : at + days.stop - days.start].reshape(-1, self.lanes)

    def _rebuild(self, days: slice) -> None:
        air_c = self._air_c[: days.stop - days.start]
        for weights, windows, own in self._parts:
            np.matmul(weights[days], windows[days], out=air_c[:, :, own])


class GivenHours:
    """Hours that are known. air_c: [°C], shape (hours, lanes)."""

    def __init__(self, air_c: Floats) -> None:
        self._air_c = air_c
        self.lanes = air_c.shape[1]
        self.days_at_once = _days_at_once(self.lanes)

    def between(self, days: slice) -> Floats:
        return self._air_c[days.start * 24 : days.stop * 24]


def side_by_side(members: Sequence[int]) -> Iterator[list[tuple[int, slice]]]:
    """The members of each place in groups of at most LANES_AT_ONCE; (position, members) each.

    A place is cut only where it alone is too large, as it would be by itself: how its hours are
    multiplied, to the last bit, must not depend on the places beside it.
    """
    together: list[tuple[int, slice]] = []
    free = LANES_AT_ONCE
    for at, count in enumerate(members):
        for part in stretches(0, count, LANES_AT_ONCE):
            width = part.stop - part.start
            if width > free:
                yield together
                together, free = [], LANES_AT_ONCE
            together.append((at, part))
            free -= width
    if together:
        yield together


def stretches(first: int, stop: int, step: int, boundary: int = 0) -> Iterator[slice]:
    """Consecutive slices of at most `step`, one of them beginning at the boundary."""
    while first < stop:
        end = min(first + step, stop, *([boundary] if first < boundary else []))
        yield slice(first, end)
        first = end


def _days_at_once(lanes: int) -> int:
    return max(1, HOUR_VALUES_AT_ONCE // (24 * max(lanes, 1)))
