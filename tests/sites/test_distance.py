"""Great circles, against distances printed elsewhere and geodesics on the ellipsoid WGS 84."""

from __future__ import annotations

import csv
from math import pi
from pathlib import Path

import pytest
from geographiclib.geodesic import Geodesic
from hypothesis import given
from hypothesis import strategies as st

from orchardcal.sites.distance import EARTH_RADIUS_KM, great_circle_km

PUBLISHED = Path(__file__).parents[1] / "published" / "great_circles.csv"
WITHIN = 0.006  # the sphere and the ellipsoid
LATITUDE = st.floats(-90, 90)
LONGITUDE = st.floats(-180, 180)


def _rows() -> list[dict[str, str]]:
    lines = PUBLISHED.read_text("utf-8").splitlines()
    return list(csv.DictReader(line for line in lines if not line.startswith("#")))


def test_the_radius_is_the_mean_radius_of_grs_80() -> None:
    """Moritz, "Geodetic Reference System 1980" (2000): R1 = 6371008.7714 m (from memory)."""
    assert pytest.approx(6371.0087714, abs=0.0001) == EARTH_RADIUS_KM


@pytest.mark.parametrize("row", _rows(), ids=lambda row: f"{row['from']} to {row['to']}")
def test_distances_as_they_are_printed(row: dict[str, str]) -> None:
    km = great_circle_km(
        *(float(row[key]) for key in ("lat1_deg", "lon1_deg", "lat2_deg", "lon2_deg"))
    )
    on_their_sphere = km / EARTH_RADIUS_KM * float(row["radius_km"])
    assert on_their_sphere == pytest.approx(float(row["distance"]), abs=float(row["within"]))


@given(LATITUDE, LONGITUDE, LATITUDE, LONGITUDE)
def test_the_sphere_is_near_the_ellipsoid(
    lat1: float, lon1: float, lat2: float, lon2: float
) -> None:
    geodesic_km = Geodesic.WGS84.Inverse(lat1, lon1, lat2, lon2, Geodesic.DISTANCE)["s12"] / 1000
    km = great_circle_km(lat1, lon1, lat2, lon2)
    assert km == pytest.approx(geodesic_km, rel=WITHIN, abs=1e-6)


@pytest.mark.parametrize(
    ("places", "share_of_the_circle"),
    [
        ((44.02, -103.4, 44.02, -103.4), 0),
        ((0, 0, 0, 180), 1 / 2),
        ((90, 0, -90, 0), 1 / 2),
        ((0, 179.5, 0, -179.5), 1 / 360),  # over the date line
        ((0, 0, 1 / 60, 0), 1 / 21600),  # a minute of arc
        ((44.02, -103.4, -44.02, 76.6), 1 / 2),  # opposite ends of the Earth
    ],
)
def test_parts_of_the_whole_circle(
    places: tuple[float, float, float, float], share_of_the_circle: float
) -> None:
    km = great_circle_km(*places)
    assert km == pytest.approx(share_of_the_circle * 2 * pi * EARTH_RADIUS_KM, rel=1e-7)
