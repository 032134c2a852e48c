"""The ensemble as of a day: what was observed, what is forecast, then each season's remainder."""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from orchardcal.climate.ensemble import Ensemble
from orchardcal.season import DAYS

Floats = NDArray[np.float64]
SEED = 20230702
FIRST_ERROR_C, LAST_ERROR_C = 1.0, 3.5  # standard deviation of a forecast's first and 14th day
ERROR_GROWS_DAYS = 14
ERROR_CARRIED = 0.7  # from one forecast day to the next
LEAST_RANGE_C = 0.5


def ensemble_as_of(
    ensemble: Ensemble,
    observed_low_c: Floats,
    observed_high_c: Floats,
    observed_rain_mm: Floats | None = None,
    forecast_low_c: Floats | None = None,
    forecast_high_c: Floats | None = None,
    forecast_rain_mm: Floats | None = None,
) -> Ensemble:
    """An ensemble whose members begin with this season's own days.

    observed_*: shape (t,), season days 0 to t - 1; a day that is nan stays the member's own.
    forecast_*: shape (k,), the days after; each member's lows and highs differ from them by an
    error whose standard deviation grows from 1 to 3.5 °C over 14 days (fixed random numbers, the
    same error for low and high); rain is taken as forecast. Then each member's own remainder.
    Unknown rain stays the member's own. To judge a past season, leave it out of the ensemble
    first (`without_year`).
    """
    low_c, high_c = ensemble.low_c.copy(), ensemble.high_c.copy()
    rain_mm = None if ensemble.rain_mm is None else ensemble.rain_mm.copy()
    t = min(len(observed_low_c), DAYS)
    _lay_over(low_c, observed_low_c, 0)
    _lay_over(high_c, observed_high_c, 0)
    if rain_mm is not None and observed_rain_mm is not None:
        _lay_over(rain_mm, observed_rain_mm, 0)
    if forecast_low_c is not None and forecast_high_c is not None:
        errors = forecast_errors_c(ensemble.members)[:, : len(forecast_low_c)]
        _lay_over(low_c, forecast_low_c + errors, t)
        _lay_over(high_c, forecast_high_c + errors, t)
        if rain_mm is not None and forecast_rain_mm is not None:
            _lay_over(rain_mm, forecast_rain_mm, t)
    too_low = high_c < low_c  # only where one of the two was missing
    high_c[too_low] = low_c[too_low] + LEAST_RANGE_C
    return replace(ensemble, low_c=low_c, high_c=high_c, rain_mm=rain_mm, observed_days=t)


def without_year(ensemble: Ensemble, year: int) -> Ensemble:
    """The ensemble less one member's season."""
    kept = np.array([member != year for member in ensemble.years])
    return replace(
        ensemble,
        low_c=ensemble.low_c[kept],
        high_c=ensemble.high_c[kept],
        rain_mm=None if ensemble.rain_mm is None else ensemble.rain_mm[kept],
        years=tuple(member for member in ensemble.years if member != year),
    )


@lru_cache(maxsize=8)
def forecast_errors_c(members: int) -> Floats:
    """Errors of a forecast's days, shape (members, 365); beyond the 14th day they grow no more."""
    random = np.random.Generator(np.random.PCG64(SEED))
    fresh = random.standard_normal((DAYS, members))
    steps = [fresh[0]]
    for day in range(1, DAYS):
        steps.append(ERROR_CARRIED * steps[-1] + np.sqrt(1 - ERROR_CARRIED**2) * fresh[day])
    grown = np.minimum(np.arange(DAYS) / (ERROR_GROWS_DAYS - 1), 1.0)
    sd_c = FIRST_ERROR_C + (LAST_ERROR_C - FIRST_ERROR_C) * grown
    errors = np.array(steps).T * sd_c
    errors.setflags(write=False)
    return np.asarray(errors)


def _lay_over(days: Floats, values: Floats, first: int) -> None:
    """Put known values, (k,) or (members, k), over every member's days from `first` on."""
    count = max(0, min(values.shape[-1], DAYS - first))
    laid = np.broadcast_to(values[..., :count], (len(days), count))
    known = ~np.isnan(laid)
    days[:, first : first + count][known] = laid[known]
