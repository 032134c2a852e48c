"""The command that shows a site's climate: freeze odds, chill, bud stages; tables and a drawing."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import click

from orchardcal.climate.impossible import ClimateRefused
from orchardcal.commands.programme import load, site_named
from orchardcal.commands.recording import day_given, text_given, today
from orchardcal.commands.writing import write_all
from orchardcal.errors import BadFiles, Problem
from orchardcal.outputs.climate_plot import chill_plot
from orchardcal.outputs.climate_table import climate_json, climate_tables
from orchardcal.outputs.speech import Speech
from orchardcal.pipeline import site_seasons
from orchardcal.plan.site_notes import site_notes
from orchardcal.windows.climate_facts import climate_facts
from orchardcal.windows.stages import needs_of


@click.command()
@click.argument("folder", type=click.Path(path_type=Path))
@click.argument("site", type=text_given)
@click.option("--season", "harvest_year", type=click.IntRange(1900, 2200), help="Harvest year.")
@click.option("--as-of", type=day_given, help="The day up to which weather is known; today.")
@click.option(
    "--plot", type=click.Path(path_type=Path), help="Write the chill of all seasons as an SVG file."
)
@click.option("--json", "as_json", is_flag=True, help="Print the figures as JSON.")
def climate(
    folder: Path,
    site: str,
    harvest_year: int | None,
    as_of: date | None,
    plot: Path | None,
    as_json: bool,
) -> None:
    """Show what the plan knows of SITE's climate.

    \b
    Example:
      orchardcal climate demo_sites cedar_bluff --plot chill.svg
    """
    loaded = load(folder)
    found = site_named(loaded, folder, site)
    day = as_of or today()
    try:
        seasons = site_seasons(
            found, loaded.weather[found.key], loaded.rules, (), harvest_year, day
        )
    except ClimateRefused as refused:
        raise BadFiles(Problem(found.spot, message) for message in refused.messages) from refused
    here = seasons[0]
    facts = climate_facts(here.climate, found.plantings, loaded.rules)
    speech = Speech("en", loaded.programme.units)
    if as_json:
        click.echo(climate_json(facts, here.season), nl=False)
    else:
        click.echo(f"{found.name}, season {here.season.harvest_year}")
        for note in site_notes(seasons):
            click.echo(speech.sentence(note))
        click.echo("\n" + climate_tables(facts, here.season, speech), nl=False)
    if plot is not None:
        needs = {
            loaded.rules[one.species].title: needs_of(one, loaded.rules[one.species], "typical")
            for one in found.plantings
            if loaded.rules[one.species].deciduous and loaded.rules[one.species].needs
        }
        levels = [
            (name, need.chill.amount)
            for name, need in sorted(needs.items())
            if need.chill.model == "portions"
        ]
        title = f"{found.name}: chill portions, {here.climate.members} seasons"
        drawing = chill_plot(facts.portions_by_day, levels, here.season, title, speech)
        write_all(plot.parent, {plot.name: drawing.encode()})
