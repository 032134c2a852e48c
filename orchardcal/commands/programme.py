"""A programme folder read whole: sites, species rules, records; every problem of all of them."""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path

from orchardcal.commands.recording import today
from orchardcal.errors import BadFiles, Problem, Problems, Spot, known
from orchardcal.sites.forecast import FORECAST_FILE, Forecast, read_forecast
from orchardcal.sites.hourly import HourlyRecord, read_hourly
from orchardcal.sites.reading import programme_and_records, species_files
from orchardcal.sites.site import Programme, Site
from orchardcal.species.reading import read_species, species_names
from orchardcal.species.rules import SpeciesRules
from orchardcal.windows.site_weather import SiteWeather


@dataclass(frozen=True)
class Loaded:
    """weather: by site key, what its files say."""

    programme: Programme
    rules: dict[str, SpeciesRules]
    weather: dict[str, SiteWeather]

    def one_site(self, site: Site) -> Programme:
        """The programme as if it had this site alone."""
        return replace(self.programme, sites=(site,))


def load(folder: Path) -> Loaded:
    """Reads a programme folder; raises BadFiles with all of its problems."""
    rules = read_species(species_files(folder))
    stages = {
        key: {**{stage.key: stage.key for stage in found.stages}, **dict(found.stage_aliases)}
        for key, found in rules.items()
    }
    names = species_names(species_files(folder))
    problems = Problems()
    programme, records = programme_and_records(folder, names, stages, today(), problems)
    problems.raise_if_any()
    assert programme is not None
    weather = {
        site.key: SiteWeather(
            records.get(site.key), _hours(site, problems), _forecast(folder, site, problems)
        )
        for site in programme.sites
    }
    return Loaded(programme, rules, weather)


def _hours(site: Site, problems: Problems) -> HourlyRecord | None:
    """The site's hourly file, which the programme's reader has checked already."""
    if site.hourly is None:
        return None
    return read_hourly(site.hourly, problems, f"{site.key}/{site.hourly.name}")


def _forecast(folder: Path, site: Site, problems: Problems) -> Forecast | None:
    path = folder / site.key / FORECAST_FILE
    if not path.exists():
        return None
    return read_forecast(path, problems, f"{site.key}/{FORECAST_FILE}")


def site_named(loaded: Loaded, folder: Path, key: str) -> Site:
    """The site with this key; raises BadFiles with the nearest ones if there is none."""
    sites = {site.key: site for site in loaded.programme.sites}
    if key not in sites:
        raise BadFiles(
            [Problem(Spot(str(folder)), f'there is no site "{key}"', known("sites", key, sites))]
        )
    return sites[key]
