"""Volunteers' work days: which days, how many people, what is said where something does not fit."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date, time
from itertools import pairwise
from typing import Any

import pytest
from astral import LocationInfo
from astral.sun import sun

from orchardcal.care import DORMANT_PRUNING, LOOK_AT_CUTS
from orchardcal.outputs.speech import Speech
from orchardcal.plan.plan import SitePlan
from orchardcal.plan.site_plan import site_plan
from orchardcal.plan.volunteers import group_for, leaders_for
from orchardcal.season import Span
from orchardcal.sentence import Sentence
from orchardcal.sites.site import Closure, Site
from orchardcal.sites.work_day_settings import WorkDaySettings
from tests.invented import planting, site, site_season

AS_OF = date(2026, 11, 25)
SATURDAYS = frozenset({5})
TREES = (
    planting("A1", "apple", 2010, count=4),
    planting("B1", "pear_european", 2014, count=3),
    planting("P1", "plum_european", 2016),
)


def planned(where: Site | None = None, **settings: Any) -> SitePlan:
    here = where or site("maritime", TREES)
    here = replace(here, work_days=WorkDaySettings(**settings))
    return site_plan((site_season(here, AS_OF),), ())


def words(sentences: Sequence[Sentence]) -> str:
    speech = Speech()
    return "\n".join(speech.sentence(one) for one in sentences)


def moments(day: date, where: Site) -> tuple[time, time]:
    """Sunrise and sunset by the astral library, which the planner does not use here."""
    place = LocationInfo("", "", where.timezone, where.latitude_deg, where.longitude_deg)
    found = sun(place.observer, day, tzinfo=place.tzinfo)
    return found["sunrise"].time(), found["sunset"].time()


@pytest.mark.parametrize(
    ("people", "per_leader", "leaders"),
    [(8, 8, 1), (9, 8, 2), (3, 3, 1), (4, 3, 2), (24, 8, 3), (24, 3, 8), (1, 5, 1)],
)
def test_one_leader_for_three_to_eight_volunteers(
    people: int, per_leader: int, leaders: int
) -> None:
    """CO Land Lab, Organization of Volunteer Days: one crew leader per 3-8 volunteers."""
    settings = WorkDaySettings(largest=30, volunteers_per_leader=per_leader)
    assert leaders_for(people, settings) == leaders


@pytest.mark.parametrize(
    ("person_min", "available_min", "settings", "people", "work_min"),
    [
        # 180 minutes in all, 140 of them work: 1400 person-minutes take ten people
        (1400, 400, {"largest": 20}, 10, 140),
        (1401, 400, {"largest": 20}, 11, 135),
        # a short winter day: 100 minutes leave 60 to work
        (600, 100, {"largest": 20}, 10, 60),
        # never fewer than the smallest group, never more than can be led
        (60, 400, {"smallest": 6}, 6, 15),
        (9000, 400, {"largest": 20, "leaders": 2, "volunteers_per_leader": 4}, 8, 140),
    ],
)
def test_people_come_from_the_work_and_the_hours(
    person_min: int, available_min: int, settings: dict[str, Any], people: int, work_min: int
) -> None:
    group = group_for(person_min, available_min, WorkDaySettings(**settings))
    assert (group.people, group.work_min) == (people, work_min)


def test_work_days_keep_to_weekdays_daylight_and_windows() -> None:
    here = site("maritime", TREES)
    plan = planned(weekdays=SATURDAYS)
    assert plan.work_days
    by_uid = {job.uid: job for job in plan.jobs}
    for one in plan.work_days:
        assert one.day.weekday() == 5
        rise, fall = moments(one.day, here)
        assert max(rise, here.opens) <= one.start < one.end <= min(fall, here.closes)
        jobs = [by_uid[uid] for uid in one.jobs]
        assert all(job.day == one.day and job.day in job.window for job in jobs)
        assert (one.start, one.end) == (jobs[0].start, jobs[-1].end)
        assert all(job.people == one.people for job in jobs)
        sheet = one.run_sheet
        assert (sheet[0].start, sheet[-1].end) == (one.start, one.end)
        assert all(a.end == b.start for a, b in pairwise(sheet))
        assert [(one.day - each.day).days for each in one.announcements] == [60, 14, 7]
    open_jobs = {job.uid for job in plan.jobs if job.open_to_volunteers}
    assert open_jobs == {uid for one in plan.work_days for uid in one.jobs}


def test_a_rain_day_comes_later_in_every_window_and_keeps_the_order() -> None:
    plan = planned(weekdays=SATURDAYS)
    by_uid = {job.uid: job for job in plan.jobs}
    with_rain_day = [one for one in plan.work_days if one.rain_day is not None]
    assert with_rain_day
    for one in plan.work_days:
        assert (one.rain_day is None) == (one.rain_why is not None)
    for one in with_rain_day:
        assert one.rain_day is not None
        assert one.rain_day > one.day
        assert one.rain_day.weekday() == 5
        assert one.rain_day not in {other.day for other in plan.work_days}
        assert all(one.rain_day in by_uid[uid].window for uid in one.jobs)
        followers = [job for job in plan.jobs if job.care != LOOK_AT_CUTS]  # these move along
        for job in followers:
            for before in job.befores:
                if before.uid in one.jobs and job.uid not in one.jobs:
                    assert 24 * (job.day - one.rain_day).days >= before.gap_h


def test_settings_that_contradict_each_other_still_leave_a_plan() -> None:
    """The largest group holds over a smallest above it; a ban holds over a pin of the same day."""
    crossed = planned(weekdays=SATURDAYS, smallest=12, largest=6)
    assert {one.people for one in crossed.work_days} == {6}
    for one in crossed.work_days:
        assert "smallest group (12) is above the largest (6)" in words(one.notes)
    day = crossed.work_days[0].day
    both = planned(weekdays=SATURDAYS, pinned=(day,), banned=(day,))
    (flagged,) = (one for one in both.work_days if one.day == day)
    assert flagged.jobs == ()
    assert "banned as well" in words(flagged.notes)


def test_a_banned_day_is_never_used_and_the_work_goes_elsewhere() -> None:
    first = planned(weekdays=SATURDAYS).work_days[0].day
    after = planned(weekdays=SATURDAYS, banned=(first,))
    assert after.work_days
    assert first not in {one.day for one in after.work_days}
    assert first not in {one.rain_day for one in after.work_days}
    assert not any(job.day == first and job.open_to_volunteers for job in after.jobs)


def test_banning_every_day_leaves_no_place_and_says_so() -> None:
    every = tuple(Span(date(2026, 11, 1), date(2027, 10, 31)).days())
    plan = planned(banned=every)
    assert plan.work_days == ()
    lost = [entry for entry in plan.not_placed if entry.care == DORMANT_PRUNING]
    assert [entry.kind for entry in lost] == ["no day"] * len(lost)
    assert lost
    assert "0 of these are not banned for work days" in words(lost[0].why)
    assert lost[0].nearest is not None
    assert "if it were not banned for work days" in words([lost[0].nearest])


def test_a_pinned_day_in_the_window_is_taken() -> None:
    without = planned(weekdays=SATURDAYS)
    pruning = next(job for job in without.jobs if job.care == DORMANT_PRUNING)
    other = next(day for day in pruning.window.days() if day.weekday() == 5 and day > pruning.day)
    pinned = planned(weekdays=SATURDAYS, pinned=(other,))
    (there,) = (one for one in pinned.work_days if one.day == other)
    assert there.pinned
    assert there.jobs
    assert "The coordinator pinned this day." in words(there.notes)
    # a pin also stands on a weekday when volunteers do not come otherwise
    friday = date.fromordinal(other.toordinal() - 1)
    assert friday in pruning.window
    taken = planned(weekdays=SATURDAYS, pinned=(friday,))
    assert any(one.day == friday and one.jobs for one in taken.work_days)


@pytest.mark.parametrize(
    ("day", "what"),
    [
        (date(2027, 5, 8), "it lies outside every window"),
        (date(2027, 1, 10), "the site is not visited on that weekday"),
        (date(2027, 1, 16), 'the site is closed then ("Inset day")'),
    ],
)
def test_a_pinned_day_without_work_is_kept_and_flagged(day: date, what: str) -> None:
    closed = Closure("Inset day", Span(date(2027, 1, 16), date(2027, 1, 16)))
    trees = (planting("A1", "apple", 2010, count=4),)
    plan = planned(site("maritime", trees, closures=(closed,)), pinned=(day,))
    (kept,) = (one for one in plan.work_days if one.day == day)
    assert kept.pinned
    assert kept.jobs == ()
    assert what in words(kept.notes)
    assert all(job.day in job.window for job in plan.jobs)


def test_what_does_not_fit_into_one_day_is_said() -> None:
    many = (planting("A1", "apple", 2000, count=40),)
    plan = planned(site("maritime", many), largest=6, smallest=2, leaders=1)
    crowded = max(plan.work_days, key=lambda one: one.minutes)
    assert not crowded.enough
    assert crowded.people == 5  # one leader of five, though six might come
    assert crowded.fit_minutes < crowded.minutes
    assert "of work fit into this day with 5 volunteers" in words(crowded.notes)
    assert "1 leader can lead no more" in words(crowded.notes)


def test_minors_get_no_ladders_power_tools_or_sprays() -> None:
    for plan in (
        planned(minors=True),
        planned(site("maritime", TREES, pupils_take_part=True)),
    ):
        for one in plan.work_days:
            told = words(one.cautions)
            assert "no ladders, no saws with motors" in told
            assert "no spraying" in told
        volunteers = [job for job in plan.jobs if job.open_to_volunteers]
        assert volunteers
        assert all("Under 18: no ladders" in words(job.cautions) for job in volunteers)
        assert not any("spray" in job.care for job in volunteers)
    assert "Under 18" not in words(planned().work_days[0].cautions)


def test_pupils_get_a_lesson_where_they_take_part() -> None:
    there = planned(site("maritime", TREES, pupils_take_part=True))
    assert all("branch collar" in words(one.lesson) for one in there.work_days if one.jobs[:1])
    assert all(one.lesson == () for one in planned().work_days)


def test_tools_are_counted_by_people() -> None:
    plan = planned(smallest=7, largest=7, leaders=2)
    pruning_days = [
        one
        for one in plan.work_days
        if any(job.uid in one.jobs and job.care == DORMANT_PRUNING for job in plan.jobs)
    ]
    assert pruning_days
    for one in pruning_days:
        told = words(one.tools)
        for tool in ("7 bypass pruners", "4 loppers", "3 pruning saws", "2 bottles"):
            assert tool in told


def test_without_settings_there_is_no_work_day() -> None:
    assert site_plan((site_season(site("maritime", TREES), AS_OF),), ()).work_days == ()
