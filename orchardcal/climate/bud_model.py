"""Bud stages from chill and daylight heat: one curve for all species, three numbers for each."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from orchardcal.climate.hourly import day_length_h
from orchardcal.climate.hours_side_by_side import DailyExtremes, RebuiltHours, stretches
from orchardcal.season import DAYS

Floats = NDArray[np.float64]

SOLSTICE = 173  # season day of 21 December, in the south 22 June
FULL_DAY_H = 12.0
FALL_PER_PORTIONS = 50.0
MOST_FALL = 2.0  # chill counts no further than so many times FALL_PER_PORTIONS past chill_from
ROUNDING = 1e-9  # so that a share of 1 falls on the day of bloom itself


@dataclass(frozen=True)
class HeatCurve:
    """How an hour's warmth and a day's length move buds: see `daylight_heat`."""

    steepness_per_c: float = 0.22
    half_c: float = 15.0
    daylight_power: float = 2.0


FOUND = HeatCurve()


@dataclass(frozen=True)
class BudModel:
    """What one species or planting needs to open its buds.

    chill_from: Dynamic-model portions since 1 September from which heat counts. heat_need: full
    days of daylight heat (`daylight_heat`) to full bloom for a tree with just that chill.
    chill_fall: by so much, as an exponent, the need falls with each further 50 portions.
    """

    chill_from: float
    heat_need: float
    chill_fall: float = 0.15


def daylight_heat(
    low_c: Floats, high_c: Floats, latitude_deg: float, curve: HeatCurve = FOUND
) -> Floats:
    """Heat of each season day, in hours at full speed of a 12-hour day.

    Each hour counts 1 / (1 + exp(-0.22 (T - 15))): half at 15 °C, a tenth at 5 °C, a thirtieth at
    freezing, so that buds creep on where a base temperature would stop them. The day's sum is
    multiplied by (day length / 12 h) squared: a January afternoon as warm as one in April moves
    buds less. Whether day length itself or the sun on the buds does so, these data cannot tell.

    low_c, high_c: [°C], shape (members, 365), season day 0 first, no gaps.
    Returns shape (members, 365).

    Source: the S-shaped response to temperature is that of Sarvas (1972) and Hänninen (1990),
        Acta For. Fenn. 213 (from memory), carried from days to hours. Its two numbers and the
        power of the day length were found on bud bursts and first blooms of peach, pear and
        cherry at 35 Korean stations, 1973 to 2024, and judged on 33 others (tests/hindcast_study).
        The search is flat: 0.18 to 0.26 per °C, 13 to 17 °C and powers of 1 to 3 err within 0.1
        days of it; without day length the error is 0.4 days more, bloom and half bud burst added.

    >>> steady = daylight_heat(np.full((1, 365), 15.0), np.full((1, 365), 15.0), 0.0)
    >>> round(float(steady[0, 100]), 1)
    12.2
    """
    day_weight = (day_length_h(latitude_deg) / FULL_DAY_H) ** curve.daylight_power
    hours = RebuiltHours([(DailyExtremes(low_c, high_c, latitude_deg), slice(0, len(low_c)))])
    heat = np.empty((DAYS, len(low_c)))
    for days in stretches(0, DAYS, hours.days_at_once):
        speed = hours.between(days)
        speed -= curve.half_c
        speed *= -curve.steepness_per_c
        np.exp(speed, out=speed)
        speed += 1
        np.divide(1, speed, out=speed)
        heat[days] = speed.reshape(-1, 24, hours.lanes).sum(axis=1)
    return np.ascontiguousarray(heat.T) * day_weight


def heat_so_far(daily_heat: Floats, daily_portions: Floats, model: BudModel) -> Floats:
    """Heat gathered by the end of each day, worth more the more chill there was by then.

    Heat counts from the winter solstice or from the day chill reaches chill_from, whichever is
    later. Chill beyond chill_from makes the same heat worth more, which is the chill overlap of
    Pope, Dose, Da Silva, Brown & DeJong (2014), Int. J. Biometeorol. 58, with an exponential in
    place of their curve.

    daily_heat: `daylight_heat`; daily_portions: `DailyTotals.portions`; shape (members, 365).
    Returns the same shape: 0 until heat counts, never falling after.
    """
    chill = np.cumsum(daily_portions, axis=1)
    counts = (chill >= model.chill_from) & (np.arange(daily_heat.shape[1]) >= SOLSTICE)
    heat = np.cumsum(np.where(counts, daily_heat, 0.0), axis=1)
    beyond = np.clip((chill - model.chill_from) / FALL_PER_PORTIONS, 0.0, MOST_FALL)
    return np.asarray(heat * np.exp(model.chill_fall * beyond))


def days_reached(heat: Floats, needed: Floats) -> Floats:
    """The first season day on which the heat gathered is the heat needed, for each stage.

    heat: by the end of each day, shape (members, 365), never falling. needed: (members, stages).
    Returns season days, shape (members, stages); inf in a season without so much.
    """
    reached = heat[:, None, :] >= needed[:, :, None] * (1 - ROUNDING)
    return np.where(reached.any(axis=2), reached.argmax(axis=2).astype(np.float64), np.inf)
