"""The command that records a cut put off."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import click

from orchardcal import care as cares
from orchardcal.commands import recording
from orchardcal.commands.cut_meant import listed_cuts, open_cuts
from orchardcal.commands.until import day_until
from orchardcal.errors import Problems, Spot
from orchardcal.journal.entries import DEFERRED, Entry, plain
from orchardcal.journal.store import Store

PRUNINGS = (cares.DORMANT_PRUNING, cares.IN_LEAF_PRUNING)


@click.command()
@click.argument("site", type=recording.text_given)
@click.argument("tree", type=recording.text_given)
@recording.folder_option
@click.option(
    "--until",
    type=recording.text_given,
    required=True,
    metavar="WHEN",
    help='When to look again: "2 weeks", "1 year", "a season" (when the site\'s next season'
    " begins) or a date.",
)
@click.option(
    "--note",
    type=recording.text_given,
    metavar="TEXT",
    required=True,
    help="Which cut, and why not now.",
)
@click.option(
    "--care",
    type=recording.text_given,
    metavar="CARE",
    default="dormant pruning",
    show_default=True,
    help="The pruning it is put off from.",
)
@recording.on_option
@recording.by_option
@recording.cut_option
@click.option("--another", is_flag=True, help="Another cut at a tree that has one put off already.")
def defer(
    site: str,
    tree: str,
    folder: Path,
    until: str,
    note: str,
    care: str,
    day: date | None,
    by: str,
    cut: str,
    another: bool,
) -> None:
    """Put off a cut at TREE of SITE, with a note and when to look again.

    A cut that is put off already is put off once more, and keeps its history. The plan offers
    it on the first day from then on that is safe for such a cut in that species.

    \b
    Example:
      orchardcal defer millbrook A-03 --until "2 weeks" --note "low limb over the path"
      orchardcal defer millbrook A-03 --until 2027-12-01 --note "still bears well"
    """
    path = recording.store_path(folder)
    problems = Problems()
    key = recording.care_meant(care, problems)
    if key and key not in PRUNINGS:
        problems.add(
            Spot("--care"),
            f"{plain(key)} is no pruning",
            f"A cut is put off from {' or '.join(plain(one) for one in PRUNINGS)}.",
        )
    if not note:
        problems.add(Spot("--note"), "the note is empty", "Say which cut, and why not now.")
    at = recording.site_trees(folder, site, problems)
    day = day or recording.today()
    look_again = None
    if at:
        recording.plantings_meant(at, [tree], day, problems)
        look_again = day_until(until, day, at.southern, problems)
    problems.raise_if_any()
    assert at is not None
    with Store.open(path) as store:
        entry_id = recording.new_id()
        reference = entry_id if another else _reference(store, at.key, tree, key, cut) or entry_id
        entry = Entry(
            recording.now(),
            entry_id,
            DEFERRED,
            at.key,
            day,
            key,
            (tree,),
            at.season(day),
            by=by,
            until=look_again,
            note=note,
            cut=reference,
        )
        recording.record(folder, store, entry)
    if reference != entry_id:
        click.echo(f"This cut ({reference}) was put off before; its history is kept.")


def _reference(store: Store, site: str, tree: str, care: str, cut: str) -> str:
    """The cut that is put off once more, "" for a new one."""
    choices = open_cuts(store, site, (tree,))
    fitting = [
        one for one in choices if (one.reference.startswith(cut) if cut else one.care == care)
    ]
    if len(fitting) == 1:
        return fitting[0].reference
    if not fitting and not cut:
        return ""
    problems = Problems()
    problems.add(
        Spot("--cut" if cut else "TREE"),
        f"{len(fitting) or 'no'} cuts put off at {tree} are meant",
        f"Say which with --cut ID, or that it is a new one with --another. {listed_cuts(choices)}",
    )
    problems.raise_if_any()
    return ""
