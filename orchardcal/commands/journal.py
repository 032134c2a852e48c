"""The command that shows the journal, takes entries back, and carries it to and from CSV."""

from __future__ import annotations

import os
from pathlib import Path

import click

from orchardcal.commands import recording
from orchardcal.commands.journal_import import importable
from orchardcal.errors import OrchardcalError, Problems, Spot
from orchardcal.journal.entries import UNDONE, Entry
from orchardcal.journal.in_words import day_in_words, entry_in_words, printable
from orchardcal.journal.journal_csv import columns_left_out, csv_text, entries_to_csv
from orchardcal.journal.saying import in_force
from orchardcal.journal.store import Store

SHORTEST_ID = 4


@click.command()
@recording.folder_option
@click.option("--site", type=recording.text_given, metavar="SITE", help="Only this site's entries.")
@click.option(
    "--export",
    "export_to",
    type=click.Path(path_type=Path, allow_dash=True),
    help='Write every entry to a CSV file; "-" for the terminal.',
)
@click.option(
    "--import",
    "import_from",
    type=click.Path(path_type=Path),
    help="Add the entries of a CSV file that are not here yet.",
)
@click.option("--partly", is_flag=True, help="Import the good rows and leave the others out.")
@click.option("--undo", type=recording.text_given, metavar="ID", help="Take an entry back.")
@recording.by_option
@click.option(
    "--note", type=recording.text_given, metavar="TEXT", default="", help="Why it is taken back."
)
def journal(
    folder: Path,
    site: str | None,
    export_to: Path | None,
    import_from: Path | None,
    partly: bool,
    undo: str | None,
    by: str,
    note: str,
) -> None:
    """List what was recorded; export or import it; take an entry back.

    Nothing is ever erased: taking back an entry is an entry of its own, and can be taken back.

    \b
    Example:
      orchardcal journal --site millbrook
      orchardcal journal --export journal-2027-01.csv
      orchardcal journal --import from-the-form.csv --partly
      orchardcal journal --undo j3f09a2c41d7 --note "wrong tree"
    """
    chosen = [one for one in (export_to, import_from, undo) if one is not None]
    if len(chosen) > 1:
        raise click.UsageError("--export, --import and --undo are given one at a time.")
    if partly and import_from is None:
        raise click.UsageError("--partly belongs to --import.")
    path = recording.store_path(folder)
    if export_to is not None:
        _export(path, export_to, site)
    elif import_from is not None:
        _import(folder, path, import_from, partly)
    elif undo is not None:
        _undo(folder, path, undo, by, note)
    else:
        _list(path, site)


def _list(path: Path, site: str | None) -> None:
    with Store.open(path, create=False) as store:
        entries = store.entries(site)
        holding = {entry.id for entry in in_force(store.entries())}
    if not entries:
        click.echo("Nothing is recorded yet." if site is None else f"Nothing at {site} yet.")
    for entry in entries:
        mark = "" if entry.id in holding else " (taken back)"
        day = day_in_words(entry.day).rjust(11)
        click.echo(f"{entry.id}  {day}  {printable(entry.site)}: {entry_in_words(entry)}{mark}")


def _export(path: Path, export_to: Path, site: str | None) -> None:
    with Store.open(path, create=False) as store:
        entries = store.entries(site)
    text = entries_to_csv(entries)
    if str(export_to) == "-":
        click.echo(text.encode(), nl=False)
        return
    aside = export_to.with_name(f".{export_to.name}.{os.getpid()}")
    try:
        aside.write_bytes(text.encode("utf-8-sig"))  # the mark tells spreadsheets that it is UTF-8
        aside.replace(export_to)
    except OSError as error:
        aside.unlink(missing_ok=True)
        raise OrchardcalError(
            f"{export_to} cannot be written ({error.strerror}); nothing was written\n"
            "    Name a file in a folder where you may write."
        ) from error
    click.echo(f"{len(entries)} entries written to {export_to}.")


def _import(folder: Path, path: Path, source: Path, partly: bool) -> None:
    problems = Problems()
    text = csv_text(source, str(source), problems)
    problems.raise_if_any()
    with Store.open(path) as store:
        entries = importable(folder, store.entries(), text, str(source), problems)
        if problems and not partly:
            click.echo("Nothing was imported. --partly imports the other rows.", err=True)
            problems.raise_if_any()
        added = store.add(entries)
    for problem in sorted(problems.found, key=lambda one: one.spot.line or 0):
        click.echo(str(problem), err=True)
    ignored = columns_left_out(text)
    if ignored:
        click.echo(f"Columns left alone: {printable(', '.join(ignored))}.")
    there = len(entries) - added
    left_out = len({problem.spot.line for problem in problems.found})
    click.echo(f"Entries added: {added}; here already: {there}; rows left out: {left_out}.")


def _undo(folder: Path, path: Path, written: str, by: str, note: str) -> None:
    with Store.open(path) as store:
        entries = store.entries()
        entry = _entry_meant(entries, written)
        undoing = Entry(
            max(recording.now(), entry.recorded),
            recording.new_id(),
            UNDONE,
            entry.site,
            recording.today(),
            entry.care,
            entry.plantings,
            entry.season,
            by=by,
            note=note,
            undoes=entry.id,
        )
        recording.record(folder, store, undoing)
    click.echo(f"It said: {day_in_words(entry.day)}, {entry_in_words(entry)}")


def _entry_meant(entries: tuple[Entry, ...], written: str) -> Entry:
    """The entry with this id, or whose id alone begins so; one already taken back is a problem."""
    fitting = [entry for entry in entries if entry.id == written]
    if not fitting and len(written) >= SHORTEST_ID:
        fitting = [entry for entry in entries if entry.id.startswith(written)]
    problems = Problems()
    spot = Spot("--undo")
    if not fitting:
        problems.add(spot, f'no entry has the id "{written}"', "Look it up: orchardcal journal")
    elif len(fitting) > 1:
        ids = ", ".join(entry.id for entry in fitting)
        problems.add(spot, f"{len(fitting)} entries begin so: {ids}", "Write the whole id.")
    else:
        if fitting[0] not in in_force(entries):
            problems.add(
                spot,
                f"{fitting[0].id} is taken back already",
                "To bring it back, take back the entry that took it back.",
            )
    problems.raise_if_any()
    return fitting[0]
