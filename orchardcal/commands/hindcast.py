"""The command that asks how often a site's plan would have been right in its past seasons."""

from __future__ import annotations

from pathlib import Path

import click

from orchardcal.climate.impossible import ClimateRefused
from orchardcal.commands.programme import load, site_named
from orchardcal.commands.progress import progress_of
from orchardcal.commands.recording import text_given, today
from orchardcal.errors import BadFiles, NothingToPlan, Problem
from orchardcal.outputs.hindcast_table import hindcast_json, hindcast_tables
from orchardcal.windows import hindcast as past
from orchardcal.windows.site_ensemble import usual_ensemble


@click.command()
@click.argument("folder", type=click.Path(path_type=Path))
@click.argument("site", type=text_given)
@click.option("--json", "as_json", is_flag=True, help="Print the counts as JSON.")
def hindcast(folder: Path, site: str, as_json: bool) -> None:
    """Plan each past season of SITE from its other seasons and count how often that was right.

    \b
    Example:
      orchardcal hindcast demo_sites cedar-bluff
    """
    loaded = load(folder)
    found = site_named(loaded, folder, site)
    try:
        ensemble = usual_ensemble(found, loaded.weather[found.key].record, today())
    except ClimateRefused as refused:
        raise BadFiles(Problem(found.spot, message) for message in refused.messages) from refused
    if ensemble.grade not in "AB":
        raise NothingToPlan(
            f"{found.name} has no record of ten whole seasons or more, so no past season can be"
            " judged. Add days with: orchardcal weather"
        )
    with progress_of(ensemble.members, "Judging") as progress:
        judged = past.hindcast(found.plantings, loaded.rules, ensemble, progress)
    if as_json:
        click.echo(hindcast_json(judged), nl=False)
    else:
        click.echo(f"{found.name}\n" + hindcast_tables(judged), nl=False)
