"""The command that explains a date as a chain of reasons."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import click

from orchardcal.commands.programme import load, site_named
from orchardcal.commands.progress import progress_of
from orchardcal.commands.recording import care_meant, day_given, text_given, today
from orchardcal.errors import NothingToPlan, Problems, Spot, known
from orchardcal.journal.store import STORE_NAME, Store
from orchardcal.outputs.reasons import reasons
from orchardcal.outputs.speech import Speech
from orchardcal.pipeline import plan_programme, steps
from orchardcal.species.reading import read_sources


@click.command()
@click.argument("folder", type=click.Path(path_type=Path))
@click.argument("site", type=text_given)
@click.argument("care", type=text_given, default="")
@click.option("--tree", type=text_given, default="", metavar="ID", help="Only this planting.")
@click.option("--season", "harvest_year", type=click.IntRange(1900, 2200), help="Harvest year.")
@click.option("--as-of", type=day_given, help="The day up to which weather and work are known.")
def why(
    folder: Path, site: str, care: str, tree: str, harvest_year: int | None, as_of: date | None
) -> None:
    """Explain the dates of SITE, or of one CARE or tree there: every reason with its source.

    \b
    Example:
      orchardcal why demo_sites cedar_bluff "dormant pruning" --season 2027
      orchardcal why demo_sites cedar_bluff --tree A-01
    """
    loaded = load(folder)
    problems = Problems()
    found = site_named(loaded, folder, site)
    ids = [planting.id for planting in found.plantings]
    if tree and tree not in ids:
        spot = Spot(f"{site}/trees.csv")
        problems.add(spot, f'there is no tree "{tree}"', known("trees", tree, ids))
    meant = care_meant(care, problems) if care else ""
    problems.raise_if_any()
    with Store.open(folder / STORE_NAME, create=False) as store:
        around = loaded.around(found)
        with progress_of(steps(around), "Planning") as progress:
            plan = plan_programme(
                around,
                loaded.weather,
                loaded.rules,
                store.entries(),
                store.published(),
                harvest_year,
                as_of or today(),
                progress,
            )
    sources = {key: source.reference for key, source in read_sources().items()}
    speech = Speech("en", loaded.programme.units)
    planned = next(one for one in plan.sites if one.site == found.key)
    told = reasons(planned, meant, tree, sources, speech)
    if not told:
        raise NothingToPlan(
            f"Nothing is planned at {site} for that care or tree in this season.\n"
            f"    See all of it with: orchardcal why {folder} {site}"
        )
    click.echo(told, nl=False)
