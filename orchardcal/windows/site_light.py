"""Daylight at a site: no visit in the dark."""

from __future__ import annotations

from datetime import date, time

from orchardcal.climate.daylight import daylight
from orchardcal.sites.site import Site


def sunrise_to_sunset(site: Site, day: date) -> tuple[time, time] | None:
    """Local clock times of sunrise and sunset; midnight to midnight in polar day, None in night."""
    light = daylight(site.latitude_deg, site.longitude_deg, site.timezone, day)
    if light.polar_day:
        return time(0, 0), time(23, 59)
    if light.sunrise is None:
        return None
    return light.sunrise, light.sunset or time(23, 59)
