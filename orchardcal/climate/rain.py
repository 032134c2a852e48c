"""Dry and wet summers, and the month the rains come back."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from orchardcal.climate.months import MONTHS, month_of_season_day, monthly_totals

Floats = NDArray[np.float64]
NORTHERN_SUMMER = np.array([3, 4, 5, 6, 7, 8])  # April to September
DRY_SUMMER_MM = 40.0
DRY_SUMMER_PART = 1 / 3
WET_MONTH_PART = 0.5  # of the mean month's rain


def has_dry_summer(rain_mm: Floats, southern: bool) -> bool:
    """Whether the summer half-year is the dry one, as in Köppen's climates "s".

    Its driest month has less than 40 mm and less than a third of the wettest winter month (Peel,
    Finlayson & McMahon 2007, table 1). rain_mm: shape (members, 365).
    """
    monthly = monthly_totals(rain_mm, southern).mean(axis=0)
    summer = (NORTHERN_SUMMER + (6 if southern else 0)) % MONTHS
    winter = np.setdiff1d(np.arange(MONTHS), summer)
    driest = monthly[summer].min()
    return bool(driest < DRY_SUMMER_MM and driest < monthly[winter].max() * DRY_SUMMER_PART)


def first_wet_month(rain_mm: Floats, southern: bool) -> int | None:
    """The month (1 to 12) the rains come back after a dry summer; None where summers are not dry.

    It is the first month after the driest summer month with at least half the mean month's rain
    (common practice, no source; half, so that one light month before the rains counts).
    """
    if not has_dry_summer(rain_mm, southern):
        return None
    monthly = monthly_totals(rain_mm, southern).mean(axis=0)
    summer = (NORTHERN_SUMMER + (6 if southern else 0)) % MONTHS
    driest = int(summer[monthly[summer].argmin()])
    wet = monthly >= WET_MONTH_PART * monthly.mean()
    after = [(driest + step) % MONTHS for step in range(1, MONTHS)]
    return next(month for month in after if wet[month]) + 1


def first_season_day_of(month: int, southern: bool) -> int:
    """The season day a month (1 to 12) begins on."""
    return int((month_of_season_day(southern) == month - 1).argmax())
