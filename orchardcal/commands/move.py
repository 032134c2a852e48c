"""The command that asks for another day for work that is planned."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from pathlib import Path

import click

from orchardcal.commands import recording
from orchardcal.errors import Problems, Spot, known
from orchardcal.journal.asked_days import part_key
from orchardcal.journal.entries import MOVED, Entry, plain
from orchardcal.journal.in_words import day_in_words
from orchardcal.journal.published import CANCELLED, DONE, GONE, WINDOW, Published
from orchardcal.journal.store import Store


@click.command()
@click.argument("site", type=recording.text_given)
@click.argument("care", type=recording.text_given)
@click.option(
    "--to", "day", type=recording.day_given, metavar="DATE", required=True, help="The day wanted."
)
@recording.folder_option
@recording.tree_option
@click.option(
    "--round",
    "part",
    type=recording.text_given,
    default="",
    metavar="TEXT",
    help='Which round of the care, where there are several, as "after dormant pruning".',
)
@recording.by_option
def move(
    site: str,
    care: str,
    day: date,
    folder: Path,
    trees_named: tuple[str, ...],
    part: str,
    by: str,
) -> None:
    """Ask for another day for CARE at SITE.

    The next run of orchardcal season plans it on that day, if it may be done then and nothing
    speaks against the day; otherwise near it, and says why. Volunteer work days are pinned and
    banned in site.toml instead.

    \b
    Example:
      orchardcal move millbrook "dormant pruning" --to 2027-01-16
    """
    path = recording.store_path(folder)
    problems = Problems()
    key = recording.care_meant(care, problems)
    at = recording.site_trees(folder, site, problems)
    if day <= recording.today():
        problems.add(
            Spot("--to"), f"{day_in_words(day)} is not ahead", "Ask for a day after today."
        )
    for tree in trees_named:
        if at is not None and tree not in at.trees:
            problems.add(Spot("--tree"), f'there is no tree "{tree}"', "Its ids are in trees.csv.")
    problems.raise_if_any()
    assert at is not None
    with Store.open(path) as store:
        row = _row_meant(store.published(), at.key, key, trees_named, part, problems)
        problems.raise_if_any()
        assert row is not None
        entry = Entry(
            recording.now(),
            recording.new_id(),
            MOVED,
            at.key,
            recording.today(),
            key,
            trees_named or row.plantings,
            row.season,
            by=by,
            until=day,
            seen=part_key(row.care),
        )
        recording.record(folder, store, entry)
    click.echo("The next run of orchardcal season plans by it.")


def _row_meant(
    rows: Sequence[Published],
    site: str,
    care: str,
    trees: Sequence[str],
    part: str,
    problems: Problems,
) -> Published | None:
    """The published work that is meant, or None after a problem."""
    fixed = (WINDOW, CANCELLED, GONE, DONE)
    found = [
        row
        for row in rows
        if (row.site, row.care.partition("/")[0]) == (site, care) and row.status not in fixed
        if not trees or set(trees) & set(row.plantings)
    ]
    rounds = sorted({row.care.partition("/")[2] for row in found})
    if part:
        found = [row for row in found if plain(row.care.partition("/")[2]) == plain(part)]
    if not found:
        if part and rounds:
            problems.add(
                Spot("--round"), f'no round is called "{part}"', known("rounds", part, rounds)
            )
        else:
            problems.add(
                Spot("CARE"),
                f"no {plain(care)} is planned there for these trees",
                "See what is planned with orchardcal season; publish it with --out.",
            )
        return None
    if len(rounds) > 1 and not part:
        problems.add(
            Spot("--round"),
            f"{plain(care)} is planned in several rounds there",
            f"Say which with --round: {', '.join(rounds)}.",
        )
        return None
    return min(found, key=lambda row: (row.first, row.uid))
