"""How far two places lie apart, along the great circle."""

from __future__ import annotations

from math import asin, cos, hypot, radians, sin, sqrt
from typing import Protocol

# Mean radius R1 of GRS 80: Moritz, Journal of Geodesy 74 (2000), 128-133; from memory.
EARTH_RADIUS_KM = 6371.0088


def great_circle_km(lat1_deg: float, lon1_deg: float, lat2_deg: float, lon2_deg: float) -> float:
    """Kilometres between two places on a sphere of the Earth's mean radius.

    The haversine formula (Sinnott, "Virtues of the Haversine", Sky and Telescope 68, 1984, 159),
    exact for near places too. The sphere is within 0.6 % of the ellipsoid WGS 84.
    """
    lat1, lat2 = radians(lat1_deg), radians(lat2_deg)
    half_north = sin((lat2 - lat1) / 2)
    half_east = sqrt(cos(lat1) * cos(lat2)) * sin(radians(lon2_deg - lon1_deg) / 2)
    return 2 * EARTH_RADIUS_KM * asin(min(1.0, hypot(half_north, half_east)))


class Place(Protocol):
    """Whatever has a latitude and a longitude: a site, a crew's home."""

    @property
    def latitude_deg(self) -> float: ...

    @property
    def longitude_deg(self) -> float: ...


def km_between(one: Place, other: Place) -> float:
    """The kilometres between two places."""
    return great_circle_km(
        one.latitude_deg, one.longitude_deg, other.latitude_deg, other.longitude_deg
    )
