"""The command that lists every problem of a programme folder, and says what it understood."""

from __future__ import annotations

from pathlib import Path

import click

from orchardcal.commands.recording import today
from orchardcal.errors import BadFiles, Problems
from orchardcal.sites.reading import programme_and_records, species_files
from orchardcal.sites.record import DailyRecord
from orchardcal.sites.site import NormalsGiven, Programme, RecordGiven, Site
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
    files = species_files(folder)
    try:
        rules = read_species(files)
    except BadFiles as bad:
        problems.found.extend(bad.problems)
        rules = read_species()
    stages = {
        key: {**{stage.key: stage.key for stage in found.stages}, **dict(found.stage_aliases)}
        for key, found in rules.items()
    }
    programme, records = programme_and_records(
        folder, species_names(files), stages, today(), problems
    )
    problems.raise_if_any()
    assert programme is not None
    click.echo(_summary(programme, records))


def _summary(programme: Programme, records: dict[str, DailyRecord]) -> str:
    """What was understood, a line for each site, so that a slip that is no mistake shows."""
    trees = sum(planting.count for site in programme.sites for planting in site.plantings)
    species = {planting.species for site in programme.sites for planting in site.plantings}
    width = max(len(site.key) for site in programme.sites)
    lines = [
        f"{programme.name}: {_count(len(programme.sites), 'site')}, {_count(trees, 'tree')} of "
        f"{len(species)} species, no problems.",
        *(
            f"  {site.key:{width}}  {_trees(site)}, {site.timezone}, {_climate(site, records)}"
            for site in programme.sites
        ),
    ]
    without = [site.key for site in programme.sites if not site.country]
    if without:
        lines.append(f"No country is given, so no public holidays are known: {', '.join(without)}.")
    return "\n".join(lines)


def _count(count: int, what: str) -> str:
    return f"{count} {what}" if count == 1 else f"{count} {what}s"


def _trees(site: Site) -> str:
    return _count(sum(planting.count for planting in site.plantings), "tree")


def _climate(site: Site, records: dict[str, DailyRecord]) -> str:
    if isinstance(site.climate, RecordGiven):
        record = records[site.key]
        rain = "with rain" if record.has_rain else "without rain"
        return f"record {record.first_day} to {record.last_day} {rain}"
    if isinstance(site.climate, NormalsGiven):
        return f"monthly normals {'with' if site.climate.rain_mm else 'without'} rain"
    four = "with" if site.climate.coldest_low_c is not None else "without"
    return f"freeze dates and chill, {four} the four extra numbers"
