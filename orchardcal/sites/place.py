"""Country, subdivision and time zone: checked against the libraries that know them."""

from __future__ import annotations

from functools import lru_cache
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from orchardcal.errors import known


@lru_cache(maxsize=256)
def place_problem(country: str, subdivision: str) -> tuple[str, str] | None:
    """What is wrong with a country (ISO 3166 code) or a subdivision and what to write, or None.

    Loads the holidays of that country alone.
    """
    if not country:
        if subdivision:
            return f'subdivision "{subdivision}" stands without a country', 'Add country = "US".'
        return None
    import holidays  # slow to load, and a site without a country needs none
    from holidays.registry import COUNTRIES

    codes = {names[1] for names in COUNTRIES.values()}
    if country not in codes:
        wanted = country.replace(" ", "").lower()
        meant = [n[1] for n in COUNTRIES.values() if wanted in (name.lower() for name in n)]
        hint = f'Write country = "{meant[0]}".' if meant else known("countries", country, codes)
        return f'country "{country}" is no two-letter country code with known holidays', hint
    parts = holidays.country_holidays(country).subdivisions
    if subdivision and subdivision not in parts:
        hint = known("subdivisions", subdivision, parts) if parts else "Leave it out."
        return f'subdivision "{subdivision}" of {country} is not known', hint
    return None


def timezone_problem(name: str) -> tuple[str, str] | None:
    """What is wrong with a time zone's name and what to write, or None."""
    try:
        ZoneInfo(name)
    except (ZoneInfoNotFoundError, ValueError, OSError):
        return f'time zone "{name}" is not known', _nearest_zone(name)
    return None


def timezone_at(latitude_deg: float, longitude_deg: float) -> str:
    """The time zone of a place, from the map that tzfpy carries: no network, 1 km or so exact."""
    import tzfpy  # its map takes a quarter of a second to load

    return tzfpy.get_tz(longitude_deg, latitude_deg)


def _nearest_zone(name: str) -> str:
    import difflib
    from zoneinfo import available_timezones

    zones = sorted(available_timezones())
    last = name.rpartition("/")[2].replace(" ", "_").lower()
    near = [zone for zone in zones if last and zone.rpartition("/")[2].lower() == last]
    near = near or difflib.get_close_matches(name, zones, n=3, cutoff=0.8)
    leave = "eave timezone out: it is found from latitude and longitude."
    return f"Did you mean {' or '.join(near[:3])}? Or l{leave}" if near else f"L{leave}"
