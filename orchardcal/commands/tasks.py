"""The command that hands work out as tasks on a calendar server and reads back what was ticked."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from datetime import date
from pathlib import Path

import click

from orchardcal.commands import recording
from orchardcal.commands.calendar_server import CalendarServer
from orchardcal.commands.mail_password import Password, given_password
from orchardcal.commands.task_exchange import Outcome, SiteTasks, hand_out, read_back
from orchardcal.errors import NothingToPlan, Problems, Spot
from orchardcal.journal.in_words import day_in_words, entry_in_words, printable
from orchardcal.journal.published import Published
from orchardcal.journal.store import Store
from orchardcal.journal.task_book import TaskBook
from orchardcal.outputs.feed import tzids_in
from orchardcal.sites.task_settings import PASSWORD_VARIABLE, TaskSettings, task_settings
from orchardcal.sites.toml_table import toml_table

COLLECTION = "orchardcal-{site}"  # the last part of a collection's address


@click.command()
@click.argument("folder", type=click.Path(path_type=Path), default=".")
@click.option("--push", "push", is_flag=True, help="Write new and changed work to the server.")
@click.option("--pull", "pull", is_flag=True, help="Read ticks, moved days and comments back.")
@click.option(
    "--as-of", type=recording.day_given, metavar="DATE", help="The day it is; today if left out."
)
def tasks(folder: Path, push: bool, pull: bool, as_of: date | None) -> None:
    """Exchange the work of FOLDER with a calendar server (CalDAV), one collection for each site.

    What the season command last published is handed out: each job as an event and as a task to
    tick. A tick becomes work done in the journal, another day a day asked for, a comment a note;
    then run the season command, and --push again. With both, --pull comes first.

    The server stands under [tasks] in programme.toml: url and user. The password comes from the
    environment (ORCHARDCAL_TASKS_PASSWORD) or from the file named by password_file.

    \b
    Example:
      orchardcal season demo_sites --out out
      orchardcal tasks demo_sites --push
      orchardcal tasks demo_sites --pull
    """
    if not (push or pull):
        raise click.UsageError("Say --push, --pull, or both.")
    path = recording.store_path(folder)
    settings, titles = _settings(folder)
    secret = given_password(
        settings.user, settings.password_file, PASSWORD_VARIABLE, "calendar", folder
    )
    if not path.exists():
        raise NothingToPlan(
            f"{path} is not there yet: nothing was published\n"
            f"    Run first: orchardcal season {folder} --out OUT"
        )
    day = as_of or recording.today()
    with Store.open(path) as store, _open(settings, secret) as server:
        rows = store.published()
        known = {row.site for row in rows} | set(TaskBook(store).sites())
        for key in sorted(known):
            own = [row for row in rows if row.site == key]
            title = titles.get(key, key)
            if pull:
                site = _site(key, title, own, server, create=False)
                if site is not None:
                    _tell_read(key, read_back(site, store, server, day, recording.now()))
            if push:
                site = _site(key, title, own, server, create=True)
                if site is not None:
                    _tell_written(key, hand_out(site, store, server))
    if pull:
        click.echo(f"Then: orchardcal season {folder} --out OUT, and orchardcal tasks --push")


@contextmanager
def _open(settings: TaskSettings, secret: Password) -> Iterator[CalendarServer]:
    server = CalendarServer(settings, secret)
    try:
        yield server
    finally:
        server.close()


def _settings(folder: Path) -> tuple[TaskSettings, dict[str, str]]:
    """The [tasks] table and the sites' names; orchardcal check reads the rest."""
    problems = Problems()
    name = recording.PROGRAMME_NAME
    table = toml_table(folder / name, name, problems, "Run orchardcal check.")
    settings = task_settings(table) if table is not None else TaskSettings()
    if table is not None and not settings.url and not problems:
        problems.add(
            Spot(name),
            "no calendar server is named",
            'Write [tasks] with url = "https://calendars.example.org/" and user = "…".',
        )
    titles: dict[str, str] = {}
    for path in sorted(folder.glob(f"*/{recording.SITE_NAME}")):
        key = path.parent.name
        site = toml_table(path, f"{key}/{path.name}", problems, "Run orchardcal check.")
        if site is not None:
            titles[key] = site.text("name", key, lines=False)
    problems.raise_if_any()
    return settings, titles


def _site(
    key: str, title: str, rows: list[Published], server: CalendarServer, create: bool
) -> SiteTasks | None:
    address = server.collection(COLLECTION.format(site=key), title, create)
    if address is None:
        return None
    zones = sorted(tzids_in(row for row in rows if row.shown))
    return SiteTasks(key, zones[0] if zones else "UTC", rows, address)


def _tell_read(key: str, outcome: Outcome) -> None:
    for entry in outcome.entries:
        said = f"{entry.site}, {day_in_words(entry.day)}: {entry_in_words(entry)}"
        click.echo(f"Recorded {entry.id}: {said}")
    for line in outcome.told:
        click.echo(printable(line))
    click.echo(f"{key}: {len(outcome.entries)} recorded, {outcome.unchanged} unchanged there.")


def _tell_written(key: str, outcome: Outcome) -> None:
    for line in outcome.told:
        click.echo(printable(line))
    click.echo(
        f"{key}: {outcome.written} written, {outcome.unchanged} unchanged,"
        f" {outcome.removed} taken away."
    )
