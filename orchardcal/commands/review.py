"""The command that puts what was planned beside what happened."""

from __future__ import annotations

from pathlib import Path

import click

from orchardcal.commands.programme import load, site_named
from orchardcal.commands.recording import text_given, today
from orchardcal.errors import NothingToPlan
from orchardcal.journal.store import STORE_NAME, Store
from orchardcal.outputs.review_table import review_table
from orchardcal.outputs.speech import Speech
from orchardcal.season import Season, is_southern


@click.command()
@click.argument("folder", type=click.Path(path_type=Path), default=".")
@click.argument("site", type=text_given, default="")
@click.option(
    "--season", "harvest_year", type=click.IntRange(1900, 2200), help="Harvest year; else this one."
)
def review(folder: Path, site: str, harvest_year: int | None) -> None:
    """Compare a season's plan with what was recorded: planned, done, odds then, weather that came.

    \b
    Example:
      orchardcal review demo_sites cedar-bluff --season 2027
    """
    loaded = load(folder)
    wanted = [site_named(loaded, folder, site)] if site else list(loaded.programme.sites)
    seasons = {
        one.key: harvest_year
        or Season.containing(today(), is_southern(one.latitude_deg)).harvest_year
        for one in wanted
    }
    with Store.open(folder / STORE_NAME, create=False) as store:
        rows = [row for row in store.published() if seasons.get(row.site) == row.season]
    records = {
        key: weather.record for key, weather in loaded.weather.items() if weather.record is not None
    }
    told = review_table(rows, records, Speech("en", loaded.programme.units))
    if not told:
        raise NothingToPlan(
            "Nothing of that season has been published yet.\n"
            f"    Plan it first: orchardcal season {folder} --out OUT"
        )
    click.echo(told, nl=False)
