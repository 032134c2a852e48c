"""`orchardcal species`: what it prints, against the files it reads."""

from __future__ import annotations

import json
import subprocess
import sys
import tomllib
from importlib import resources
from pathlib import Path

import pytest
from click.testing import CliRunner

from orchardcal.commands.species import species


def printed(*arguments: str, exit_code: int = 0) -> str:
    result = CliRunner().invoke(species, list(arguments))
    assert result.exit_code == exit_code, result.output
    return result.output


def test_the_list_has_a_line_for_every_file() -> None:
    data = resources.files("orchardcal.species") / "data"
    lines = printed().splitlines()
    keys = tomllib.loads((data / "names.toml").read_text(encoding="utf-8"))
    assert [line.split()[0] for line in lines[1 : 1 + len(keys)]] == list(keys)
    files = {entry.name for entry in data.iterdir() if entry.name.endswith(".toml")}
    assert files == {f"{key}.toml" for key in keys} | {
        "names.toml",
        "general.toml",
        "sources.toml",
    }


@pytest.mark.parametrize("name", ["apple", "sweet cherry", "citrus", "fig", "blueberry"])
def test_one_species_shows_every_number_with_its_source(name: str) -> None:
    text = printed(name)
    for head in ("Care", "Steps", "Take care", "Where sources disagree", "Sources"):
        assert f"\n{head}\n" in text
    assert "[]" not in text


def test_sources_named_are_described_below() -> None:
    text = printed("apple")
    assert "wsu_eb0913: Washington State University Extension" in text
    assert "59.2      5538        4430 to first bloom" in text
    assert "silver tip       0.38           -9.4 °C   -16.7 °C" in text


def test_never_is_told_with_its_reason_and_without_steps() -> None:
    text = printed("apricot")
    assert "Dormant pruning: never. Winter-wet cuts" in text
    assert "Walk round the tree and settle" not in text


def test_json_is_whole(tmp_path: Path) -> None:
    found = json.loads(printed("walnut", "--json"))
    assert found["rules"]["key"] == "walnut"
    assert found["sources"]["hassankhah_2017"]["seen"] == "abstract"
    assert len(json.loads(printed("--json"))) == 24


def test_an_unknown_name_suggests_the_nearest() -> None:
    text = printed("aple", exit_code=2)
    assert 'there are no rules for "aple"' in text
    assert "Did you mean apple?" in text


def test_a_programme_folder_overrides(tmp_path: Path) -> None:
    (tmp_path / "species").mkdir()
    (tmp_path / "species" / "fig.toml").write_text('title = "school fig"\n', encoding="utf-8")
    assert printed("fig", "--folder", str(tmp_path)).startswith("school fig (Ficus carica)")


def test_help_has_an_example() -> None:
    assert 'orchardcal species "sour cherry"' in printed("--help")


def test_reading_species_needs_no_arrays() -> None:
    code = "import sys, orchardcal.commands.species; sys.exit('numpy' in sys.modules)"
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0
