"""Calendar months on the season's days, and means over them."""

from __future__ import annotations

from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from orchardcal.season import DAYS, Season

Floats = NDArray[np.float64]
MONTHS = 12


@lru_cache(maxsize=2)
def month_of_season_day(southern: bool) -> NDArray[np.int64]:
    """The month (0 is January) of each season day, shape (365,)."""
    season = Season(2027, southern)  # any season: 29 February has no season day
    months = np.array([season.day(day).month - 1 for day in range(DAYS)])
    months.setflags(write=False)
    return months


def month_lengths(southern: bool) -> Floats:
    """Season days in each month, January first, shape (12,)."""
    return np.bincount(month_of_season_day(southern), minlength=MONTHS).astype(np.float64)


def monthly_totals(daily: Floats, southern: bool) -> Floats:
    """Totals over calendar months, (members, 365) -> (members, 12), January first."""
    of_month = np.eye(MONTHS)[month_of_season_day(southern)]
    return daily @ of_month


def monthly_means(daily: Floats, southern: bool) -> Floats:
    """Means over calendar months, (members, 365) -> (members, 12), January first."""
    return monthly_totals(daily, southern) / month_lengths(southern)
