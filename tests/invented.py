"""Invented plantings, sites and climates for tests: nothing here was measured or exists."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date, time
from functools import lru_cache
from pathlib import Path
from typing import Any

from orchardcal.climate.grades import ensemble_from_normals
from orchardcal.errors import Spot
from orchardcal.journal.entries import Entry
from orchardcal.plan.care_tasks import SiteSeason
from orchardcal.plan.recorded import recorded
from orchardcal.season import Season, is_southern
from orchardcal.sites.site import NormalsGiven, Planting, Site, SprayRule
from orchardcal.species.reading import read_species
from orchardcal.species.rules import SpeciesRules
from orchardcal.windows.site_climate import SiteClimate

SUMMER_DRY = NormalsGiven(  # a warm valley with winter rain
    low_c=(3.4, 5.0, 7.0, 9.1, 12.9, 16.2, 18.9, 18.1, 15.6, 11.0, 5.9, 3.0),
    high_c=(12.6, 16.6, 19.9, 23.8, 28.8, 33.4, 36.7, 36.0, 32.7, 26.4, 18.2, 12.7),
    rain_days=(7.6, 7.3, 6.9, 3.9, 2.1, 0.7, 0.1, 0.1, 0.6, 2.2, 4.4, 6.4),
    rain_mm=(55, 52, 50, 24, 11, 5, 0.3, 0.3, 2, 15, 27, 44),
)
MARITIME = NormalsGiven(  # cool, wet all year
    low_c=(1.6, 1.4, 2.8, 4.6, 7.6, 10.3, 12.3, 12.1, 10.0, 7.4, 4.4, 2.3),
    high_c=(7.0, 7.7, 10.3, 13.5, 16.8, 19.7, 21.7, 21.5, 18.6, 14.6, 10.3, 7.7),
    rain_days=(13.3, 11.4, 11.1, 10.2, 10.4, 9.3, 9.6, 10.4, 10.7, 12.2, 13.4, 13.6),
    rain_mm=(78, 62, 64, 56, 61, 58, 64, 71, 62, 75, 82, 85),
)
CONTINENTAL = NormalsGiven(  # hard winters, rain unknown
    low_c=(-14.0, -12.5, -6.5, 0.5, 6.8, 12.3, 15.0, 13.9, 8.7, 2.4, -4.2, -11.0),
    high_c=(-4.0, -2.0, 4.5, 13.8, 20.7, 25.9, 28.4, 27.2, 22.1, 14.3, 5.0, -2.0),
    rain_days=None,
    rain_mm=None,
)
FROST_FREE = NormalsGiven(  # a warm coast
    low_c=(14.0, 13.9, 14.4, 15.2, 16.5, 18.4, 20.1, 21.0, 20.6, 19.2, 17.1, 15.2),
    high_c=(20.3, 20.5, 21.4, 22.0, 23.3, 25.3, 27.4, 28.3, 27.7, 25.9, 23.4, 21.3),
    rain_days=(5.1, 4.4, 4.3, 3.1, 1.4, 0.5, 0.2, 0.3, 1.2, 3.3, 5.0, 5.8),
    rain_mm=(38, 35, 37, 17, 6, 1.5, 0.5, 2, 8, 22, 38, 44),
)
LATITUDES = {"dry": 38.0, "maritime": 51.0, "continental": 45.0, "frost free": 28.0}
CLIMATES = {
    "dry": SUMMER_DRY,
    "maritime": MARITIME,
    "continental": CONTINENTAL,
    "frost free": FROST_FREE,
}


@lru_cache(maxsize=1)
def shipped() -> dict[str, SpeciesRules]:
    return read_species()


def planting(id_: str, species: str, planted_year: int | None = 2015, **more: Any) -> Planting:
    """A planting of two trees with nothing special about it."""
    plain = Planting(
        id=id_,
        species=species,
        cultivar="",
        count=2,
        planted_year=planted_year,
        form="unknown",
        trunk_diameter_m=None,
        height_m=None,
        chill_need=None,
        heat_need=None,
        seen=(),
        near_power_line=False,
        notes="",
        spot=Spot("elm/trees.csv", 2),
    )
    return replace(plain, **more)


def site(climate: str, plantings: Sequence[Planting], southern: bool = False, **more: Any) -> Site:
    """A site open from Monday to Saturday, without pupils, in one of the invented climates."""
    normals, latitude_deg = CLIMATES[climate], LATITUDES[climate]
    if southern:
        normals, latitude_deg = mirrored(normals), -latitude_deg
    plain = Site(
        key="elm",
        name="Elm School",
        latitude_deg=latitude_deg,
        longitude_deg=0.0,
        elevation_m=None,
        timezone="Etc/UTC",
        where="behind the gym",
        country="",
        subdivision="",
        lead="ada",
        weekdays=frozenset(range(6)),
        opens=time(9),
        closes=time(15),
        closures=(),
        pupil_terms=(),
        pupil_weekdays=frozenset(range(5)),
        pupils_take_part=False,
        volunteers=True,
        spray=SprayRule(),
        climate=normals,
        hourly=None,
        plantings=tuple(plantings),
        spot=Spot("elm/site.toml", 1),
    )
    return replace(plain, **more)


def mirrored(normals: NormalsGiven) -> NormalsGiven:
    """The same climate half a year off, as south of the equator."""

    def turned(values: tuple[float, ...] | None) -> tuple[float, ...] | None:
        return None if values is None else values[6:] + values[:6]

    low_c, high_c = turned(normals.low_c), turned(normals.high_c)
    assert low_c is not None
    assert high_c is not None
    return NormalsGiven(low_c, high_c, turned(normals.rain_days), turned(normals.rain_mm))


@lru_cache(maxsize=16)
def climate_of(normals: NormalsGiven, latitude_deg: float) -> SiteClimate:
    ensemble = ensemble_from_normals(
        latitude_deg, normals.low_c, normals.high_c, normals.rain_days, normals.rain_mm
    )
    return SiteClimate(ensemble)


def site_season(
    where: Site, as_of: date, entries: Sequence[Entry] = (), harvest_year: int = 2027
) -> SiteSeason:
    """The site in one season as of a day, with its climate and journal."""
    assert isinstance(where.climate, NormalsGiven)
    return SiteSeason(
        where,
        Season(harvest_year, is_southern(where.latitude_deg)),
        shipped(),
        climate_of(where.climate, where.latitude_deg),
        recorded(entries, where),
        as_of,
    )


DEMO = Path(__file__).parent.parent / "demo_sites"
