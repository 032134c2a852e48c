"""Chill and heat of each season day, summed hour by hour without keeping the hours."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, fields
from typing import Any, Protocol

import numpy as np
from numpy.typing import NDArray

from orchardcal.climate.chill import DynamicModel, half_utah_units, hours_0_to_72, hours_below_72
from orchardcal.climate.heat import asymcur_gdh, linear_gdh
from orchardcal.climate.hourly import Floats, days_first, hourly_weights, neighbouring_values
from orchardcal.season import DAYS

SEPTEMBER_FIRST = 62  # season day; warm hours of early autumn add no portions, so none are missed
LANES_AT_ONCE = 2000  # seasons side by side: fewer pay for calls, more leave the core's own cache
HOUR_VALUES_AT_ONCE = 24 * LANES_AT_ONCE


@dataclass(frozen=True)
class DailyTotals:
    """What each day adds, under every model; each of shape (members, days).

    Amounts of different models never convert into each other.
    """

    portions: Floats
    utah: Floats
    positive_utah: Floats
    hours_0_72: Floats
    hours_below_72: Floats
    gdh_asymcur: Floats
    gdh_linear: Floats


@dataclass(frozen=True)
class DailyExtremes:
    """Lows and highs of seasons at one place: [°C], shape (members, 365), season day 0 first."""

    low_c: Floats
    high_c: Floats
    latitude_deg: float


def daily_totals(
    low_c: Floats, high_c: Floats, latitude_deg: float, chill_start: int = SEPTEMBER_FIRST
) -> DailyTotals:
    """Chill and heat of each season day from daily lows and highs.

    Hours follow `hourly_c`, models `chill` and `heat`; both name their sources.

    low_c, high_c: [°C], shape (members, 365), season day 0 first, no gaps.
    chill_start: season day from which chill counts; all chill is 0 before it, and the Dynamic
        Model's intermediate is empty there. Heat counts from day 0.
    Departs from the models: heat is computed in single precision, 1e-4 GDH a day, and so are the
        temperatures that hours and Utah units compare with their limits.

    >>> steady = daily_totals(np.full((2, 365), 6.0), np.full((2, 365), 6.0), 45.0)
    >>> steady.hours_0_72[:, 61:63].tolist(), round(float(steady.portions[0].sum()))
    ([[0.0, 24.0], [0.0, 24.0]], 253)
    """
    return totals_of_places([DailyExtremes(low_c, high_c, latitude_deg)], chill_start)[0]


def totals_of_places(
    places: Sequence[DailyExtremes], chill_start: int = SEPTEMBER_FIRST
) -> list[DailyTotals]:
    """`daily_totals` of each place, to the last bit, in a third of the time for small ones.

    Every numpy call costs the same for thirty seasons as for a few hundred, so that places are
    counted side by side.
    """
    for place in places:
        low, high = np.shape(place.low_c), np.shape(place.high_c)
        if len(low) != 2 or low != high or low[1] != DAYS:
            raise ValueError(f"lows {low} and highs {high} must both be (members, {DAYS})")
    totals = [_no_totals(len(place.low_c), DAYS) for place in places]
    for together in _side_by_side([len(place.low_c) for place in places]):
        hours = RebuiltHours([(places[at], members) for at, members in together])
        sums = totals_by_day(hours, DAYS, chill_start)
        first = 0
        for at, members in together:
            end = first + members.stop - members.start
            for name, by_day in sums.items():
                getattr(totals[at], name)[members] = by_day[:, first:end].T
            first = end
    return totals


def portions_between(places: Sequence[DailyExtremes], first_day: int, end_day: int) -> list[Floats]:
    """Each place's chill portions from first_day up to but without end_day, shape (members,) each.

    As the sum of `daily_totals`' portions from a chill_start of first_day, to the last bits, in
    half its time: nothing else is counted. A place beside others has the numbers it has alone.
    """
    totals = [np.zeros(len(place.low_c)) for place in places]
    for together in _side_by_side([len(place.low_c) for place in places]):
        hours = RebuiltHours([(places[at], members) for at, members in together])
        dynamic = DynamicModel(hours.lanes, hours.days_at_once * 24)
        total = np.zeros(hours.lanes)
        for days in _slices(first_day, end_day, hours.days_at_once):
            daily = dynamic.portions(hours.between(days)).reshape(-1, 24, hours.lanes).sum(axis=1)
            for portions in daily:  # day by day, whatever the number of days at once
                total += portions
        first = 0
        for at, members in together:
            end = first + members.stop - members.start
            totals[at][members] = total[first:end]
            first = end
    return totals


def daily_totals_of_hours(air_c: Floats, chill_start_day: int) -> DailyTotals:
    """Chill and heat of each day from measured hours.

    air_c: [°C], shape (members, days * 24), no gaps. chill_start_day: as in `daily_totals`.
    Returns totals of shape (members, days); a day is 24 consecutive hours, whatever clock the file
    keeps.
    """
    members, hours = np.shape(air_c)
    if hours % 24:
        raise ValueError(f"{hours} hours are not whole days")
    totals = _no_totals(members, hours // 24)
    for lanes in _slices(0, members, LANES_AT_ONCE):
        given = GivenHours(days_first(air_c[lanes]))
        for name, by_day in totals_by_day(given, hours // 24, chill_start_day).items():
            getattr(totals, name)[lanes] = by_day.T
    return totals


class Hours(Protocol):
    """Hourly temperatures of seasons side by side; at most days_at_once days are asked for."""

    lanes: int
    days_at_once: int

    def between(self, days: slice) -> Floats:
        """[°C], shape (hours, lanes); the next call may overwrite them."""


class RebuiltHours:
    """Hours rebuilt from daily lows and highs of some members of some places, lane by lane."""

    def __init__(self, parts: Sequence[tuple[DailyExtremes, slice]]) -> None:
        self._parts = [
            (
                hourly_weights(place.latitude_deg),
                neighbouring_values(
                    days_first(place.low_c[members]), days_first(place.high_c[members])
                ),
            )
            for place, members in parts
        ]
        self.lanes = sum(members.stop - members.start for _, members in parts)
        self.days_at_once = _days_at_once(self.lanes)
        self._air_c = np.empty((self.days_at_once, 24, self.lanes))

    def between(self, days: slice) -> Floats:
        air_c = self._air_c[: days.stop - days.start]
        first = 0
        for weights, values in self._parts:
            end = first + values.shape[-1]
            np.matmul(weights[days], values[days], out=air_c[:, :, first:end])
            first = end
        return air_c.reshape(-1, self.lanes)


class GivenHours:
    """Hours that are known. air_c: [°C], shape (hours, lanes)."""

    def __init__(self, air_c: Floats) -> None:
        self._air_c = air_c
        self.lanes = air_c.shape[1]
        self.days_at_once = _days_at_once(self.lanes)

    def between(self, days: slice) -> Floats:
        return self._air_c[days.start * 24 : days.stop * 24]


def totals_by_day(hours: Hours, days: int, chill_start: int) -> dict[str, Floats]:
    """The kernel: each total of `DailyTotals` by its name, shape (days, lanes).

    hours: of at most LANES_AT_ONCE lanes. They come in blocks of days, small enough for the cache.
    """
    lanes = hours.lanes
    sums = {field.name: np.zeros((days, lanes)) for field in fields(DailyTotals)}
    dynamic = DynamicModel(lanes, hours.days_at_once * 24)
    single = np.empty((hours.days_at_once * 24, lanes), dtype=np.float32)
    for block in _slices(0, days, hours.days_at_once, boundary=chill_start):
        air_c = hours.between(block)
        rounded_c = single[: len(air_c)]
        np.copyto(rounded_c, air_c, casting="same_kind")
        counted = dynamic if block.start >= chill_start else None
        for name, hourly in _hourly(air_c, rounded_c, counted):
            by_day = hourly.reshape(-1, 24, lanes)
            np.sum(by_day, axis=1, dtype=hourly.dtype, out=sums[name][block])
    sums["utah"] /= 2
    sums["positive_utah"] /= 2
    return sums


def _hourly(
    air_c: Floats, rounded_c: NDArray[np.float32], dynamic: DynamicModel | None
) -> Iterator[tuple[str, NDArray[Any]]]:
    """Each total's share of each hour, one after another: the last is gone when the next is made.

    rounded_c: the same in single precision, in which a cosine costs a fifteenth. dynamic: None
    where only heat counts.
    """
    if dynamic is not None:
        yield "portions", dynamic.portions(air_c)
        half_utah, half_positive_utah = half_utah_units(rounded_c)
        yield "utah", half_utah
        yield "positive_utah", half_positive_utah
        yield "hours_0_72", hours_0_to_72(rounded_c)
        yield "hours_below_72", hours_below_72(rounded_c)
    yield "gdh_linear", linear_gdh(rounded_c)
    yield "gdh_asymcur", asymcur_gdh(rounded_c)


def _no_totals(members: int, days: int) -> DailyTotals:
    return DailyTotals(*(np.zeros((members, days)) for _ in fields(DailyTotals)))


def _days_at_once(lanes: int) -> int:
    return max(1, HOUR_VALUES_AT_ONCE // (24 * max(lanes, 1)))


def _side_by_side(members: Sequence[int]) -> Iterator[list[tuple[int, slice]]]:
    """The members of each place in groups of at most LANES_AT_ONCE; (position, members) each.

    A place is cut only where it alone is too large, as it would be by itself: how its hours are
    multiplied, to the last bit, must not depend on the places beside it.
    """
    together: list[tuple[int, slice]] = []
    free = LANES_AT_ONCE
    for at, count in enumerate(members):
        for part in _slices(0, count, LANES_AT_ONCE):
            width = part.stop - part.start
            if width > free:
                yield together
                together, free = [], LANES_AT_ONCE
            together.append((at, part))
            free -= width
    if together:
        yield together


def _slices(first: int, stop: int, step: int, boundary: int = 0) -> Iterator[slice]:
    """Consecutive slices of at most `step`, one of them beginning at the boundary."""
    while first < stop:
        end = min(first + step, stop, *([boundary] if first < boundary else []))
        yield slice(first, end)
        first = end
