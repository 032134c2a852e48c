"""The command that serves what was written to people with private addresses."""

from __future__ import annotations

import ipaddress
import signal
import sys
from pathlib import Path
from types import FrameType
from typing import NoReturn

import click

from orchardcal.commands import recording
from orchardcal.commands.serving import Application, server
from orchardcal.errors import OrchardcalError

MISSING = (
    "serve needs the server library waitress, which is not installed\n"
    '    Install it: pip install "orchardcal[serve]"'
)


@click.command()
@click.argument("out", type=click.Path(path_type=Path, exists=True, file_okay=False))
@recording.folder_option
@click.option(
    "--host",
    default="127.0.0.1",
    show_default=True,
    help="Which address of this machine to listen on; the usual one is for this machine alone.",
)
@click.option(
    "--port",
    type=click.IntRange(0, 65535),
    default=8080,
    show_default=True,
    help="0 for any that is free.",
)
@click.option("--public", is_flag=True, help="Serve everything without private addresses too.")
@click.option(
    "--to-everyone",
    is_flag=True,
    help="With --public: also where --host lets other machines in.",
)
@click.option("--log", is_flag=True, help="A line for each request, with no secret in it.")
def serve(
    out: Path, folder: Path, host: str, port: int, public: bool, to_everyone: bool, log: bool
) -> None:
    """Serve OUT, which the season command wrote, until interrupted.

    Only private addresses are answered (orchardcal access makes them); a new plan and a revoked
    address count at once. Nothing in OUT is changed. For other machines, put a web server with
    https before it: addresses are secrets, and this server speaks plain http.

    \b
    Example:
      orchardcal access --folder demo_sites --new maren --feed staff
      orchardcal serve out --folder demo_sites
    """
    alone = _only_this_machine(host)
    if to_everyone and not public:
        raise click.UsageError("--to-everyone belongs to --public.")
    if public and not alone and not to_everyone:
        raise click.UsageError(
            f"--public with --host {host} would show every feed and page to whoever reaches this"
            " machine. Add --to-everyone if that is meant, or leave --host out."
        )
    store = recording.store_path(folder)
    application = Application(out, store, public, click.echo if log else None, _troubled)
    try:
        running, places = server(application, host, port)
    except ImportError as error:
        raise OrchardcalError(MISSING) from error
    except (OSError, ValueError) as error:
        raise OrchardcalError(
            f"{host} port {port} cannot be listened on: {getattr(error, 'strerror', '') or error}\n"
            "    Choose another with --port, or a --host of this machine."
        ) from error
    for at, number in places:
        shown = f"[{at}]" if ":" in at else at
        click.echo(f"Serving {out} at http://{shown}:{number}/")
    if not alone:
        click.echo("Note: plain http; put a web server with https before it.", err=True)
    signal.signal(signal.SIGTERM, _end)
    try:
        running.run()
    finally:
        running.close()
    told = ", ".join(f"{count} × {status}" for status, count in sorted(application.counts.items()))
    click.echo(f"Ended. Answers: {told or 'none'}.")


def _only_this_machine(host: str) -> bool:
    if host == "localhost":
        return True
    try:
        return ipaddress.ip_address(host).is_loopback
    except ValueError:
        return False


def _troubled(line: str) -> None:
    click.echo(line, err=True)


def _end(number: int, frame: FrameType | None) -> NoReturn:
    sys.exit(0)
