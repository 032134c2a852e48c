"""The one form of every climate: N seasons of daily lows, highs and, where known, rain."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Ensemble:
    """Seasons to count over.

    low_c, high_c: shape (members, 365), season day 0 first, no gaps. rain_mm: the same shape, or
    None where rain is unknown. years: the harvest year of each member; generated ones count from
    1. grade: "A" (20+ observed seasons), "B" (10-19), "C" (monthly normals or 3-9 seasons turned
    into them), "D" (freeze dates and chill). observed_days: so many leading season days are this
    season's own (as-of day), the same in every member. notes: what was filled, left out, shifted,
    as (English text, values) for the windows to say.
    """

    latitude_deg: float
    grade: str
    low_c: Floats
    high_c: Floats
    rain_mm: Floats | None
    years: tuple[int, ...]
    observed_days: int = 0
    bud_error_days: float = 5.0
    notes: tuple[tuple[str, dict[str, float | int | str]], ...] = ()

    @property
    def members(self) -> int:
        return int(self.low_c.shape[0])
