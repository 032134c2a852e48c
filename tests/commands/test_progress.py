"""Long work tells how far it is, where a person looks on, and nowhere else."""

from __future__ import annotations

import io
import os
import subprocess
import sys
from pathlib import Path

import pytest

from orchardcal.commands.progress import MANY_SITES, progress_of
from tests.benchmarks.invented_programme import write_programme

# What is run, for how many sites, and what the bar is called.
CASES = {
    "season": (["season", "FOLDER", "--as-of", "2026-11-25"], 6, b"Planning"),
    "check": (["check", "FOLDER"], MANY_SITES, b"Reading"),
}


class Terminal(io.StringIO):
    def isatty(self) -> bool:
        return True


def test_few_things_and_pipes_get_no_bar(monkeypatch: pytest.MonkeyPatch) -> None:
    for shown, things in ((Terminal(), 4), (io.StringIO(), 400)):
        monkeypatch.setattr(sys, "stderr", shown)
        with progress_of(things, "Planning") as tell:
            tell()
            tell(2)
        assert shown.getvalue() == ""


@pytest.mark.skipif(os.name == "nt", reason="pseudo-terminals are POSIX")
@pytest.mark.parametrize("command", CASES)
def test_on_a_terminal_a_bar_reaches_its_end(command: str, tmp_path: Path) -> None:
    import pty

    words, sites, label = CASES[command]
    folder = tmp_path / "programme"
    write_programme(folder, sites)
    ours, theirs = pty.openpty()
    ran = subprocess.Popen(
        [sys.executable, "-m", "orchardcal", *(w.replace("FOLDER", str(folder)) for w in words)],
        stdout=subprocess.DEVNULL,
        stderr=theirs,
        env={**os.environ, "TERM": "xterm"},
    )
    os.close(theirs)
    shown = b""
    try:
        while piece := os.read(ours, 4096):
            shown += piece
    except OSError:  # Linux's word for a terminal that nobody writes to any more
        pass
    os.close(ours)
    assert ran.wait(60) == 0
    assert label in shown
    assert b"100%" in shown
