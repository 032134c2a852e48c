"""The shipped rules, read once for all tests of species."""

from __future__ import annotations

import pytest

from orchardcal.species.reading import read_species
from orchardcal.species.rules import SpeciesRules


@pytest.fixture(scope="session")
def shipped() -> dict[str, SpeciesRules]:
    return read_species()
