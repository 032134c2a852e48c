"""Winter chill as if each day repeated: quick and roughly right, for the questions of a search."""

from __future__ import annotations

from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from orchardcal.climate.chill import DynamicModel
from orchardcal.climate.hourly import hourly_weights, neighbouring_values

Floats = NDArray[np.float64]

LOWS_C = np.arange(-20.0, 25.0)
RANGES_C = np.arange(1.0, 26.0, 2.0)
LATITUDE_DEG, MIDWINTER = 45.0, 173
SETTLING_DAYS, COUNTED_DAYS = 4, 8


def steady_portions(low_c: Floats, high_c: Floats) -> float:
    """Mean chill portions of some seasons, as if each day came after many days like itself.

    low_c, high_c: shape (members, days). No day helps or harms the next, and daylight is that of
    midwinter at 45 degrees: within a twentieth or so of the Dynamic Model hour by hour.
    """
    low_at, low_share = _place(low_c, LOWS_C)
    range_at, range_share = _place(high_c - low_c, RANGES_C)
    table = _portions_of_steady_days()
    narrow, wide = (
        table[low_at, at] * (1 - low_share) + table[low_at + 1, at] * low_share
        for at in (range_at, range_at + 1)
    )
    portions = narrow * (1 - range_share) + wide * range_share
    return float(portions.sum(axis=1).mean())


def _place(values: Floats, steps: Floats) -> tuple[NDArray[np.intp], Floats]:
    """The step at or below each value, and its share of the way to the next; held at the ends."""
    along = np.clip((values - steps[0]) / (steps[1] - steps[0]), 0.0, len(steps) - 1.001)
    at = along.astype(np.intp)
    return at, along - at


@lru_cache(maxsize=1)
def _portions_of_steady_days() -> Floats:
    """Portions a day where one day repeats itself, shape (lows, ranges).

    What the intermediate gained counts too: cold days store it for the next mild one to bank.
    """
    low_c = np.repeat(LOWS_C, len(RANGES_C))
    high_c = low_c + np.tile(RANGES_C, len(LOWS_C))
    shape = (len(low_c), SETTLING_DAYS + COUNTED_DAYS)
    days = (np.broadcast_to(values[:, None], shape) for values in (low_c, high_c))
    weights = hourly_weights(LATITUDE_DEG)[MIDWINTER]
    air_c = np.matmul(weights, neighbouring_values(*days)).reshape(-1, len(low_c))
    dynamic, settled = DynamicModel(len(low_c), len(air_c)), SETTLING_DAYS * 24
    dynamic.portions(air_c[:settled])
    stored = dynamic.intermediate.copy()
    banked = dynamic.portions(air_c[settled:]).sum(axis=0)
    a_day = (banked + dynamic.intermediate - stored) / COUNTED_DAYS
    return np.asarray(a_day.reshape(len(LOWS_C), len(RANGES_C)))
