"""Recording work as done: what is written, what is refused, and that nothing is lost."""

from __future__ import annotations

import os
import sqlite3
import subprocess
import sys
from datetime import date
from pathlib import Path

import pytest

from orchardcal.journal.entries import DONE
from orchardcal.journal.store import STORE_NAME, Store
from tests.commands.recording_folder import Folder, make_folder


@pytest.fixture
def folder(tmp_path: Path) -> Folder:
    return make_folder(tmp_path)


def test_what_is_said_is_what_is_kept(folder: Folder) -> None:
    note = 'two saws, one "lost"\nשלום 🌳 <b>'
    said = folder.run(
        "done", "millbrook", "Dormant-Pruning", "--tree", "A-01", "--on", "2026-01-09",
        "--minutes", "40", "--by", "Ana Ruiz", "--note", note,
    )  # fmt: skip
    assert said.code == 0, said.err
    (entry,) = folder.entries()
    assert (entry.kind, entry.site, entry.care) == (DONE, "millbrook", "dormant_pruning")
    assert (entry.day, entry.season, entry.plantings) == (date(2026, 1, 9), 2026, ("A-01",))
    assert (entry.minutes, entry.trees, entry.by, entry.note) == (40, None, "Ana Ruiz", note)
    assert entry.id in said.out
    assert f"--undo {entry.id}" in said.out


@pytest.mark.parametrize("written", ["dormant_pruning", "dormant pruning", "Dormant pruning"])
def test_a_care_may_be_written_in_several_ways(folder: Folder, written: str) -> None:
    assert folder.run("done", "millbrook", written).code == 0
    assert folder.entries()[0].care == "dormant_pruning"


def test_the_season_of_the_south_is_the_calendar_year(folder: Folder) -> None:
    """design: southern sites run 1 Jan-31 Dec, northern 1 Jul-30 Jun, named by the harvest."""
    for site in ("millbrook", "karoo"):
        folder.run("done", site, "dormant pruning", "--on", "2025-08-01")
    assert [(entry.site, entry.season) for entry in folder.entries()] == [
        ("millbrook", 2026),
        ("karoo", 2025),
    ]


def test_a_whole_site_means_the_trees_in_the_ground_that_year(folder: Folder) -> None:
    folder.run("done", "millbrook", "whitewash painting", "--on", "2023-01-10")
    assert folder.entries()[0].plantings == ("A-02", "B-01")


def test_every_mistake_is_said_at_once(folder: Folder) -> None:
    wrong = ("millbrook", "dormant prooning", "--tree", "A-9", "--on", "2999-01-09")
    said = folder.run("done", *wrong)
    assert said.code == 2
    assert "Did you mean dormant pruning?" in said.err
    assert 'millbrook/trees.csv: there is no tree "A-9"' in said.err
    assert "is still to come" in said.err
    assert not (folder.path / STORE_NAME).exists()


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        (("milbrook", "dormant pruning"), "Did you mean millbrook?"),
        (("../millbrook", "dormant pruning"), "Known sites"),
        (("millbrook", "dormancy check"), "orchardcal saw millbrook dormant"),
        (("millbrook", "oil scouting"), 'orchardcal saw millbrook "mite eggs"'),
        (("millbrook", "work day"), "Record each care"),
        (("millbrook", "dormant pruning", "--tree", "A-01", "--on", "2020-01-09"), "(2024)"),
        (("millbrook", "dormant pruning", "--on", "2019-01-09"), "into the ground"),
        (("millbrook", "dormant pruning", "--on", "9/1/2026"), "Write it as 2026-12-01"),
        (("millbrook", "dormant pruning", "--trees", "6"), "6 trees done of 5"),
        (("millbrook", "dormant pruning", "--minutes", "-3"), "--minutes"),
        (("millbrook", "deferred cut", "--tree", "A-01"), "no cut put off is open"),
        (("millbrook", "dormant pruning", "--note", "\udcff"), "no text"),
    ],
)
def test_a_mistake_gets_one_clear_message(
    folder: Folder, arguments: tuple[str, ...], message: str
) -> None:
    said = folder.run("done", *arguments)
    assert said.code == 2
    assert message in said.err
    assert not [entry for entry in folder.entries() if entry.kind == DONE]


def test_a_folder_that_is_no_programme_is_named(tmp_path: Path) -> None:
    said = Folder(tmp_path).run("done", "millbrook", "dormant pruning")
    assert said.code == 2
    assert "no programme.toml" in said.err


def test_part_of_the_trees_says_how_they_are_counted(folder: Folder) -> None:
    said = folder.run("done", "millbrook", "dormant pruning", "--trees", "2")
    assert "in the order of trees.csv" in said.out
    assert folder.entries()[0].trees == 2


def test_a_store_from_a_newer_version_is_trouble(folder: Folder) -> None:
    folder.run("done", "millbrook", "dormant pruning")
    connection = sqlite3.connect(folder.path / STORE_NAME)
    connection.execute("PRAGMA user_version = 99")
    connection.close()
    said = folder.run("done", "millbrook", "dormant pruning")
    assert said.code == 5
    assert "newer orchardcal" in said.err


def test_people_recording_at_once_are_all_kept(folder: Folder) -> None:
    """Four processes, started together on a folder without a store, none with a name."""
    program = "import sys; from orchardcal.commands import orchardcal; orchardcal(sys.argv[1:])"
    arguments = ["done", "-C", str(folder.path), "millbrook", "dormant pruning", "--tree", "A-01"]
    running = [
        subprocess.Popen(
            [sys.executable, "-c", program, *arguments],
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            env={**os.environ, "PYTHONPATH": os.pathsep.join(sys.path)},
        )
        for _ in range(4)
    ]
    ends = [process.communicate() for process in running]
    assert [process.returncode for process in running] == [0, 0, 0, 0], ends
    assert len(folder.entries()) == 4


def test_recording_loads_no_arrays_and_no_calendars(folder: Folder) -> None:
    program = (
        "import sys; from orchardcal.commands import orchardcal\n"
        "try: orchardcal(sys.argv[1:])\n"
        "finally: print({'numpy', 'icalendar', 'babel', 'holidays'} & set(sys.modules))"
    )
    ran = subprocess.run(
        [sys.executable, "-c", program, "done", "-C", folder.path, "millbrook", "dormant pruning"],
        capture_output=True,
        text=True,
        check=True,
        env={**os.environ, "PYTHONPATH": os.pathsep.join(sys.path)},
    )
    assert ran.stdout.splitlines()[-1] == "set()"


def test_the_store_can_be_read_while_someone_records(folder: Folder) -> None:
    folder.run("done", "millbrook", "dormant pruning")
    with Store.open(folder.path / STORE_NAME) as store:
        before = store.entries()
        folder.run("done", "millbrook", "whitewash painting")
        assert len(before) == 1
        assert len(store.entries()) == 2
