"""Thin commands: the clock, the disk, the network and exit codes live only here."""

from __future__ import annotations

import sys
from importlib import import_module
from typing import Any

import click

from orchardcal import __version__
from orchardcal.errors import OrchardcalError

INTERRUPTED = 130  # 128 and the signal's number, as shells count it

# The commands in the order of their use: each lives in the module of its name.
COMMANDS = {
    "start": "Make a new programme folder.",
    "weather": "Add station days to a site's record.",
    "stations": "Split a file of many stations into records.",
    "check": "List every problem in a programme folder.",
    "season": "Plan the season and write feeds and tables.",
    "why": "Explain one date as a chain of reasons.",
    "crews": "Show the crews, their sites and the rates of exchange.",
    "climate": "Show a site's freeze odds, chill and bud stages.",
    "species": "Show the species rules and their sources.",
    "done": "Record work that was done.",
    "skip": "Record work that will not be done.",
    "defer": "Record a cut put off at a tree.",
    "move": "Ask for another day for planned work.",
    "saw": "Record what was seen: dormancy, buds, pests.",
    "remind": "Mail site leads what is due.",
    "hindcast": "Judge the plans of past seasons by their weather.",
    "review": "Compare a season's plan with what was recorded.",
    "access": "Make, list and revoke private addresses of feeds.",
    "serve": "Serve feeds and pages at private addresses.",
    "tasks": "Hand work out as tasks, and read back what was ticked.",
    "journal": "List, export, import or correct the journal.",
}


class CommandsByName(click.Group):
    """Loads a command's module when it is asked for: recording work needs no arrays."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        return list(COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        if cmd_name not in COMMANDS:
            return None
        command: click.Command = getattr(import_module(f"{__name__}.{cmd_name}"), cmd_name)
        return command

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        with formatter.section("Commands"):
            formatter.write_dl(list(COMMANDS.items()))

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        try:
            return super().resolve_command(ctx, args)
        except click.UsageError as error:
            raise click.UsageError(
                f"{error.format_message()} The commands are: {', '.join(COMMANDS)}.", ctx
            ) from None

    def invoke(self, ctx: click.Context) -> Any:
        """Runs the command asked for; Ctrl-C ends it with the shell's own exit code for that."""
        try:
            return super().invoke(ctx)
        except KeyboardInterrupt:
            click.echo("\nStopped.", err=True)
            ctx.exit(INTERRUPTED)

    def main(self, *args: Any, **kwargs: Any) -> Any:
        """Runs a command; what a user can mend becomes a message and an exit code."""
        try:
            return super().main(*args, **kwargs)
        except OrchardcalError as error:
            click.echo(str(error), err=True)
            sys.exit(error.exit_code)
        except OSError as error:
            where = f"{error.filename}: " if error.filename else ""
            click.echo(f"{where}{error.strerror or error}", err=True)
            sys.exit(1)


@click.command(cls=CommandsByName)
@click.version_option(__version__)
def orchardcal() -> None:
    """The dated season of care for small school and community orchards.

    \b
    Example:
      orchardcal season demo_sites --out out --season 2027 --as-of 2026-11-25
    """
