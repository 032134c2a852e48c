"""Daylight at a site: no visit in the dark."""

from __future__ import annotations

from datetime import date, time
from functools import lru_cache

from orchardcal.climate.daylight import daylight
from orchardcal.sites.site import Site


def sunrise_to_sunset(site: Site, day: date) -> tuple[time, time] | None:
    """Local clock times of sunrise and sunset; midnight to midnight in polar day, None in night.

    They are those of the nearest tenths of a degree, under half a minute away below 60 degrees, so
    that the sites of a town share them.
    """
    return _nearby(round(site.latitude_deg, 1), round(site.longitude_deg, 1), site.timezone, day)


@lru_cache(maxsize=20_000)  # a season at fifty places
def _nearby(
    latitude_deg: float, longitude_deg: float, timezone: str, day: date
) -> tuple[time, time] | None:
    light = daylight(latitude_deg, longitude_deg, timezone, day)
    if light.polar_day:
        return time(0, 0), time(23, 59)
    if light.sunrise is None:
        return None
    return light.sunrise, light.sunset or time(23, 59)
