"""Sun times and day lengths against pvlib's solar position algorithm.

Oracle: pvlib (pvlib.org), whatever release pip finds; written against 0.16.1. Its algorithm is
Reda & Andreas (2004), Solar Energy 76:577-589, good to 0.0003°.
"""

from __future__ import annotations

from datetime import date, time
from zoneinfo import ZoneInfo

import pandas as pd
import pytest
from pvlib.solarposition import sun_rise_set_transit_spa

from orchardcal.climate.daylight import daylight
from orchardcal.climate.hourly import day_length_h
from orchardcal.season import Season

pytestmark = pytest.mark.slow

# Places where the sun rises and sets within one UTC day: on others pvlib answers with the time
# of day of the neighbouring date, up to 1.7 minutes off, which is no fault of either sun.
PLACES = [  # latitude, longitude, time zone, tolerance in minutes for one rise or set
    (0.0, 36.8, "Africa/Nairobi", 1),
    (23.4, 5.5, "Africa/Algiers", 1),
    (-34.0, 18.5, "Africa/Johannesburg", 1),
    (38.7, -9.1, "Europe/Lisbon", 1),
    (50.0, 14.4, "Europe/Prague", 1),
    (61.0, 10.4, "Europe/Oslo", 2),
]


@pytest.mark.parametrize(("latitude_deg", "longitude_deg", "timezone", "within_min"), PLACES)
def test_sunrise_and_sunset_agree_with_pvlib(
    latitude_deg: float, longitude_deg: float, timezone: str, within_min: float
) -> None:
    days = [date(2027, month, 21) for month in range(1, 13)]
    table = sun_rise_set_transit_spa(_midnights(days, timezone), latitude_deg, longitude_deg)
    for day, (_, row) in zip(days, table.iterrows(), strict=True):
        ours = daylight(latitude_deg, longitude_deg, timezone, day)
        assert ours.sunrise is not None
        assert ours.sunset is not None
        assert abs(_minutes(ours.sunrise) - _minutes(row["sunrise"].time())) <= within_min
        assert abs(_minutes(ours.sunset) - _minutes(row["sunset"].time())) <= within_min


@pytest.mark.parametrize(
    ("latitude_deg", "within_min"), [(0.0, 1), (20.0, 2.5), (-35.0, 4), (45.0, 6), (52.0, 7.5)]
)
def test_day_lengths_agree_with_pvlib(latitude_deg: float, within_min: float) -> None:
    """The model's declination is Spencer's (1971) series for a mean year, so minutes may differ."""
    season = Season(2027, southern=latitude_deg < 0)
    ours_h = day_length_h(latitude_deg)
    days = range(0, 365, 7)
    midnights = _midnights([season.day(day) for day in days], "UTC")
    table = sun_rise_set_transit_spa(midnights, latitude_deg, 0.0)
    theirs_h = (table["sunset"] - table["sunrise"]).dt.total_seconds() / 3600
    for day, length_h in zip(days, theirs_h, strict=True):
        assert abs(ours_h[day] - length_h) * 60 <= within_min


def _midnights(days: list[date], timezone: str) -> pd.DatetimeIndex:
    return pd.DatetimeIndex([pd.Timestamp(day) for day in days]).tz_localize(ZoneInfo(timezone))


def _minutes(clock: time) -> float:
    return clock.hour * 60 + clock.minute + clock.second / 60
