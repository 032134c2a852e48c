"""Checking a folder and recording work start at once: neither loads the climate's numbers."""

from __future__ import annotations

import json
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path

import pytest

HEAVY = {"numpy", "scipy", "pandas", "icalendar", "matplotlib"}
LIGHT_COMMANDS = ("check", "done", "skip", "defer", "saw")
# Of each command: how many modules of ours it may load, and how many in all; a few more than now.
# Of those that `check` loads, 300 are the countries of the holidays library, which come together.
BUDGET = {
    "--help": (6, 150),
    "done --help": (40, 210),
    "check DEMO": (55, 600),
    "why --help": (160, 460),
    "season --help": (215, 670),
    "season DEMO --as-of 2026-11-25": (215, 1000),
}
# Runs the command line inside one process, then says which modules that process has loaded.
RUN_AND_LIST = """
import contextlib, io, json, sys
from orchardcal.__main__ import main
sys.argv = ["orchardcal", *json.loads(sys.argv[1])]
said = io.StringIO()
code = 0
with contextlib.redirect_stdout(said), contextlib.redirect_stderr(said):
    try:
        code = main()
    except SystemExit as ended:
        code = ended.code
print(json.dumps({"code": code or 0, "said": said.getvalue(), "modules": sorted(sys.modules)}))
"""


@dataclass(frozen=True)
class Ended:
    """How a command ended: its exit code, all it said, and the modules its process had loaded."""

    code: int
    said: str
    modules: frozenset[str]

    @property
    def heavy(self) -> set[str]:
        return {name.split(".")[0] for name in self.modules} & HEAVY


@pytest.mark.parametrize("command", LIGHT_COMMANDS)
def test_a_light_command_loads_nothing_heavy(command: str) -> None:
    ended = _run([command, "--help"])
    assert ended.code == 0, ended.said
    assert ended.heavy == set()


def test_checking_the_demo_loads_nothing_heavy(repository: Path) -> None:
    ended = _run(["check", str(repository / "demo_sites")])
    assert ended.code == 0, ended.said
    assert ended.heavy == set()
    assert "orchardcal.sites.reading" in ended.modules


def test_the_help_loads_no_command_that_needs_numbers() -> None:
    ended = _run(["--help"])
    assert ended.code == 0, ended.said
    assert ended.heavy == set()


def test_the_list_of_modules_would_show_numpy() -> None:
    """The main job does load numpy: were it missing here, the checks above would prove nothing."""
    ended = _run(["season", "--help"])
    assert ended.code == 0, ended.said
    assert "numpy" in ended.modules


@pytest.mark.parametrize("command", BUDGET)
def test_a_command_loads_no_more_than_its_budget(command: str, repository: Path) -> None:
    """python -m tests.benchmarks.start lists what each loads and how long that takes."""
    demo = str(repository / "demo_sites")
    ended = _run([demo if word == "DEMO" else word for word in command.split()])
    assert ended.code == 0, ended.said
    own = [name for name in ended.modules if name.partition(".")[0] == "orchardcal"]
    most_own, most = BUDGET[command]
    assert 1 < len(own) <= most_own, sorted(own)
    assert len(ended.modules) <= most, sorted(ended.modules)


def _run(arguments: list[str]) -> Ended:
    ran = subprocess.run(
        [sys.executable, "-c", RUN_AND_LIST, json.dumps(arguments)],
        check=False,
        capture_output=True,
        text=True,
        timeout=60,
    )
    assert ran.returncode == 0, ran.stderr
    ended = json.loads(ran.stdout.splitlines()[-1])
    return Ended(ended["code"], ended["said"], frozenset(ended["modules"]))
