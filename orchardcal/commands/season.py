"""The main command: plan the season and write feeds, tables and the plan itself."""

from __future__ import annotations

import gc
import sys
from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import contextmanager
from datetime import date
from functools import partial
from itertools import chain
from pathlib import Path

import click

from orchardcal.commands.cluster import executor_at
from orchardcal.commands.kept_reading import KeptReading
from orchardcal.commands.kept_results import KeptResults, cache_folder
from orchardcal.commands.programme import Loaded, load
from orchardcal.commands.publication import publication
from orchardcal.commands.recording import day_given, today
from orchardcal.commands.speaking_planner import SpeakingPlanner
from orchardcal.commands.writing import remove_others, write_all
from orchardcal.journal.published import Change, Published, changes
from orchardcal.journal.store import STORE_NAME, Store
from orchardcal.outputs.change_list import change_list
from orchardcal.outputs.feed import feed_warnings, feeds
from orchardcal.outputs.filtered_feeds import filtered_feeds
from orchardcal.outputs.listing import listing
from orchardcal.outputs.load_csv import load_csv
from orchardcal.outputs.page.load_page import LOAD_PAGES
from orchardcal.outputs.page.pages import pages
from orchardcal.outputs.page.work_days_told import WORK_DAY_PAGES
from orchardcal.outputs.plan_csv import plan_csv
from orchardcal.outputs.plan_json import plan_json
from orchardcal.outputs.speech import Speech
from orchardcal.outputs.supplies_csv import supplies_csv
from orchardcal.outputs.work_days_csv import work_days_csv
from orchardcal.pipeline import plan_programme
from orchardcal.plan.plan import Plan
from orchardcal.sites.feed_settings import FeedSettings

# A plan is a great many small objects that all stay: Python's search for cycles among them, at its
# usual pace, takes a fifth of a run where little has changed.
RARELY = (100_000, 20, 20)


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
    day = as_of or today()
    with (
        executor_at(cluster) as executor,
        Store.open(folder / STORE_NAME, create=out is not None) as store,
    ):
        before = store.published()
        known_from = {} if afresh else store.published_from()
        sites = len(loaded.programme.sites)
        planner = SpeakingPlanner(kept, out is not None, processes, executor)
        with _progress(sites, "Planning") as told:
            plan = plan_programme(
                loaded.programme,
                loaded.weather,
                loaded.rules,
                store.entries(),
                before,
                harvest_year,
                day,
                told,
                planner,
            )
        speech = Speech(loaded.programme.language, loaded.programme.units)
        now = publication(plan, before, known_from, speech, planner)
        if out is not None:
            remember = partial(store.publish, now.rows, now.made_from)
            _write(out, plan, now.rows, planner, speech, loaded.programme.feeds, remember)
            kept.tidy()
    _report(plan, changes(before, now.rows), loaded, out, as_json)


def _write(
    out: Path,
    plan: Plan,
    rows: tuple[Published, ...],
    planner: SpeakingPlanner,
    speech: Speech,
    own_feeds: Sequence[FeedSettings],
    remember: Callable[[], object],
) -> None:
    """Writes every file, and remembers what subscribers now see: both, or neither."""
    written = {**feeds(plan, rows, speech), **filtered_feeds(rows, own_feeds, plan, speech)}
    tables = {
        "plan.json": plan_json(plan, speech, planner.json),
        "plan.csv": plan_csv(plan, speech, planner.rows),
        "work_days.csv": work_days_csv(plan, speech),
        "load.csv": load_csv(plan),
        "supplies.csv": supplies_csv(plan, speech),
    }
    made = pages(plan, planner.facts, speech, planner.pages)
    with _progress(len(plan.sites), "Writing") as told:
        every = chain(written.items(), tables.items(), _told(made, told))
        files = write_all(out, every, remember)
    for pattern in (WORK_DAY_PAGES, *LOAD_PAGES):
        remove_others(out, pattern, files)
    for warning in feed_warnings(written, rows):
        click.echo(f"Note: {warning}", err=True)


def _report(
    plan: Plan, moved: tuple[Change, ...], loaded: Loaded, out: Path | None, as_json: bool
) -> None:
    english = Speech("en", loaded.programme.units)
    if as_json:
        click.echo(plan_json(plan, english).decode(), nl=False)
        return
    click.echo(listing(plan, english), nl=False)
    told = change_list(moved, plan, english)
    if told:
        click.echo("\n" + told, nl=False)
    if out is not None:
        files = "index.html, staff.ics, volunteers.ics, sites/, plan.json, plan.csv"
        if plan.work_days:
            files += ", work_days/, work_days.csv"
        if plan.crews:
            files += ", load.html, load.csv, supplies.csv"
        click.echo(f"\nWritten to {out}: {files}")


def _told(
    made: Iterable[tuple[str, bytes]], told: Callable[[object], None]
) -> Iterator[tuple[str, bytes]]:
    """The pages, each site's told when it is made."""
    for path, page in made:
        if path.startswith("sites/"):
            told(path)
        yield path, page


@contextmanager
def _progress(sites: int, label: str) -> Iterator[Callable[[object], None]]:
    """A progress bar over many sites where a person looks on; silent when piped."""
    if sites < 5 or not sys.stderr.isatty():
        yield lambda site: None
        return
    with click.progressbar(length=sites, label=label, file=sys.stderr) as bar:
        yield lambda site: bar.update(1)
