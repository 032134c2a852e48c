"""The [work_days] table of site.toml: what is read, and what is refused."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date

import pytest

from orchardcal.errors import BadFiles
from orchardcal.sites.site import Programme, Site
from orchardcal.sites.work_day_doubts import work_day_doubts
from orchardcal.sites.work_day_settings import (
    LEADER_RANGE,
    USUAL_PER_LEADER,
    WorkDaySettings,
)
from tests.sites.elder_lane import SITE

VISITS = '[visits]\nweekdays = "fri, sat"\nvolunteers = true\n'


def test_a_table_is_read(read_site_of: Callable[..., Site]) -> None:
    site = read_site_of(
        site=SITE
        + VISITS
        + "[work_days]\nsmallest = 4\nlargest = 16\nvolunteers_per_leader = 4\nleaders = 3\n"
        + 'minors = true\nweekdays = "sat"\npinned = [2027-01-16, "2027-02-13"]\n'
        + "banned = [2027-01-23]\n"
    )
    assert site.work_days == WorkDaySettings(
        smallest=4,
        largest=16,
        volunteers_per_leader=4,
        leaders=3,
        minors=True,
        weekdays=frozenset({5}),
        pinned=(date(2027, 1, 16), date(2027, 2, 13)),
        banned=(date(2027, 1, 23),),
    )
    assert site.work_days is not None
    assert site.work_days.most_people == 12  # three leaders of four each


def test_volunteers_without_a_table_come_on_any_visit_day(
    read_site_of: Callable[..., Site],
) -> None:
    site = read_site_of(site=SITE + VISITS)
    assert site.work_days == WorkDaySettings(weekdays=frozenset({4, 5}))
    assert read_site_of(site=SITE).work_days is None


def test_one_leader_takes_as_many_as_a_published_guide_says() -> None:
    """CO Land Lab, Organization of Volunteer Days: one crew leader per 3-8 volunteers."""
    assert LEADER_RANGE == (3, 8)
    assert 3 <= USUAL_PER_LEADER <= 8


@pytest.mark.parametrize(
    ("table", "what"),
    [
        ("largest = 0", "largest is 0"),
        ("leaders = 0", "nobody would lead the volunteers"),
        ("leaders = 1\nsmallest = 9", "too few for the smallest group of 9"),
        ("leaders = 2.5", "leaders is 2.5"),
        ('minors = "some"', 'minors is "some"'),
        ("weekdays = []", "leaves no day of the week"),
        ('weekdays = "sun"', "weekdays holds sun, when the site is not visited"),
        ('weekdays = "saturn, fri"', 'weekdays holds "saturn"'),
        ('pinned = ["16 January"]', 'pinned holds "16 January", which is no day'),
        ("banned = 2027-01-16", "no list of days"),
        ("banned = [2027-01-16T10:00:00]", "which is no day"),
        ("colour = 1", 'unknown key "colour"'),
    ],
)
def test_a_mistake_is_one_message(read_site_of: Callable[..., Site], table: str, what: str) -> None:
    with pytest.raises(BadFiles) as raised:
        read_site_of(site=f"{SITE}{VISITS}[work_days]\n{table}\n")
    assert len(raised.value.problems) == 1, str(raised.value)
    assert what in str(raised.value)
    assert "elder-lane/site.toml:" in str(raised.value)


@pytest.mark.parametrize(
    ("table", "what"),
    [
        ("smallest = 12\nlargest = 6", "(12) is above the largest (6), so 6 are planned for"),
        ("pinned = [2027-01-16]\nbanned = [2027-01-16]", "2027-01-16 is both pinned and banned"),
    ],
)
def test_what_contradicts_itself_is_asked_about(
    read_programme_of: Callable[..., Programme], table: str, what: str
) -> None:
    programme = read_programme_of(site=f"{SITE}{VISITS}[work_days]\n{table}\n")
    (doubt,) = work_day_doubts(programme)
    assert what in doubt.what
    assert doubt.spot.path == "elder-lane/site.toml"
    assert doubt.instead


def test_work_days_need_volunteers(read_site_of: Callable[..., Site]) -> None:
    with pytest.raises(BadFiles) as raised:
        read_site_of(site=f"{SITE}[work_days]\nlargest = 0\n")
    assert len(raised.value.problems) == 1, str(raised.value)
    assert "volunteers = true under [visits]" in str(raised.value)
