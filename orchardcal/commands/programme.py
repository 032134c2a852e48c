"""A programme folder read whole: sites, species rules, records; every problem of all of them."""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path

from orchardcal.commands.clock import today
from orchardcal.commands.progress import reading_of
from orchardcal.errors import BadFiles, Problem, Problems, Spot, known
from orchardcal.sites.crew_reach import sharing_crews
from orchardcal.sites.reader import Reader, read_anew
from orchardcal.sites.reading import programme_and_weather, species_files
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

    def around(self, site: Site) -> Programme:
        """The programme as if it had this site alone, and those that share its crews."""
        return replace(self.programme, sites=tuple(sharing_crews(self.programme, site)))


def load(folder: Path, reader: Reader = read_anew) -> Loaded:
    """Reads a programme folder; raises BadFiles with all of its problems.

    reader: reads the files, or has them already.
    """
    problems = Problems()
    files = species_files(folder)
    names = [path.as_posix() for path in files]
    rules = reader(dict, lambda _: read_species(files), files, ("species rules", *names), problems)
    assert rules is not None
    stages = {key: stage_names(found) for key, found in rules.items()}
    with reading_of(folder, reader) as telling:
        programme, read = programme_and_weather(
            folder, species_names(files), stages, today(), problems, telling
        )
    problems.raise_if_any()
    assert programme is not None
    weather = {
        site: SiteWeather(each.record, each.hours, each.forecast) for site, each in read.items()
    }
    return Loaded(programme, rules, weather)


def stage_names(rules: SpeciesRules) -> dict[str, str]:
    """Every name a species' bud stages may have in trees.csv, and the key it means."""
    return {**{stage.key: stage.key for stage in rules.stages}, **dict(rules.stage_aliases)}


def site_named(loaded: Loaded, folder: Path, key: str) -> Site:
    """The site with this key; raises BadFiles with the nearest ones if there is none."""
    sites = {site.key: site for site in loaded.programme.sites}
    if key not in sites:
        raise BadFiles(
            [Problem(Spot(str(folder)), f'there is no site "{key}"', known("sites", key, sites))]
        )
    return sites[key]
