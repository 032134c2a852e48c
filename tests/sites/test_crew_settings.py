"""The [crews] and [rates] tables of programme.toml: what is read, and what is only asked about.

What is refused has its folders in tests/broken: crew_home, crew_values, crew_days_off,
crew_without_key and rates.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import fields, replace
from datetime import date
from pathlib import Path

import pytest

from orchardcal.errors import Spot
from orchardcal.plan.schedule.cost import Weights
from orchardcal.season import Span
from orchardcal.sites.crew_doubts import crew_doubts
from orchardcal.sites.crew_reach import goes_to, km_to_site, sharing_crews
from orchardcal.sites.crew_settings import LADDER, PRUNING, SPRAYING, CrewSettings
from orchardcal.sites.rate_settings import RATE_NAMES
from orchardcal.sites.site import Programme
from tests.invented import site

Read = Callable[..., Programme]
HOME = "home = [44.08, -103.23]\n"  # 15 km from Elder Lane
NORTH = f'[crews.north]\nname = "Crew North"\n{HOME}'


def _doubts(read: Read, programme: str) -> list[str]:
    return [str(doubt) for doubt in crew_doubts(read(programme=programme))]


def test_a_crew_with_everything_said(read_programme_of: Read) -> None:
    programme = read_programme_of(
        programme=NORTH
        + 'people = 3\nweekdays = "mon-thu"\nhours_a_day = 7.5\n'
        + 'skills = ["pruning", "spraying", "ladder"]\nreach_km = 80\nsites = ["elder-lane"]\n'
        + 'days_off = ["2026-12-21 to 2027-01-03", 2026-11-27, "2026-11-27"]\nvisits_a_day = 3\n'
    )
    assert programme.crews == (
        CrewSettings(
            key="north",
            name="Crew North",
            latitude_deg=44.08,
            longitude_deg=-103.23,
            spot=Spot("programme.toml", 2),
            people=3,
            weekdays=frozenset({0, 1, 2, 3}),
            minutes_a_day=450,
            skills=frozenset({PRUNING, SPRAYING, LADDER}),
            reach_km=80,
            sites=("elder-lane",),
            days_off=(
                Span(date(2026, 11, 27), date(2026, 11, 27)),
                Span(date(2026, 12, 21), date(2027, 1, 3)),
            ),
            visits_a_day=3,
        ),
    )


def test_spraying_must_be_said(read_programme_of: Read) -> None:
    (crew,) = read_programme_of(programme=NORTH).crews
    assert crew.skills == {PRUNING, LADDER}
    assert (crew.people, crew.weekdays, crew.minutes_a_day) == (2, frozenset(range(5)), 360)
    assert (crew.reach_km, crew.sites, crew.days_off, crew.visits_a_day) == (60, (), (), 4)


def test_crews_stand_in_the_order_written(read_programme_of: Read) -> None:
    programme = read_programme_of(
        programme=NORTH + f'[crews.east]\nname = "Crew East"\n{HOME}skills = []\n'
    )
    assert [crew.key for crew in programme.crews] == ["north", "east"]
    assert programme.crews[1].skills == frozenset()


def test_without_crews_there_is_nothing_to_ask(read_programme_of: Read) -> None:
    programme = read_programme_of()
    assert (programme.crews, programme.rates, crew_doubts(programme)) == ((), {}, ())


def test_a_crew_as_it_should_be_raises_no_doubt(read_programme_of: Read) -> None:
    assert _doubts(read_programme_of, NORTH) == []


@pytest.mark.parametrize(
    ("given", "what"),
    [
        ("weekdays = []", "works on no day of the week"),
        ('weekdays = ""', "works on no day of the week"),
        ("people = 0", "has no people"),
        ("hours_a_day = 0", "has no hours in a day"),
    ],
)
def test_a_crew_without_capacity_is_kept_and_asked_about(
    read_programme_of: Read, given: str, what: str
) -> None:
    programme = read_programme_of(programme=f"{NORTH}{given}\n")
    (crew,) = programme.crews
    assert not crew.weekdays or crew.people * crew.minutes_a_day == 0
    (doubt,) = crew_doubts(programme)
    assert doubt.spot == Spot("programme.toml", 2)
    assert what in doubt.what
    assert "[crews.north]" in doubt.instead


def test_a_site_on_the_other_side_of_the_ocean_is_asked_about(read_programme_of: Read) -> None:
    programme = read_programme_of(
        programme='[crews.vienna]\nname = "Vienna"\nhome = [48.2, 16.37]\nsites = ["elder-lane"]\n'
    )
    crew, site = programme.crews[0], programme.sites[0]
    assert goes_to(crew, site)
    assert km_to_site(crew, site) > 8000
    (doubt,) = crew_doubts(programme)
    assert f'"Vienna" goes to elder-lane, {km_to_site(crew, site):.0f} km' in doubt.what
    assert "Is it the right crew?" in doubt.instead


def test_no_site_within_reach_is_told_to_the_crew_and_to_the_site(read_programme_of: Read) -> None:
    far = '[crews.north]\nname = "Crew North"\nhome = [44.08, -101.0]\n'
    of_site, of_crew = crew_doubts(read_programme_of(programme=far))
    assert of_site.spot.path == "elder-lane/site.toml"
    assert "no crew goes to elder-lane" in of_site.what
    assert "no site within reach_km = 60" in of_crew.what
    assert 'sites = ["elder-lane"]' in of_crew.instead
    assert _doubts(read_programme_of, f"{far}reach_km = 200\n") == []
    assert _doubts(read_programme_of, f'{far}sites = ["elder-lane"]\n') == []


def test_a_home_with_its_numbers_exchanged_is_recognised(read_programme_of: Read) -> None:
    """Where both numbers could be latitudes, only the way to the sites can tell."""
    site = (
        "latitude = 50.1\nlongitude = 14.4\n[pupils]\non_site = false\n"
        '[climate]\nlast_freeze = "05-01"\nfirst_freeze = "10-10"\nchill_portions = 75\n'
    )
    programme = read_programme_of(
        site=site, programme='[crews.north]\nname = "North"\nhome = [14.4, 50.1]\n'
    )
    doubts = {doubt.spot.path: doubt.instead for doubt in crew_doubts(programme)}
    assert "Exchange the numbers of home: [50.1, 14.4]" in doubts["programme.toml"]


def test_two_crews_of_one_name(read_programme_of: Read) -> None:
    doubts = _doubts(read_programme_of, f'{NORTH}[crews.east]\nname = "crew north"\n{HOME}')
    assert len(doubts) == 1
    assert 'crews "north" and "east" are both called "crew north"' in doubts[0]


def test_a_named_site_leaves_the_others_to_other_crews(read_programme_of: Read) -> None:
    """A crew that names sites goes to no other, however near."""
    programme = read_programme_of(programme=NORTH)
    (crew,), (site,) = programme.crews, programme.sites
    assert goes_to(crew, site)
    other = CrewSettings("o", "O", 44.02, -103.4, Spot("programme.toml"), sites=("mill-road",))
    assert km_to_site(other, site) < 1
    assert not goes_to(other, site)


def test_rates_are_those_of_the_schedule() -> None:
    assert tuple(field.name for field in fields(Weights)) == RATE_NAMES


def test_only_the_rates_given_are_kept(read_programme_of: Read) -> None:
    programme = read_programme_of(programme="[rates]\nmoved = 90\ntrip_km = 0\n")
    assert programme.rates == {"trip_km": 0, "moved": 90}
    assert Weights(**programme.rates) == Weights(trip_km=0, moved=90)


def test_sites_share_crews_through_others() -> None:
    """One crew goes to a and b, another to b and c; d is nobody's."""
    places = [replace(site("dry", ()), key=key) for key in "abcd"]
    crews = tuple(
        CrewSettings(key, key, 44.0, -103.0, Spot("programme.toml"), sites=keys)
        for key, keys in (("one", ("a", "b")), ("two", ("b", "c")))
    )
    programme = Programme("P", Path(), "en", "metric", {}, "", "", sites=tuple(places), crews=crews)
    shared = {one.key: [other.key for other in sharing_crews(programme, one)] for one in places}
    assert shared == {"a": ["a", "b", "c"], "b": ["a", "b", "c"], "c": ["a", "b", "c"], "d": ["d"]}
