"""The demonstration covers what it should: climates, hemispheres, species, ages, calendars."""

from __future__ import annotations

from pathlib import Path

import pytest

from orchardcal.sites.reading import read_programme
from orchardcal.sites.site import FreezeDatesGiven, NormalsGiven, Programme, RecordGiven
from orchardcal.species.reading import read_species, species_names


@pytest.fixture(scope="module")
def demo(repository: Path) -> Programme:
    stages = {key: [stage.key for stage in rules.stages] for key, rules in read_species().items()}
    return read_programme(repository / "demo_sites", species_names(), stages)


def test_climates_and_hemispheres(demo: Programme) -> None:
    assert len(demo.sites) >= 7
    kinds = [type(site.climate) for site in demo.sites]
    assert {RecordGiven, NormalsGiven, FreezeDatesGiven} <= set(kinds)
    assert min(site.latitude_deg for site in demo.sites) < -30
    freeze = [site.climate for site in demo.sites if isinstance(site.climate, FreezeDatesGiven)]
    assert {climate.coldest_low_c is None for climate in freeze} == {True, False}


def test_trees(demo: Programme) -> None:
    plantings = [planting for site in demo.sites for planting in site.plantings]
    assert len(plantings) >= 25
    assert len({planting.species for planting in plantings}) >= 15
    ages = [age for planting in plantings if (age := planting.age(2027)) is not None]
    assert min(ages) == 1
    assert max(ages) > 25
    assert any(planting.near_power_line for planting in plantings)
    assert any(planting.seen for planting in plantings)


def test_calendars(demo: Programme) -> None:
    assert any(site.volunteers for site in demo.sites)
    assert any(closure.rule for site in demo.sites for closure in site.closures)
    assert sum(bool(site.pupil_terms) for site in demo.sites) >= 6


def test_nobody_can_be_reached_by_mistake(demo: Programme) -> None:
    """RFC 2606: the top-level name .example belongs to nobody."""
    assert all(person.email.endswith(".example") for person in demo.people.values())
