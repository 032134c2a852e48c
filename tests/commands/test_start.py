"""The start command: from flags or questions to a folder that check accepts."""

from __future__ import annotations

import os
import subprocess
import sys
import tomllib
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from orchardcal.commands import orchardcal

FLAGS = (
    *("--name", 'The "Hill" Orchards', "--coordinator", "Ines Varga", "--email", "i@hill.example"),
    *("--site", "École du Mont", "--latitude", "44.02", "--longitude", "-103.4"),
    *("--country", "US", "--subdivision", "SD", "--species", "apple", "--species", "Pear"),
    *("--last-freeze", "05-08", "--first-freeze", "09-28", "--chill", "75"),
)


def _run(*arguments: str) -> Result:
    return CliRunner().invoke(orchardcal, arguments)


def test_flags_make_a_folder_without_any_problem(tmp_path: Path) -> None:
    folder = tmp_path / "mine"
    ended = _run("start", str(folder), *FLAGS)
    assert ended.exit_code == 0, ended.stderr
    checked = _run("check", str(folder))
    assert checked.exit_code == 0, checked.stderr
    assert checked.stdout.startswith('The "Hill" Orchards: 1 site, 2 trees of 2 species')
    site = tomllib.loads((folder / "ecole-du-mont" / "site.toml").read_text("utf-8"))
    assert (site["name"], site["timezone"]) == ("École du Mont", "America/Denver")


@pytest.mark.parametrize("pupils", ["--pupils", "--no-pupils"])
def test_a_southern_site_with_and_without_pupils(tmp_path: Path, pupils: str) -> None:
    flags = ["--name", "S", "--site", "Sur", "--latitude", "-33.4", "--longitude", "-70.6", pupils]
    freeze = ["--species", "fig", "--last-freeze", "08-30", "--first-freeze", "05-30"]
    _run("start", str(tmp_path / "s"), *flags, *freeze, "--chill", "55", "--country", "CL")
    checked = _run("check", str(tmp_path / "s"))
    assert checked.exit_code == 0, checked.stderr


def test_without_climate_and_trees_check_asks_for_just_these(tmp_path: Path) -> None:
    folder = tmp_path / "mine"
    ended = _run("start", str(folder), *FLAGS[:10], "--longitude", "-103.4")
    assert "Still to fill in: [climate]" in ended.stdout
    checked = _run("check", str(folder))
    assert checked.exit_code == 2
    heads = [line for line in checked.stderr.splitlines() if not line.startswith("    ")]
    assert [head.partition(": ")[2] for head in heads] == [
        "latitude alone does not tell a climate",
        "lists no trees",
    ]


def test_nothing_is_ever_written_over(tmp_path: Path) -> None:
    (tmp_path / "programme.toml").write_text("mine", "utf-8")
    ended = _run("start", str(tmp_path), *FLAGS)
    assert ended.exit_code == 2
    assert "is there already; nothing was written" in ended.stderr
    assert [path.name for path in tmp_path.iterdir()] == ["programme.toml"]
    assert (tmp_path / "programme.toml").read_text("utf-8") == "mine"


def test_a_site_folder_that_is_there_is_left_alone(tmp_path: Path) -> None:
    trees = tmp_path / "ecole-du-mont" / "trees.csv"
    trees.parent.mkdir()
    trees.write_text("mine", "utf-8")
    ended = _run("start", str(tmp_path), *FLAGS)
    assert ended.exit_code == 2
    assert trees.read_text("utf-8") == "mine"
    assert not (tmp_path / "programme.toml").exists()


def test_all_that_is_wrong_with_the_flags_is_said_at_once(tmp_path: Path) -> None:
    wrong = ("--species", "aple", "--country", "XX", "--last-freeze", "20-04", "--name", "a\x07b")
    ended = _run("start", str(tmp_path / "n"), "--latitude", "44", "--longitude", "1", *wrong)
    assert ended.exit_code == 2
    for said in ("Did you mean apple?", "--site: is missing", 'country "XX"', '"20-04"', "U+0007"):
        assert said in ended.stderr
    assert not (tmp_path / "n").exists()


@pytest.mark.parametrize("name", ['a "b" \\ c', "# no remark", "ציון 🍎", "<i>", "=1+1", "{name}"])
def test_odd_names_survive(tmp_path: Path, name: str) -> None:
    folder = tmp_path / "odd"
    ended = _run("start", str(folder), *FLAGS, "--name", name, "--site", name)
    assert ended.exit_code == 0, ended.stderr
    programme = tomllib.loads((folder / "programme.toml").read_text("utf-8"))
    assert programme["name"] == name
    assert _run("check", str(folder)).exit_code == 0


@pytest.mark.skipif(not hasattr(os, "openpty"), reason="needs a terminal of its own")
def test_at_a_terminal_it_asks(tmp_path: Path) -> None:
    answers = ["Hill", "Ines", "Hill School", "44.02", "-103.4", "US", "apple, pear", "05-08"]
    answers += ["09-28", "75"]
    ours, theirs = os.openpty()
    os.write(ours, ("\n".join(answers) + "\n").encode())
    ran = subprocess.run(
        [sys.executable, "-m", "orchardcal", "start", str(tmp_path / "asked")],
        check=False,
        stdin=theirs,
        capture_output=True,
        text=True,
        timeout=60,
    )
    os.close(ours)
    os.close(theirs)
    assert ran.returncode == 0, ran.stderr
    checked = _run("check", str(tmp_path / "asked"))
    assert checked.exit_code == 0, checked.stderr
