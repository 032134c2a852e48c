"""Sunrise and sunset on the site's own clock."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from astral import Observer
from astral import sun as astral_sun

SUN_RIM_BELOW_HORIZON_DEG = -0.833


@dataclass(frozen=True)
class Daylight:
    """The light of one civil day.

    sunrise None with a sunset: the sun was up at midnight already. sunset None with a sunrise: it
    is still up when the day ends. Both None: up all day where polar_day, else not up at all.
    """

    sunrise: time | None
    sunset: time | None
    polar_day: bool = False


def daylight(latitude_deg: float, longitude_deg: float, timezone: str, day: date) -> Daylight:
    """When the sun rises before and sets after this civil day's solar noon.

    Times are local clock times without zone, to the second, for a flat horizon; summer time is in
    them. Within a minute of a full ephemeris up to 50 degrees, within two up to 61; always the
    careful way, the day a little short.

    timezone: IANA name, as "Europe/Brussels".

    Source: NOAA solar calculator (Meeus, Astronomical Algorithms) as written in astral; sun's
        upper rim, standard refraction.
    Departs from it: a sunset after the day's midnight (or a sunrise before it) belongs to the
        other day and is None here; astral moves it by a day or fails.

    >>> str(daylight(50.85, 4.35, "Europe/Brussels", date(2027, 1, 9)).sunset)[:5]
    '16:56'
    """
    observer, zone = Observer(latitude_deg, longitude_deg), ZoneInfo(timezone)
    noon = astral_sun.noon(observer, day, tzinfo=zone)
    noon += timedelta(days=(day - noon.date()).days)
    sunrise = _moment("sunrise", observer, day, zone)
    sunset = _moment("sunset", observer, day, zone)
    rises = sunrise.time() if sunrise is not None and sunrise < noon else None
    sets = sunset.time() if sunset is not None and sunset > noon else None
    polar_day = rises is None and sets is None and _is_up(observer, noon)
    return Daylight(rises, sets, polar_day)


def _is_up(observer: Observer, when: datetime) -> bool:
    elevation_deg = astral_sun.elevation(observer, when, with_refraction=False)
    return elevation_deg > SUN_RIM_BELOW_HORIZON_DEG


def _moment(which: str, observer: Observer, day: date, zone: ZoneInfo) -> datetime | None:
    try:
        found: datetime = getattr(astral_sun, which)(observer, day, tzinfo=zone)
    except ValueError:  # astral's word for "does not happen on this day"
        return None
    return found.replace(microsecond=0)
