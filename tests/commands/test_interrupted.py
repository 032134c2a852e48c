"""Ctrl-C while a season is planned and written: short words, whole files, and the rest goes on."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

import pytest

from orchardcal.journal.store import Store
from tests.benchmarks.invented_programme import write_programme

pytestmark = [
    pytest.mark.slow,
    pytest.mark.skipif(os.name == "nt", reason="Ctrl-C goes another way there"),
]

SITES = 60
YESTERDAY, TODAY = "2026-11-24", "2026-11-25"
WAIT_S, LEAST_WAIT_S = 120, 0.005


def _hears_ctrl_c() -> None:
    """Whatever began these tests may ignore it, as shells have it in the background."""
    signal.signal(signal.SIGINT, signal.SIG_DFL)


class Ground:
    """A programme whose season was written yesterday, and what a whole run of today writes."""

    def __init__(self, folder: Path) -> None:
        self.programme, self.out = folder / "programme", folder / "out"
        self.cache = folder / "cache"
        write_programme(self.programme, SITES)
        self.run(YESTERDAY, 1)
        self.before = self.files()

    def start(self, day: str, processes: int) -> subprocess.Popen[bytes]:
        """The command in a process group of its own, as a terminal starts it."""
        words = ["season", str(self.programme), "--out", str(self.out), "--as-of", day]
        return subprocess.Popen(
            [sys.executable, "-m", "orchardcal", *words, "--processes", str(processes)],
            env={**os.environ, "XDG_CACHE_HOME": str(self.cache)},
            stdout=subprocess.DEVNULL,
            stderr=subprocess.PIPE,
            start_new_session=True,
            preexec_fn=_hears_ctrl_c,
        )

    def run(self, day: str, processes: int) -> None:
        command = self.start(day, processes)
        _, said = command.communicate(timeout=WAIT_S)
        assert command.returncode == 0, said.decode()

    def files(self) -> dict[str, bytes]:
        return {
            path.relative_to(self.out).as_posix(): path.read_bytes()
            for path in self.out.rglob("[!.]*")
            if path.is_file()
        }

    def results(self) -> dict[str, int]:
        """The file number of each kept result: another one for a result that was made again."""
        found = (self.cache / "orchardcal" / "results").glob("*")
        return {path.name: path.stat().st_ino for path in found if not path.name.startswith("new-")}

    def writing(self) -> bool:
        return any(self.out.glob(".*.ics.*"))


class Kept:
    """The moment when so many more results are kept; none: in a second, when all is loaded."""

    def __init__(self, ground: Ground, more: int) -> None:
        self.ground, self.results = ground, len(ground.results()) + more
        self.earliest = time.monotonic() + (0 if more else 1.0)

    def __call__(self) -> bool:
        return time.monotonic() > self.earliest and len(self.ground.results()) >= self.results


def interrupt(ground: Ground, processes: int, moment: Callable[[], bool]) -> str:
    """What the command says that is interrupted at a moment, after its exit code was looked at."""
    command = ground.start(TODAY, processes)
    until = time.monotonic() + WAIT_S
    while not moment():
        assert command.poll() is None, "ended before the moment came"
        assert time.monotonic() < until
        time.sleep(LEAST_WAIT_S)
    os.killpg(command.pid, signal.SIGINT)
    _, said = command.communicate(timeout=WAIT_S)
    assert command.returncode == 130, said.decode()
    return said.decode()


@pytest.mark.parametrize("processes", [1, 2])
def test_a_season_interrupted_again_and_again_is_finished_by_the_next_run(
    tmp_path: Path, processes: int
) -> None:
    ground = Ground(tmp_path)
    old = len(ground.results())
    for kept_first in (0, 3, 9):
        already = ground.results()
        said = interrupt(ground, processes, Kept(ground, kept_first))
        assert said.strip() == "Stopped."
        assert ground.files() == ground.before
        now = ground.results()
        assert already.items() <= now.items()  # nothing was planned again
    assert len(now) >= old + 12
    said = interrupt(ground, processes, ground.writing)
    assert said.strip() == "Stopped."
    while_writing, planned = ground.files(), ground.results()
    ground.run(TODAY, processes)
    whole = ground.files()
    assert planned.items() <= ground.results().items()
    for name, content in while_writing.items():
        assert content in (ground.before.get(name), whole.get(name)), f"{name} is half written"
    with Store.open(ground.programme / "journal.sqlite", create=False) as store:
        assert store.published()


def test_what_is_written_after_an_interruption_is_what_one_run_writes(tmp_path: Path) -> None:
    broken_off, at_once = Ground(tmp_path / "a"), Ground(tmp_path / "b")
    old = len(broken_off.results())
    interrupt(broken_off, 2, lambda: len(broken_off.results()) > old)
    for ground in (broken_off, at_once):
        ground.run(TODAY, 2)
    assert broken_off.files() == at_once.files()
