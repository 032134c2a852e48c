"""A crew's day on the road: sites on a line, whose shortest way and times are known by hand."""

from __future__ import annotations

from datetime import date, time

import pytest

from orchardcal.errors import Spot
from orchardcal.plan.crew_tours import EVERY_ORDER_UP_TO, Stop, tour_of
from orchardcal.sites.crew_settings import CrewSettings
from tests.invented import site

KM_A_DEGREE = 111.195  # of a great circle, radius 6371.0088 km: 2 pi r / 360
DAY = date(2027, 3, 1)
OPEN = (time(8), time(16))
CREW = CrewSettings("c", "C", 38.0, -120.0, Spot("programme.toml"), minutes_a_day=8 * 60)


def stop(km_north: float, hours: tuple[time, time] = OPEN, work_min: int = 15) -> Stop:
    latitude_deg = 38.0 + km_north / KM_A_DEGREE
    place = site("dry", (), key=f"at-{km_north}", latitude_deg=latitude_deg, longitude_deg=-120.0)
    return Stop(place, hours, work_min)


@pytest.mark.parametrize("count", [3, EVERY_ORDER_UP_TO + 1])
def test_sites_on_a_road_out_of_town_are_visited_one_after_another(count: int) -> None:
    """The shortest way goes out to the farthest and back, whatever is visited on which leg."""
    tour = tour_of(CREW, DAY, [stop(km) for km in (5, 2, 7, 1, 3, 4, 6)[:count]])
    assert tour is not None
    farthest = max((5, 2, 7, 1, 3, 4, 6)[:count])
    assert tour.km == pytest.approx(2 * farthest, rel=1e-4)


def test_a_site_that_closes_early_comes_first() -> None:
    early = stop(6, (time(8), time(9)))
    tour = tour_of(CREW, DAY, [stop(1), early])
    assert tour is not None
    assert tour.stops[0] == early
    assert tour.begins[0] == time(8, 15)  # a quarter of an hour for arriving


def test_between_two_sites_there_is_time_to_drive_and_arrive() -> None:
    """10 km at 40 km/h are 15 minutes, arriving another 15."""
    tour = tour_of(CREW, DAY, [stop(2), stop(12)])
    assert tour is not None
    first, second = ((one.hour * 60 + one.minute) for one in tour.begins)
    assert second - first == 15 + 15 + 15


def test_no_order_keeps_hours_that_exclude_each_other() -> None:
    narrow = (time(8), time(8, 35))
    assert tour_of(CREW, DAY, [stop(2, narrow), stop(12, narrow)]) is None


def test_a_day_longer_than_the_crews_hours_is_none() -> None:
    short = CrewSettings("c", "C", 38.0, -120.0, Spot("programme.toml"), minutes_a_day=60)
    assert tour_of(short, DAY, [stop(20, work_min=15)]) is None
    assert tour_of(short, DAY, [stop(2, work_min=15)]) is not None
