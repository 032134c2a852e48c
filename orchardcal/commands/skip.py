"""The command that records work as skipped, and why."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import click

from orchardcal.commands import recording
from orchardcal.commands.cut_meant import cut_meant
from orchardcal.errors import Problems, Spot
from orchardcal.journal.entries import SKIPPED, Entry
from orchardcal.journal.store import Store


@click.command()
@click.argument("site", type=recording.text_given)
@click.argument("care", type=recording.text_given)
@recording.folder_option
@recording.tree_option
@click.option("--why", type=recording.text_given, metavar="TEXT", required=True, help="The reason.")
@recording.on_option
@recording.by_option
@recording.cut_option
def skip(
    site: str,
    care: str,
    folder: Path,
    trees_named: tuple[str, ...],
    why: str,
    day: date | None,
    by: str,
    cut: str,
) -> None:
    """Record that CARE at SITE is left out this season, and why.

    A cut put off that is kept for good is the care "deferred cut".

    \b
    Example:
      orchardcal skip millbrook "dormant oil spray" --why "no permit this year"
      orchardcal skip millbrook "deferred cut" --tree A-03 --why "the limb may stay"
    """
    path = recording.store_path(folder)
    problems = Problems()
    key = recording.care_meant(care, problems)
    at = recording.site_trees(folder, site, problems)
    if not why:
        problems.add(Spot("--why"), "no reason is given", "Say in a few words why it is left out.")
    day = day or recording.today()
    plantings: tuple[str, ...] = ()
    if at:
        plantings = recording.plantings_meant(at, trees_named, day, problems)
    problems.raise_if_any()
    assert at is not None
    with Store.open(path) as store:
        cut, plantings = cut_meant(store, at.key, key, plantings, bool(trees_named), cut)
        entry = Entry(
            recording.now(),
            recording.new_id(),
            SKIPPED,
            at.key,
            day,
            key,
            plantings,
            at.season(day),
            by=by,
            note=why,
            cut=cut,
        )
        recording.record(folder, store, entry)
