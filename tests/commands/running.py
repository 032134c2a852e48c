"""The commands run in this process, and what they said."""

from __future__ import annotations

from dataclasses import dataclass

from click.testing import CliRunner

from orchardcal.commands import orchardcal


@dataclass(frozen=True)
class Said:
    code: int
    out: str
    err: str


def run(*arguments: str) -> Said:
    ran = CliRunner().invoke(orchardcal, list(arguments), prog_name="orchardcal")
    if ran.exception is not None and not isinstance(ran.exception, SystemExit):
        raise ran.exception
    return Said(ran.exit_code, ran.stdout, ran.stderr)
