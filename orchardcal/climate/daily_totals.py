"""Chill and heat of each season day, summed hour by hour without keeping the hours."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, fields
from typing import Any

import numpy as np
from numpy.typing import NDArray

from orchardcal.climate.chill import DynamicModel, half_utah_units, hours_0_to_72, hours_below_72
from orchardcal.climate.heat import asymcur_gdh, linear_gdh
from orchardcal.climate.hourly import Floats, days_first
from orchardcal.climate.hours_side_by_side import (
    LANES_AT_ONCE,
    DailyExtremes,
    GivenHours,
    Hours,
    RebuiltHours,
    side_by_side,
    stretches,
)
from orchardcal.season import DAYS

SEPTEMBER_FIRST = 62  # season day; warm hours of early autumn add no portions, so none are missed
# What a day's sum of each total is kept in until it is told: whole numbers, heat, portions.
KEPT_AS = {"portions": np.float64, "gdh_asymcur": np.float32, "gdh_linear": np.float32}
IN_HALVES = ("utah", "positive_utah")


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
    found: list[list[DailyTotals]] = [[] for _ in places]
    for together in side_by_side([len(place.low_c) for place in places]):
        sums = totals_by_day(_rebuilt(places, together), DAYS, chill_start)
        for at, lanes in _lanes_of(together):
            found[at].append(_told(sums, lanes))
    return [_joined(parts, DAYS) for parts in found]


def portions_between(places: Sequence[DailyExtremes], first_day: int, end_day: int) -> list[Floats]:
    """Each place's chill portions from first_day up to but without end_day, shape (members,) each.

    As the sum of `daily_totals`' portions from a chill_start of first_day, to the last bits, in
    half its time: nothing else is counted. A place beside others has the numbers it has alone.
    """
    totals = [np.zeros(len(place.low_c)) for place in places]
    for together in side_by_side([len(place.low_c) for place in places]):
        hours = _rebuilt(places, together)
        dynamic = DynamicModel(hours.lanes, hours.days_at_once * 24)
        total = np.zeros(hours.lanes)
        for days in stretches(first_day, end_day, hours.days_at_once):
            daily = dynamic.portions(hours.between(days)).reshape(-1, 24, hours.lanes).sum(axis=1)
            for portions in daily:  # day by day, whatever the number of days at once
                total += portions
        for (at, members), (_, lanes) in zip(together, _lanes_of(together), strict=True):
            totals[at][members] = total[lanes]
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
    found = []
    for lanes in stretches(0, members, LANES_AT_ONCE):
        given = GivenHours(days_first(air_c[lanes]))
        sums = totals_by_day(given, hours // 24, chill_start_day)
        found.append(_told(sums, slice(0, given.lanes)))
    return _joined(found, hours // 24)


def totals_by_day(hours: Hours, days: int, chill_start: int) -> dict[str, NDArray[Any]]:
    """The kernel: each total of `DailyTotals` by its name, shape (days, lanes), Utah in halves.

    hours: of at most LANES_AT_ONCE lanes. They come in blocks of days, small enough for the cache.
    """
    lanes = hours.lanes
    sums = {
        field.name: np.zeros((days, lanes), KEPT_AS.get(field.name, np.int8))
        for field in fields(DailyTotals)
    }
    dynamic = DynamicModel(lanes, hours.days_at_once * 24)
    single = np.empty((hours.days_at_once * 24, lanes), dtype=np.float32)
    for block in stretches(0, days, hours.days_at_once, boundary=chill_start):
        air_c = hours.between(block)
        rounded_c = single[: len(air_c)]
        np.copyto(rounded_c, air_c, casting="same_kind")
        counted = dynamic if block.start >= chill_start else None
        for name, hourly in _hourly(air_c, rounded_c, counted):
            np.sum(hourly.reshape(-1, 24, lanes), axis=1, dtype=hourly.dtype, out=sums[name][block])
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


def _rebuilt(
    places: Sequence[DailyExtremes], together: Sequence[tuple[int, slice]]
) -> RebuiltHours:
    return RebuiltHours([(places[at], members) for at, members in together])


def _lanes_of(together: Sequence[tuple[int, slice]]) -> Iterator[tuple[int, slice]]:
    """Where the members of each place stand side by side; (position, lanes) each."""
    end = 0
    for at, members in together:
        yield at, slice(end, end := end + members.stop - members.start)


def _told(sums: dict[str, NDArray[Any]], lanes: slice) -> DailyTotals:
    """The totals of some lanes, season by season."""
    columns = {
        name: np.ascontiguousarray(by_day[:, lanes].T, dtype=np.float64)
        for name, by_day in sums.items()
    }
    for name in IN_HALVES:
        columns[name] /= 2
    return DailyTotals(**columns)


def _joined(parts: Sequence[DailyTotals], days: int) -> DailyTotals:
    """Totals of members one below the other."""
    if len(parts) == 1:
        return parts[0]
    names = [field.name for field in fields(DailyTotals)]
    nothing = np.zeros((0, days))
    return DailyTotals(*(np.concatenate([nothing, *(getattr(p, n) for p in parts)]) for n in names))
