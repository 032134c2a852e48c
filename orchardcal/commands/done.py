"""The command that records work as done."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import click

from orchardcal.commands import recording
from orchardcal.commands.cut_meant import cut_meant
from orchardcal.errors import Problems, Spot
from orchardcal.journal.entries import DONE, Entry
from orchardcal.journal.store import Store


@click.command()
@click.argument("site", type=recording.text_given)
@click.argument("care", type=recording.text_given)
@recording.folder_option
@recording.tree_option
@recording.on_option
@click.option("--minutes", type=click.IntRange(0, 100_000), help="Person-minutes it took.")
@click.option("--trees", type=click.IntRange(1, 100_000), help="How many trees, if not all.")
@recording.by_option
@click.option(
    "--note",
    type=recording.text_given,
    metavar="TEXT",
    default="",
    help="Anything worth remembering.",
)
@recording.cut_option
def done(
    site: str,
    care: str,
    folder: Path,
    trees_named: tuple[str, ...],
    day: date | None,
    minutes: int | None,
    trees: int | None,
    by: str,
    note: str,
    cut: str,
) -> None:
    """Record work as done: CARE at SITE, all its trees or those named.

    A cut put off that has now been made is the care "deferred cut".

    \b
    Example:
      orchardcal done millbrook "dormant pruning" --tree A-01 --tree A-02 --minutes 90
      orchardcal done millbrook "deferred cut" --tree A-03 --note "cut to the collar"
    """
    path = recording.store_path(folder)
    problems = Problems()
    key = recording.care_meant(care, problems)
    recording.needs_an_answer(key, site, problems)
    at = recording.site_trees(folder, site, problems)
    day = day or recording.today()
    plantings: tuple[str, ...] = ()
    if at:
        plantings = recording.plantings_meant(at, trees_named, day, problems)
        there = sum(at.trees[one].count for one in plantings if one in at.trees)
        if trees is not None and trees > there and not problems:
            problems.add(
                Spot("--trees"), f"{trees} trees done of {there}", "Correct the number of trees."
            )
    problems.raise_if_any()
    assert at is not None
    with Store.open(path) as store:
        cut, plantings = cut_meant(store, at.key, key, plantings, bool(trees_named), cut)
        entry = Entry(
            recording.now(),
            recording.new_id(),
            DONE,
            at.key,
            day,
            key,
            plantings,
            at.season(day),
            by=by,
            minutes=minutes,
            trees=trees,
            note=note,
            cut=cut,
        )
        recording.record(folder, store, entry)
    if trees is not None and len(plantings) > 1 and trees < there:
        click.echo("Which trees was not said: they are counted in the order of trees.csv.")
