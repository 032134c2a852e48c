"""The command that makes, lists and revokes private addresses of feeds."""

from __future__ import annotations

import secrets
import string
from pathlib import Path

import click

from orchardcal.commands import recording
from orchardcal.errors import Problems, Spot, known
from orchardcal.journal.access import (
    PAGES,
    SECRET_BYTES,
    AccessBook,
    PrivateAddress,
    secret_hash,
    token,
)
from orchardcal.journal.in_words import printable
from orchardcal.journal.store import Store
from orchardcal.sites.feed_settings import feed_settings
from orchardcal.sites.toml_table import TomlTable, toml_table

ID_LETTERS = string.ascii_lowercase + string.digits
USUAL_SERVER = "http://127.0.0.1:8080"  # where `orchardcal serve` listens unless told otherwise


@click.command()
@recording.folder_option
@click.option(
    "--new",
    "person",
    type=recording.text_given,
    metavar="PERSON",
    help="Make an address for a key of [people] in programme.toml.",
)
@click.option(
    "--feed",
    type=recording.text_given,
    metavar="FEED",
    help='Which: staff, volunteers, sites/SITE, feeds/NAME, or "pages" for everything written.',
)
@click.option(
    "--server",
    type=recording.text_given,
    metavar="URL",
    help="Where people reach the server; base_url of programme.toml unless given.",
)
@click.option(
    "--revoke",
    "ids",
    multiple=True,
    type=recording.text_given,
    metavar="ID",
    help="End an address for good; give it once for each.",
)
@click.option(
    "--revoke-all-of",
    "leaver",
    type=recording.text_given,
    metavar="PERSON",
    help="End every address of one person.",
)
def access(
    folder: Path,
    person: str | None,
    feed: str | None,
    server: str | None,
    ids: tuple[str, ...],
    leaver: str | None,
) -> None:
    """List the private addresses of feeds; make one for a person and a feed; revoke one.

    Whoever has an address can read its feed until it is revoked. It is shown once: only a hash
    of its secret is kept, so a lost one is revoked and made anew.

    \b
    Example:
      orchardcal access --new maren --feed staff --server https://calendars.example.org
      orchardcal access
      orchardcal access --revoke k3f9a2c1
    """
    if sum((person is not None, bool(ids), leaver is not None)) > 1:
        raise click.UsageError("--new, --revoke and --revoke-all-of are given one at a time.")
    if (person is None) != (feed is None):
        raise click.UsageError("--new PERSON and --feed FEED belong together.")
    if server is not None and person is None:
        raise click.UsageError("--server belongs to --new.")
    path = recording.store_path(folder)
    if person is not None and feed is not None:
        _make(folder, path, person, feed.removesuffix(".ics"), server)
    elif ids or leaver is not None:
        _revoke(path, ids, leaver)
    else:
        _list(path)


def _make(folder: Path, path: Path, person: str, feed: str, server: str | None) -> None:
    problems = Problems()
    name = recording.PROGRAMME_NAME
    table = toml_table(folder / name, name, problems, "Run orchardcal check.")
    base_url = ""
    if table is not None:
        people = table.raw("people")
        people = people if isinstance(people, dict) else {}
        base_url = table.text("base_url", lines=False)
        if person not in people:
            problems.add(
                Spot(name),
                f'there is nobody "{person}" under [people]',
                known("people", person, people),
            )
        feeds = _feeds(folder, table, people)
        if feed not in feeds:
            problems.add(Spot("--feed"), f'there is no feed "{feed}"', known("feeds", feed, feeds))
    problems.raise_if_any()
    secret = secrets.token_bytes(SECRET_BYTES)
    address = PrivateAddress(
        "".join(secrets.choice(ID_LETTERS) for _ in range(8)),
        person,
        feed,
        secret_hash(secret),
        recording.now(),
    )
    with Store.open(path) as store:
        AccessBook(store).add(address)
    file = "" if feed == PAGES else f"{feed}.ics"
    place = (server or base_url or USUAL_SERVER).rstrip("/")
    click.echo(f"{place}/p/{token(address.id, secret)}/{file}")
    click.echo(
        f"Made {address.id}: {feed} for {person}. The address above is shown this once; whoever has"
        f" it can read. To end it: orchardcal access --revoke {address.id}",
        err=True,
    )


def _feeds(folder: Path, table: TomlTable, people: dict[str, object]) -> list[str]:
    """Every feed of the programme, as far as its files tell."""
    sites = sorted(found.parent.name for found in folder.glob(f"*/{recording.SITE_NAME}"))
    crews = table.values.get("crews")
    asked_for = feed_settings(table, people, sites, list(crews) if isinstance(crews, dict) else ())
    return [
        PAGES,
        "staff",
        "volunteers",
        *(f"sites/{site}" for site in sites),
        *(f"feeds/{one.name}" for one in asked_for),
    ]


def _revoke(path: Path, ids: tuple[str, ...], leaver: str | None) -> None:
    with Store.open(path) as store:
        book = AccessBook(store)
        holding = {one.id: one for one in book.addresses() if one.revoked is None}
        problems = Problems()
        for unknown in sorted(set(ids) - set(holding)):
            problems.add(
                Spot("--revoke"),
                f'no address that holds has the id "{unknown}"',
                "Look it up: orchardcal access",
            )
        problems.raise_if_any()
        ended = [one for one in holding.values() if one.id in ids or one.person == leaver]
        book.revoke([one.id for one in ended], recording.now())
    for one in ended:
        click.echo(printable(f"Ended {one.id}: {one.feed} of {one.person}."))
    if not ended:
        click.echo(f"{printable(str(leaver))} has no address that holds.")


def _list(path: Path) -> None:
    with Store.open(path, create=False) as store:
        addresses = AccessBook(store).addresses()
    if not addresses:
        click.echo("No private address was made yet.")
    for one in addresses:
        ended = f", ended {one.revoked}" if one.revoked else ""
        click.echo(printable(f"{one.id}  {one.person}  {one.feed}  made {one.made}{ended}"))
