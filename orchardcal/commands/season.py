"""The main command: plan the season and write feeds, tables and the plan itself."""

from __future__ import annotations

import gc
from collections.abc import Iterable, Iterator
from contextlib import closing
from datetime import date
from itertools import chain
from pathlib import Path

import click

from orchardcal.commands.cluster import executor_at
from orchardcal.commands.gathered import Gathered
from orchardcal.commands.kept_reading import KeptReading
from orchardcal.commands.kept_results import KeptResults, cache_folder
from orchardcal.commands.laid_aside import LaidAside
from orchardcal.commands.planners import SitePlanner
from orchardcal.commands.programme import load
from orchardcal.commands.progress import progress_of
from orchardcal.commands.recording import day_given, today
from orchardcal.commands.workers import RARELY, Workers
from orchardcal.commands.writing import remove_others, write_all
from orchardcal.journal.store import STORE_NAME, Store
from orchardcal.outputs.change_list import change_list
from orchardcal.outputs.listing import listing_end
from orchardcal.outputs.page.load_page import LOAD_PAGES
from orchardcal.outputs.page.work_days_told import WORK_DAY_PAGES
from orchardcal.outputs.plan_json import plan_json_of
from orchardcal.outputs.site_told import Telling
from orchardcal.pipeline import Given, each_site, plan_of, steps


@click.command()
@click.argument("folder", type=click.Path(path_type=Path), default=".")
@click.option("--out", type=click.Path(path_type=Path), help="Where to write feeds and tables.")
@click.option(
    "--season",
    "harvest_year",
    type=click.IntRange(1900, 2200),
    help="The season by its harvest year; else the one in progress.",
)
@click.option(
    "--as-of",
    type=day_given,
    metavar="DAY",
    help="The day up to which weather and work are known; today.",
)
@click.option(
    "--processes", type=click.IntRange(1, 64), help="How many processes plan; one per core."
)
@click.option(
    "--cluster",
    metavar="ADDRESS",
    help="Plan on a running Dask cluster: the address of its scheduler, as tcp://10.0.0.5:8786.",
)
@click.option(
    "--afresh",
    is_flag=True,
    help="Plan every site anew, even those that nothing changed for since an earlier run.",
)
@click.option("--json", "as_json", is_flag=True, help="Print the plan as JSON instead of a table.")
def season(
    folder: Path,
    out: Path | None,
    harvest_year: int | None,
    as_of: date | None,
    processes: int | None,
    cluster: str | None,
    afresh: bool,
    as_json: bool,
) -> None:
    """Plan the season of every site in FOLDER; with --out, write calendars to subscribe to.

    Writes OUT/index.html, OUT/staff.ics, OUT/volunteers.ics, a calendar and a page per site in
    OUT/sites, a page per volunteer work day in OUT/work_days and their table OUT/work_days.csv,
    OUT/plan.json and OUT/plan.csv, the crews' load and the supplies as OUT/load.html, OUT/load.csv
    and OUT/supplies.csv, and remembers in the folder's journal what subscribers now see. Without
    --out nothing is written or remembered: a look ahead.

    \b
    Example:
      orchardcal season demo_sites --out out --season 2027 --as-of 2026-11-25
    """
    gc.set_threshold(*RARELY)
    kept = KeptResults(cache_folder() if out is not None else None, afresh)
    loaded = load(folder, KeptReading(kept))
    programme, day = loaded.programme, as_of or today()
    head = plan_of(programme, day, ())
    telling = Telling(head, to_files=out is not None, as_json=as_json)
    with (
        executor_at(cluster) as executor,
        Workers(processes, executor) as workers,
        closing(LaidAside()) as aside,
        Store.open(folder / STORE_NAME, create=out is not None) as store,
    ):
        planner = SitePlanner(kept, telling, workers, aside)
        order = [site.key for site in programme.sites]
        gathered = Gathered(order, programme.feeds, telling, aside)
        given = Given(
            programme,
            loaded.weather,
            loaded.rules,
            store.entries(),
            store.published,
            harvest_year,
            day,
        )
        pages = _planned(given, planner, gathered, store)
        if out is None:
            list(pages)
        else:
            _write(out, pages, gathered, store)
            kept.tidy()
        _report(gathered, as_json, out)


def _planned(
    given: Given, planner: SitePlanner, gathered: Gathered, store: Store
) -> Iterator[tuple[str, bytes]]:
    """The pages of each site as soon as it is planned; the rest of it is gathered."""
    programme = given.programme
    with progress_of(steps(programme), "Planning") as progress:
        for told in each_site(given, planner, progress):
            yield from gathered.take(told.site, told.before)
    here = {site.key for site in programme.sites}
    for site in store.published_sites():
        if site not in here:
            gathered.take_rows_of_others(store.published(site))


def _write(out: Path, pages: Iterable[tuple[str, bytes]], gathered: Gathered, store: Store) -> None:
    """Writes every file, and remembers what subscribers now see: both, or neither."""

    def remember() -> None:
        store.publish(gathered.rows, gathered.resting)

    every = chain(pages, gathered.feeds(), gathered.tables_and_pages())
    files = write_all(out, every, remember)
    for pattern in (WORK_DAY_PAGES, *LOAD_PAGES):
        remove_others(out, pattern, files)
    for warning in gathered.warnings:
        click.echo(f"Note: {warning}", err=True)


def _report(gathered: Gathered, as_json: bool, out: Path | None) -> None:
    """What the terminal is told."""
    plan, english = gathered.plan, gathered.telling.terminal
    if as_json:
        for piece in plan_json_of(plan, gathered.printed):
            click.echo(piece, nl=False)
        return
    for site in gathered.printed:
        click.echo(f"{site}\n")
    click.echo(listing_end(plan, english), nl=False)
    told = change_list(gathered.changes, plan, english)
    if told:
        click.echo("\n" + told, nl=False)
    if out is not None:
        files = "index.html, staff.ics, volunteers.ics, sites/, plan.json, plan.csv"
        if plan.work_days:
            files += ", work_days/, work_days.csv"
        if plan.crews:
            files += ", load.html, load.csv, supplies.csv"
        click.echo(f"\nWritten to {out}: {files}")
