"""Station-years to judge dates on, and the chill and heat of their seasons."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from orchardcal.climate.bud_model import daylight_heat
from orchardcal.climate.daily_totals import daily_totals
from tests.hindcast_study.korea import LATITUDE_DEG, Kind, Station

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
LEAST_YEARS = 20
OUTLIER_DAYS = 35


@dataclass(frozen=True)
class Weather:
    """Every season of a set of stations in one table; each array has a row a season."""

    station: Ints
    year: Ints
    portions: Floats
    daylight: Floats
    asymcur: Floats
    mean_c: Floats


@dataclass(frozen=True)
class Cases:
    """Observed dates of one species' stage: the weather row, season day, station and year of each.

    usual: False for dates more than 35 days from their station's median (outliers).
    """

    row: Ints
    day: Floats
    station: Ints
    year: Ints
    usual: NDArray[np.bool_]

    def __len__(self) -> int:
        return len(self.row)


def weather_of(stations: Sequence[Station]) -> Weather:
    low_c = np.concatenate([station.low_c for station in stations])
    high_c = np.concatenate([station.high_c for station in stations])
    totals = daily_totals(low_c, high_c, LATITUDE_DEG)
    return Weather(
        station=np.concatenate([[one.position] * len(one.years) for one in stations]),
        year=np.concatenate([one.years for one in stations]),
        portions=totals.portions,
        daylight=daylight_heat(low_c, high_c, LATITUDE_DEG),
        asymcur=totals.gdh_asymcur,
        mean_c=(low_c + high_c) / 2,
    )


def cases_of(stations: Sequence[Station], weather: Weather, kind: Kind) -> Cases:
    """The cases of stations with at least 20 of them."""
    rows = {
        (int(s), int(y)): at
        for at, (s, y) in enumerate(zip(weather.station, weather.year, strict=True))
    }
    found = [
        (rows[one.position, year], day, one.position, year)
        for one in stations
        for year, day in sorted(one.seen.get(kind, {}).items())
    ]
    counts = Counter(position for _, _, position, _ in found)
    row, day, station, year = np.array([case for case in found if counts[case[2]] >= LEAST_YEARS]).T
    medians = {one: np.median(day[station == one]) for one in np.unique(station)}
    usual = np.abs(day - np.array([medians[one] for one in station])) <= OUTLIER_DAYS
    return Cases(row, day.astype(np.float64), station, year, usual)


def rmse(errors: Floats) -> float:
    """Root mean square; a date that never came counts as 60 days wrong."""
    finite = np.where(np.isfinite(errors), errors, 60.0)
    return float(np.sqrt(np.mean(finite**2)))


def others_mean(values: Floats, station: Ints) -> Floats:
    """For each case the mean of the station's other cases."""
    sums = {one: (values[station == one].sum(), (station == one).sum()) for one in set(station)}
    return np.array(
        [
            (sums[one][0] - value) / (sums[one][1] - 1)
            for one, value in zip(station, values, strict=True)
        ]
    )
