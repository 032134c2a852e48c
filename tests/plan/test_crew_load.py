"""The load of crews against sums by hand, weeks against ISO 8601."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, time, timedelta

import pytest

from orchardcal.plan.crew_load import CrewWeek, crew_loads
from orchardcal.plan.plan import Plan
from tests.outputs.invented_load import FAR, IDLE, LOADED, NEAR, OUT_ON, TWICE_ON, at
from tests.outputs.invented_plan import PRUNE


def weeks_of(plan: Plan, key: str) -> dict[date, CrewWeek]:
    (load,) = (load for load in crew_loads(plan) if load.crew.key == key)
    return {week.monday: week for week in load.weeks}


def test_a_day_out_by_hand() -> None:
    """10.0 km, 10.0 km and 20.0 km back: at 40 km/h 15, 15 and 30 min; arriving twice 15 min each;
    an hour, half an hour and an hour of work.
    """
    first, second = crew_loads(LOADED)[0].days
    assert (first.crew, first.day, first.sites) == ("north", OUT_ON, ("near", "far"))
    assert first.jobs == ("near-prune", "near-paint", "far-prune")
    assert first.work_min == 60 + 30 + 60
    assert first.around_min == (15 + 15 + 30) + 2 * 15
    assert first.capacity_min == 6 * 60
    assert first.km == pytest.approx(4 * 5.4 * 1.852, rel=0.002)
    assert (second.day, second.sites, second.jobs) == (TWICE_ON, ("near",), ("near-again",))
    assert (second.work_min, second.around_min) == (45, 15 + 15 + 15)
    assert second.km == pytest.approx(2 * 5.4 * 1.852, rel=0.002)


def test_a_week_is_the_sum_of_its_days() -> None:
    week = weeks_of(LOADED, "north")[date(2027, 1, 11)]
    assert (week.work_min, week.around_min, week.away_min) == (195, 135, 330)
    assert (week.trips, week.visits, week.capacity_min) == (2, 3, 5 * 6 * 60)
    assert week.km == pytest.approx(6 * 5.4 * 1.852, rel=0.002)


def test_the_weeks_are_those_of_iso_8601_to_the_end_of_the_season() -> None:
    """The season ends on 30 June 2027, in week 26; 2026 begins on a Thursday and has 53 weeks."""
    weeks = list(weeks_of(LOADED, "north"))
    numbers = [tuple(monday.isocalendar())[:2] for monday in weeks]
    assert numbers == [(2026, week) for week in range(48, 54)] + [
        (2027, week) for week in range(1, 27)
    ]
    assert all(monday.isocalendar().weekday == 1 for monday in weeks)


def test_hours_are_those_of_days_to_come_on_which_the_crew_works() -> None:
    weeks = weeks_of(LOADED, "north")
    assert weeks[date(2026, 11, 23)].capacity_min == 3 * 360  # as of Wednesday
    assert weeks[date(2026, 12, 14)].capacity_min == 5 * 360
    assert weeks[date(2026, 12, 21)].capacity_min == 0  # off
    quiet = weeks[date(2026, 12, 14)]
    assert (quiet.away_min, quiet.trips, quiet.visits, quiet.km) == (0, 0, 0, 0)


def test_a_crew_without_work_has_weeks_all_the_same() -> None:
    load = crew_loads(LOADED)[1]
    assert (load.crew, load.days) == (IDLE, ())
    assert len(load.weeks) == 32
    assert {week.capacity_min for week in load.weeks} == {0}  # it works on no weekday


def test_a_southern_season_lasts_to_december() -> None:
    south = replace(LOADED, sites=(replace(NEAR, latitude_deg=-44.09),))
    last = list(weeks_of(south, "north"))[-1]
    assert last <= date(2027, 12, 31) < last + timedelta(days=7)


def test_work_after_the_season_and_a_season_that_is_over() -> None:
    late = at(PRUNE, "late", "near", date(2027, 7, 13), time(9), time(10))
    weeks = list(weeks_of(replace(LOADED, sites=(replace(NEAR, jobs=(late,)),)), "north"))
    assert weeks[-2:] == [date(2027, 7, 5), date(2027, 7, 12)]
    over = replace(LOADED, as_of=date(2028, 3, 1), sites=(replace(NEAR, jobs=()),))
    assert weeks_of(over, "north") == {}


def test_sites_of_two_time_zones_are_visited_in_the_order_of_the_sun() -> None:
    """Half past nine in Chicago is half past eight in Denver: an hour apart (IANA tzdata)."""
    east = replace(
        FAR,
        timezone="America/Chicago",
        jobs=(at(PRUNE, "east", "far", OUT_ON, time(9, 30), time(9, 45)),),
    )
    (day, *_) = crew_loads(replace(LOADED, sites=(NEAR, east)))[0].days
    assert day.sites == ("far", "near")


def test_no_crews_no_load() -> None:
    assert crew_loads(replace(LOADED, crews=())) == ()
