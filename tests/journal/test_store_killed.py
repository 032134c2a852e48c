"""kill -9 while recording and publishing: all that was acknowledged is there, nothing by halves."""

from __future__ import annotations

import os
import random
import signal
import subprocess
import sys
import time
from datetime import date
from pathlib import Path

import pytest

from orchardcal.journal.entries import DONE, Entry
from orchardcal.journal.journal_csv import entries_to_csv
from orchardcal.journal.published import Published
from orchardcal.journal.store import CSV_NAME, STORE_NAME, Store

pytestmark = pytest.mark.skipif(os.name == "nt", reason="no kill -9 there")

TOGETHER = 3  # entries in one call of add
EVENTS = 40  # events in one call of publish

# Records and publishes in turns until it is killed; says each thing once the store has it.
WRITER = """
import sys
from pathlib import Path
sys.path.insert(0, sys.argv[1])
from tests.journal.test_store_killed import batch, events
from orchardcal.journal.store import Store
number = int(sys.argv[3])
print("begun", flush=True)
with Store.open(Path(sys.argv[2])) as store:
    while True:
        store.add(batch(number))
        print("added", number, flush=True)
        store.publish(events(number))
        print("published", number, flush=True)
        number += 1
"""


def batch(number: int) -> list[Entry]:
    return [
        Entry(
            f"2026-12-01T{number // 3600:02}:{number // 60 % 60:02}:{number % 60:02}Z",
            f"j{number}-{part}",
            DONE,
            "millbrook",
            date(2026, 12, 1),
            "dormant_pruning",
            note="n" * 500,
        )
        for part in range(TOGETHER)
    ]


def events(number: int) -> list[Published]:
    day = date(2027, 1, 9)
    return [
        Published(
            f"u{part}", "millbrook", "dormant_pruning", 2027, ("A-01",), day, day, "planned",
            number, "2026-12-01T00:00:00Z", "f", ("staff",), b"x" * 800,
        )
        for part in range(EVENTS)
    ]  # fmt: skip


def killed_after(path: Path, number: int, wait_s: float) -> list[tuple[str, int]]:
    """What a writer said before it was killed, so long after it began."""
    writer = subprocess.Popen(
        [sys.executable, "-c", WRITER, str(Path(__file__).parents[2]), str(path), str(number)],
        stdout=subprocess.PIPE,
        text=True,
        env={**os.environ, "PYTHONPATH": os.pathsep.join(sys.path)},
    )
    assert writer.stdout is not None
    assert writer.stdout.readline() == "begun\n"
    time.sleep(wait_s)
    writer.send_signal(signal.SIGKILL)
    said, _ = writer.communicate()
    assert writer.returncode == -signal.SIGKILL
    whole_lines = said.split("\n")[:-1]
    return [(line.split()[0], int(line.split()[1])) for line in whole_lines]


def check_after_kills(path: Path, kills: int, seed: int) -> None:
    chance = random.Random(seed)
    acknowledged: list[tuple[str, int]] = []
    for kill in range(kills):
        acknowledged += killed_after(path, kill * 1000, chance.uniform(0.0, 0.15))
        with Store.open(path, create=False) as store:  # a reader comes first, then the writer
            seen_by_reader = store.entries()
        with Store.open(path) as store:
            kept, published = store.entries(), store.published()
        assert seen_by_reader == kept
        ids = {entry.id for entry in kept}
        added = [number for what, number in acknowledged if what == "added"]
        for number in added:
            assert {entry.id for entry in batch(number)} <= ids
        started = {int(entry.id[1:].split("-")[0]) for entry in kept}
        assert len(kept) == TOGETHER * len(started)  # no batch by halves
        assert len(started - set(added)) <= kill + 1  # at most one unsaid batch for each kill
        generations = {event.sequence for event in published}
        assert len(published) in (0, EVENTS)
        assert len(generations) <= 1
        said = [number for what, number in acknowledged if what == "published"]
        assert not said or generations.pop() >= max(said)
    assert acknowledged


def test_six_kills_lose_nothing_acknowledged(tmp_path: Path) -> None:
    check_after_kills(tmp_path / STORE_NAME, kills=6, seed=1)


def check_in_the_first_moments(folder: Path, kills: int, seed: int) -> None:
    chance = random.Random(seed)
    for kill in range(kills):
        path = folder / str(kill) / STORE_NAME
        path.parent.mkdir()
        said = killed_after(path, 0, chance.uniform(0.0, 0.012))
        with Store.open(path, create=False) as store:
            assert len(store.entries()) % TOGETHER == 0
        with Store.open(path) as store:
            assert len(store.entries()) >= TOGETHER * sum(what == "added" for what, _ in said)
            assert store.add(batch(9000)) == TOGETHER


def test_kills_in_the_first_moments_leave_a_store_that_works(tmp_path: Path) -> None:
    """The first 12 ms hold the change to a write-ahead log and the making of the tables."""
    check_in_the_first_moments(tmp_path, kills=8, seed=4)


@pytest.mark.slow
def test_many_kills_in_the_first_moments_leave_a_store_that_works(tmp_path: Path) -> None:
    check_in_the_first_moments(tmp_path, kills=80, seed=5)


@pytest.mark.slow
def test_fifty_kills_lose_nothing_acknowledged(tmp_path: Path) -> None:
    check_after_kills(tmp_path / STORE_NAME, kills=50, seed=2)


def test_a_kill_while_the_store_is_made_from_csv_leaves_all_or_nothing(tmp_path: Path) -> None:
    path = tmp_path / STORE_NAME
    written = [entry for number in range(700) for entry in batch(number)]
    path.with_name(CSV_NAME).write_bytes(entries_to_csv(written).encode())
    chance = random.Random(3)
    for _ in range(4):
        killed_after(path, 5000, chance.uniform(0.05, 0.25))
        with Store.open(path, create=False) as store:
            there = store.entries()
        assert set(written) <= set(there)
    with Store.open(path) as store:
        assert set(written) <= set(store.entries())
