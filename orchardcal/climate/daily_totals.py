"""Chill and heat of each season day, summed hour by hour without keeping the hours."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass, fields
from typing import Any

import numpy as np
from numpy.typing import NDArray

from orchardcal.climate.chill import DynamicModel, half_utah_units, hours_0_to_72, hours_below_72
from orchardcal.climate.heat import asymcur_gdh, linear_gdh
from orchardcal.climate.hourly import Floats, days_first, hourly_weights, neighbouring_values
from orchardcal.season import DAYS

SEPTEMBER_FIRST = 62  # season day; warm hours of early autumn add no portions, so none are missed
HOUR_VALUES_AT_ONCE = 24576  # five buffers of a block fill 1 MB, a core's second-level cache


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


def daily_totals(
    low_c: Floats, high_c: Floats, latitude_deg: float, chill_start: int = SEPTEMBER_FIRST
) -> DailyTotals:
    """Chill and heat of each season day from daily lows and highs.

    Hours follow `hourly_c`, models `chill` and `heat`; both name their sources.

    low_c, high_c: [°C], shape (members, 365), season day 0 first, no gaps.
    chill_start: season day from which chill counts; all chill is 0 before it, and the Dynamic
        Model's intermediate is empty there. Heat counts from day 0.
    Departs from the models: ASYMCUR is computed in single precision, 1e-4 GDH a day.

    >>> steady = daily_totals(np.full((2, 365), 6.0), np.full((2, 365), 6.0), 45.0)
    >>> steady.hours_0_72[:, 61:63].tolist(), round(float(steady.portions[0].sum()))
    ([[0.0, 24.0], [0.0, 24.0]], 253)
    """
    if np.ndim(low_c) != 2 or np.shape(low_c) != np.shape(high_c) or np.shape(low_c)[1] != DAYS:
        raise ValueError(
            f"lows {np.shape(low_c)} and highs {np.shape(high_c)} must both be (members, {DAYS})"
        )
    weights = hourly_weights(latitude_deg)

    def hours_of(members: slice) -> Callable[[slice], Floats]:
        values = neighbouring_values(days_first(low_c[members]), days_first(high_c[members]))
        lanes = values.shape[-1]
        return lambda days: np.matmul(weights[days], values[days]).reshape(-1, lanes)

    return _totals(hours_of, np.shape(low_c)[0], DAYS, chill_start)


def portions_between(
    low_c: Floats, high_c: Floats, latitude_deg: float, first_day: int, end_day: int
) -> Floats:
    """Each member's chill portions from first_day up to but without end_day, shape (members,).

    As the sum of `daily_totals`' portions from a chill_start of first_day, to the last bits, in
    half its time: nothing else is counted.
    """
    weights = hourly_weights(latitude_deg)
    values = neighbouring_values(days_first(low_c), days_first(high_c))
    lanes = values.shape[-1]
    days_at_once = max(1, HOUR_VALUES_AT_ONCE // (24 * lanes))
    dynamic = DynamicModel(lanes, days_at_once * 24)
    total = np.zeros(lanes)
    for days in _slices(first_day, end_day, days_at_once):
        air_c = np.matmul(weights[days], values[days]).reshape(-1, lanes)
        total += dynamic.portions(air_c).sum(axis=0)
    return total


def daily_totals_of_hours(air_c: Floats, chill_start_day: int) -> DailyTotals:
    """Chill and heat of each day from measured hours.

    air_c: [°C], shape (members, days * 24), no gaps. chill_start_day: as in `daily_totals`.
    Returns totals of shape (members, days); a day is 24 consecutive hours, whatever clock the file
    keeps.
    """
    members, hours = np.shape(air_c)
    if hours % 24:
        raise ValueError(f"{hours} hours are not whole days")

    def hours_of(members: slice) -> Callable[[slice], Floats]:
        lanes = air_c[members]
        return lambda days: days_first(lanes[:, days.start * 24 : days.stop * 24])

    return _totals(hours_of, members, hours // 24, chill_start_day)


def _totals(
    hours_of: Callable[[slice], Callable[[slice], Floats]],
    members: int,
    days: int,
    chill_start: int,
) -> DailyTotals:
    """The kernel: blocks of members, then of days, small enough for the cache."""
    totals = {field.name: np.zeros((days, members)) for field in fields(DailyTotals)}
    groups = max(1, math.ceil(members * 24 / HOUR_VALUES_AT_ONCE))
    for lanes in _slices(0, members, math.ceil(members / groups)):
        hours = hours_of(lanes)
        width = lanes.stop - lanes.start
        days_at_once = max(1, HOUR_VALUES_AT_ONCE // (24 * width))
        dynamic = DynamicModel(width, days_at_once * 24)
        for block in _slices(0, days, days_at_once, boundary=chill_start):
            air_c = hours(block)
            hourly = _heat(air_c)
            if block.start >= chill_start:
                hourly |= _chill(air_c, dynamic)
            for name, values in hourly.items():
                by_day = values.reshape(-1, 24, width)
                totals[name][block, lanes] = by_day.sum(axis=1, dtype=values.dtype)
    totals["utah"] /= 2
    totals["positive_utah"] /= 2
    return DailyTotals(**{name: np.ascontiguousarray(by_day.T) for name, by_day in totals.items()})


def _heat(air_c: Floats) -> dict[str, NDArray[Any]]:
    return {
        "gdh_linear": linear_gdh(air_c),
        "gdh_asymcur": asymcur_gdh(air_c.astype(np.float32)),  # a cosine in double costs 15 times
    }


def _chill(air_c: Floats, dynamic: DynamicModel) -> dict[str, NDArray[Any]]:
    half_utah, half_positive_utah = half_utah_units(air_c)
    return {
        "portions": dynamic.portions(air_c),
        "utah": half_utah,
        "positive_utah": half_positive_utah,
        "hours_0_72": hours_0_to_72(air_c),
        "hours_below_72": hours_below_72(air_c),
    }


def _slices(first: int, stop: int, step: int, boundary: int = 0) -> Iterator[slice]:
    """Consecutive slices of at most `step`, one of them beginning at the boundary."""
    while first < stop:
        end = min(first + step, stop, *([boundary] if first < boundary else []))
        yield slice(first, end)
        first = end
