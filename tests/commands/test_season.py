"""The main command: what it refuses, what odd text does to its outputs, what a crash leaves."""

from __future__ import annotations

import csv
import io
import os
import random
import re
import shutil
import signal
import subprocess
import sys
import time
from pathlib import Path

import icalendar
import pytest
from click.testing import CliRunner, Result

from orchardcal.commands import orchardcal
from tests.invented import DEMO

ODD = 'Röd "gård", <b>bold</b>; =1+1 🍎 שלום'


def copied(tmp_path: Path, *sites: str) -> Path:
    """A programme with some of the demo's sites."""
    folder = tmp_path / "programme"
    folder.mkdir()
    shutil.copy(DEMO / "programme.toml", folder)
    for site in sites:
        shutil.copytree(DEMO / site, folder / site)
    return folder


def run(*words: str) -> Result:
    return CliRunner().invoke(orchardcal, list(words))


def season(folder: Path, out: Path, as_of: str = "2026-11-25") -> Result:
    return run("season", str(folder), "--out", str(out), "--season", "2027", "--as-of", as_of)


def test_a_broken_folder_writes_nothing_and_tells_everything(tmp_path: Path) -> None:
    folder = copied(tmp_path, "tamarsh", "totara-flat")
    trees = folder / "totara-flat" / "trees.csv"
    trees.write_text(trees.read_text().replace("mulberry", "mullberry"))
    site = folder / "tamarsh" / "site.toml"
    site.write_text(site.read_text().replace("latitude = ", "latitude = 1"))
    ran = season(folder, tmp_path / "out")
    assert ran.exit_code == 2
    assert "totara-flat/trees.csv:3: " in ran.output
    assert "Did you mean mulberry?" in ran.output
    assert "tamarsh/site.toml" in ran.output
    assert not (tmp_path / "out").exists()
    assert not (folder / "journal.sqlite").exists()


def test_impossible_chill_is_a_problem_of_its_site_not_a_traceback(tmp_path: Path) -> None:
    folder = copied(tmp_path, "totara-flat", "tamarsh")
    site = folder / "totara-flat" / "site.toml"
    site.write_text(re.sub(r"chill_portions = \d+", "chill_portions = 3", site.read_text()))
    ran = season(folder, tmp_path / "out")
    assert ran.exit_code == 2
    assert "totara-flat" in ran.output
    assert "portions" in ran.output
    assert "Traceback" not in ran.output
    assert not (tmp_path / "out").exists()


def test_a_folder_that_is_none_is_said_so(tmp_path: Path) -> None:
    ran = season(tmp_path / "nowhere", tmp_path / "out")
    assert ran.exit_code == 2
    assert "does not exist" in ran.output


def test_an_output_folder_that_cannot_be_written_changes_nothing(tmp_path: Path) -> None:
    folder = copied(tmp_path, "totara-flat")
    blocked = tmp_path / "out"
    blocked.write_text("a file where a folder should be")
    ran = season(folder, blocked)
    assert ran.exit_code == 2
    assert "cannot be written" in ran.output
    assert blocked.read_text() == "a file where a folder should be"
    again = season(folder, tmp_path / "elsewhere")
    assert again.exit_code == 0
    assert "SEQUENCE:1" not in (tmp_path / "elsewhere" / "staff.ics").read_text()


def test_odd_text_comes_through_feeds_and_tables_unharmed(tmp_path: Path) -> None:
    folder = copied(tmp_path, "totara-flat")
    site = folder / "totara-flat" / "site.toml"
    text = re.sub(r'^name = ".*"$', f"name = '{ODD}'", site.read_text(), flags=re.M)
    site.write_text(re.sub(r'^where = ".*"$', f"where = '{ODD}'", text, flags=re.M))
    programme = folder / "programme.toml"
    programme.write_text(
        re.sub(r'^name = ".*"$', "name = '=cmd|x'", programme.read_text(), count=1, flags=re.M)
    )
    ran = season(folder, tmp_path / "out")
    assert ran.exit_code == 0, ran.output
    feed = icalendar.Calendar.from_ical((tmp_path / "out" / "staff.ics").read_bytes())
    places = {str(event["LOCATION"]) for event in feed.walk("VEVENT")}
    assert any(ODD in place for place in places)
    assert all(str(event["SUMMARY"]).endswith(ODD) for event in feed.walk("VEVENT"))
    table = (tmp_path / "out" / "plan.csv").read_bytes().decode("utf-8-sig")
    cells = [cell for row in csv.reader(io.StringIO(table)) for cell in row]
    assert any(ODD in cell for cell in cells)
    assert not any(re.match(r"\s*[=+\-@\t\r]", cell) for cell in cells)


def test_json_is_the_plan_and_nothing_else(tmp_path: Path) -> None:
    folder = copied(tmp_path, "totara-flat")
    ran = run("season", str(folder), "--season", "2027", "--as-of", "2026-11-25", "--json")
    assert ran.exit_code == 0
    assert ran.output.startswith('{\n "format": "orchardcal-plan"')


def test_no_address_reaches_an_output(tmp_path: Path) -> None:
    folder = copied(tmp_path, "totara-flat", "tamarsh")
    ran = season(folder, tmp_path / "out")
    assert ran.exit_code == 0
    written = b"".join(p.read_bytes() for p in (tmp_path / "out").rglob("*") if p.is_file())
    assert b"ninegates.example/" in written  # the feeds' own address, from base_url
    assert b"@ninegates" not in written
    assert "@ninegates" not in ran.output


def test_why_explains_a_date_with_its_sources(tmp_path: Path) -> None:
    folder = copied(tmp_path, "tamarsh")
    ran = run(
        *("why", str(folder), "tamarsh", "dormant pruning", "--tree", "R1"),
        *("--season", "2027", "--as-of", "2026-11-25"),
    )
    assert ran.exit_code == 0, ran.output
    assert "source: Utah State Univ. Extension" in ran.output
    assert "modelled seasons" in ran.output
    unknown = run("why", str(folder), "tamarsh", "mowing", "--season", "2027")
    assert unknown.exit_code == 2
    assert '"mowing" is no care' in unknown.output
    nobody = run("why", str(folder), "tamarsh", "--tree", "R9", "--season", "2027")
    assert "there is no tree" in nobody.output


def test_climate_prints_tables_and_draws(tmp_path: Path) -> None:
    folder = copied(tmp_path, "tamarsh")
    drawing = tmp_path / "chill.svg"
    ran = run("climate", str(folder), "tamarsh", "--season", "2027", "--plot", str(drawing))
    assert ran.exit_code == 0, ran.output
    assert "chill portions" in ran.output
    assert drawing.read_text().startswith("<svg")
    told = run("climate", str(folder), "tamarsh", "--season", "2027", "--json")
    assert told.exit_code == 0
    assert '"freezes"' in told.output


@pytest.mark.parametrize("kills", [3, pytest.param(25, marks=pytest.mark.slow)])
def test_a_kill_while_planning_leaves_whole_feeds(tmp_path: Path, kills: int) -> None:
    """Killed at any moment, each feed is the old or the new one and the next run mends all."""
    folder = copied(tmp_path, "totara-flat", "tamarsh")
    out = tmp_path / "out"
    assert season(folder, out, "2026-11-10").exit_code == 0
    old = whole_feeds(out)
    twin = tmp_path / "twin"
    shutil.copytree(folder, twin)
    twin_out = tmp_path / "twin_out"
    shutil.copytree(out, twin_out)
    assert season(twin, twin_out, "2026-12-20").exit_code == 0
    new = whole_feeds(twin_out)
    chance = random.Random(7)
    for _ in range(kills):
        command = ["season", str(folder), "--out", str(out), "--season", "2027"]
        process = subprocess.Popen(
            [sys.executable, "-m", "orchardcal", *command, "--as-of", "2026-12-20"],
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
        )
        time.sleep(chance.uniform(0.05, 1.5))
        os.kill(process.pid, signal.SIGKILL)
        process.wait()
        for name, feed in whole_feeds(out).items():
            assert feed in (old[name], new[name]), name
    assert season(folder, out, "2026-12-20").exit_code == 0
    assert whole_feeds(out) == new


def whole_feeds(out: Path) -> dict[str, bytes]:
    found = {str(p.relative_to(out)): p.read_bytes() for p in sorted(out.rglob("*.ics"))}
    assert all(feed.endswith(b"END:VCALENDAR\r\n") for feed in found.values())
    return found
