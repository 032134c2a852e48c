"""A programme folder read whole: sites, species rules, records; every problem of all of them."""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path

from orchardcal.errors import BadFiles, Problem, Problems, Spot, known
from orchardcal.sites.reading import read_programme
from orchardcal.sites.record import DailyRecord, read_record
from orchardcal.sites.site import Programme, RecordGiven, Site
from orchardcal.species.reading import read_species
from orchardcal.species.rules import SpeciesRules


@dataclass(frozen=True)
class Loaded:
    """records: by site key, for the sites that have one."""

    programme: Programme
    rules: dict[str, SpeciesRules]
    records: dict[str, DailyRecord]

    def one_site(self, site: Site) -> Programme:
        """The programme as if it had this site alone."""
        return replace(self.programme, sites=(site,))


def load(folder: Path) -> Loaded:
    """Reads a programme folder; raises BadFiles with all of its problems."""
    rules = read_species(sorted(folder.glob("species/*.toml")))
    stages = {key: [stage.key for stage in rules[key].stages] for key in rules}
    programme = read_programme(folder, rules.keys(), stages)
    problems = Problems()
    records = {}
    for site in programme.sites:
        if isinstance(site.climate, RecordGiven):
            shown = f"{site.key}/{site.climate.path.name}"
            record = read_record(site.climate.path, problems, shown)
            if record is not None:
                records[site.key] = record
    problems.raise_if_any()
    return Loaded(programme, rules, records)


def site_named(loaded: Loaded, folder: Path, key: str) -> Site:
    """The site with this key; raises BadFiles with the nearest ones if there is none."""
    sites = {site.key: site for site in loaded.programme.sites}
    if key not in sites:
        raise BadFiles(
            [Problem(Spot(str(folder)), f'there is no site "{key}"', known("sites", key, sites))]
        )
    return sites[key]
