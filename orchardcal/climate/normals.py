"""Monthly normals: taken from seasons, and turned into smooth daily means."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from orchardcal.climate.months import month_of_season_day, monthly_means, monthly_totals
from orchardcal.climate.suitability import DRY_BELOW_MM
from orchardcal.season import DAYS

Floats = NDArray[np.float64]
HARMONICS = 4


@dataclass(frozen=True)
class MonthlyNormals:
    """Twelve monthly means, January first; rain_days count days of 1 mm or more."""

    low_c: Floats
    high_c: Floats
    rain_days: Floats | None = None
    rain_mm: Floats | None = None


def normals_given(
    low_c: Sequence[float],
    high_c: Sequence[float],
    rain_days: Sequence[float] | None,
    rain_mm: Sequence[float] | None,
) -> MonthlyNormals:
    """Normals as arrays; rain only where both its days and its amounts are known."""
    rain_known = rain_days is not None and rain_mm is not None
    return MonthlyNormals(
        np.asarray(low_c, dtype=np.float64),
        np.asarray(high_c, dtype=np.float64),
        np.asarray(rain_days, dtype=np.float64) if rain_known else None,
        np.asarray(rain_mm, dtype=np.float64) if rain_known else None,
    )


def normals_of_seasons(
    low_c: Floats, high_c: Floats, rain_mm: Floats | None, southern: bool
) -> MonthlyNormals:
    """The monthly means of a few whole seasons, shapes (members, 365)."""
    wet = None if rain_mm is None else (rain_mm >= DRY_BELOW_MM).astype(np.float64)
    return MonthlyNormals(
        monthly_means(low_c, southern).mean(axis=0),
        monthly_means(high_c, southern).mean(axis=0),
        None if wet is None else monthly_totals(wet, southern).mean(axis=0),
        None if rain_mm is None else monthly_totals(rain_mm, southern).mean(axis=0),
    )


def daily_means(monthly: Floats, southern: bool) -> Floats:
    """Daily means of four harmonics whose monthly means are nearest the normals, shape (365,).

    Least squares on the month-averaged basis, so that what is matched is the mean over each
    month, not the value in its middle.
    """
    basis = _harmonic_basis()
    month_averaged = monthly_means(basis.T, southern).T  # (12, 9)
    weights, *_ = np.linalg.lstsq(month_averaged, monthly, rcond=None)
    return np.asarray(basis @ weights, dtype=np.float64)


def yearly_wave(daily: Floats) -> tuple[float, float]:
    """The amplitude of the yearly wave of daily means, and the season day of its low."""
    angle = 2 * np.pi * np.arange(DAYS) / DAYS
    wave = complex(np.mean(daily * np.exp(1j * angle)) * -2)
    return abs(wave), float(np.angle(wave) % (2 * np.pi)) * DAYS / (2 * np.pi)


def by_day(monthly: Floats, southern: bool) -> Floats:
    """A monthly value on each of its days, shape (365,)."""
    return np.asarray(monthly[month_of_season_day(southern)], dtype=np.float64)


def _harmonic_basis() -> Floats:
    """A constant, then cosine and sine of the first four harmonics of the year, (365, 9)."""
    angle = 2 * np.pi * np.arange(DAYS) / DAYS
    columns = [np.ones(DAYS)]
    for harmonic in range(1, HARMONICS + 1):
        columns += [np.cos(harmonic * angle), np.sin(harmonic * angle)]
    return np.column_stack(columns)
