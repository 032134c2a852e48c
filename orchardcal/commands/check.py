"""The command that lists every problem of a programme folder, and says what it understood."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from pathlib import Path

import click

from orchardcal.commands.clock import today
from orchardcal.commands.programme import stage_names
from orchardcal.commands.progress import reading_of
from orchardcal.errors import BadFiles, Problems
from orchardcal.sites.crew_doubts import crew_doubts
from orchardcal.sites.reader import read_anew
from orchardcal.sites.reading import WeatherRead, programme_and_weather, species_files
from orchardcal.sites.record import DailyRecord
from orchardcal.sites.site import FreezeDatesGiven, NormalsGiven, Programme, Site
from orchardcal.sites.work_day_doubts import work_day_doubts
from orchardcal.species.reading import read_species, species_names


@click.command()
@click.argument("folder", type=click.Path(path_type=Path), default=".")
def check(folder: Path) -> None:
    """Read everything in FOLDER and list every problem: file, line, value, what to write.

    Exit code 0 without problems, 2 with any. Other commands do not run on a broken folder.

    \b
    Example:
      orchardcal check demo_sites
    """
    problems = Problems()
    own = species_files(folder)
    try:
        if own:
            read_species(own, only=[path.stem for path in own])
    except BadFiles as bad:
        problems.found.extend(bad.problems)
        own = ()
    names = species_names(species_files(folder))
    with reading_of(folder, read_anew) as reader:
        programme, weather = programme_and_weather(
            folder, names, BudStages(own), today(), problems, reader
        )
    problems.raise_if_any()
    assert programme is not None
    click.echo(_summary(programme, weather))


class BudStages(Mapping[str, Mapping[str, str]]):
    """The names of each species' bud stages, read when asked for: few trees have stages noted."""

    def __init__(self, own_species: tuple[Path, ...]) -> None:
        self._own = own_species
        self._names = species_names(own_species)
        self._read: dict[str, Mapping[str, str]] = {}

    def __getitem__(self, species: str) -> Mapping[str, str]:
        if species not in self._read:
            self._read[species] = stage_names(read_species(self._own, only=(species,))[species])
        return self._read[species]

    def __iter__(self) -> Iterator[str]:
        return iter(sorted(set(self._names.values())))

    def __len__(self) -> int:
        return len(set(self._names.values()))


def _summary(programme: Programme, weather: dict[str, WeatherRead]) -> str:
    """What was understood, a line for each site, so that a slip that is no mistake shows."""
    trees = sum(planting.count for site in programme.sites for planting in site.plantings)
    species = {planting.species for site in programme.sites for planting in site.plantings}
    climates = {site.key: _climate(site, weather[site.key].record) for site in programme.sites}
    width = max(len(site.key) for site in programme.sites)
    lines = [
        f"{programme.name}: {_count(len(programme.sites), 'site')}, {_count(trees, 'tree')} of "
        f"{len(species)} species, no problems.",
        *(
            f"  {site.key:{width}}  {_trees(site)}, {site.timezone}, {climates[site.key]}"
            for site in programme.sites
        ),
    ]
    without = [site.key for site in programme.sites if not site.country]
    if without:
        lines.append(f"No country is given, so no public holidays are known: {', '.join(without)}.")
    doubts = (*crew_doubts(programme), *work_day_doubts(programme))
    if doubts:
        lines += ["To look at again, though it is no mistake:", *map(str, doubts)]
    return "\n".join(lines)


def _count(count: int, what: str) -> str:
    return f"{count} {what}" if count == 1 else f"{count} {what}s"


def _trees(site: Site) -> str:
    return _count(sum(planting.count for planting in site.plantings), "tree")


def _climate(site: Site, record: DailyRecord | None) -> str:
    if record is not None:
        rain = "with rain" if record.has_rain else "without rain"
        return f"record {record.first_day} to {record.last_day} {rain}"
    if isinstance(site.climate, NormalsGiven):
        return f"monthly normals {'with' if site.climate.rain_mm else 'without'} rain"
    assert isinstance(site.climate, FreezeDatesGiven)
    four = "with" if site.climate.coldest_low_c is not None else "without"
    return f"freeze dates and chill, {four} the four extra numbers"
