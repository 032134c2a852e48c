"""Prints how long whole seasons take for programmes of several sizes, and the memory they need.

    python -m tests.benchmarks.sites                          7, 100 and 1,000 sites, a quarter hour
    python -m tests.benchmarks.sites --sites 10000 --processes 2 --runs 1
    python -m tests.benchmarks.sites --sites 100 --executor dask     (needs the extra "cluster")
    python -m tests.benchmarks.sites --sites 1000 --processes 2 --again

Each run is the command itself, `orchardcal season FOLDER --out OUT`, with nothing kept from
earlier runs, up to feeds, pages and tables on disk; with --again also runs that find what earlier
ones kept, where nothing changed and where the trees of every fiftieth site did. Peak memory is of
all its processes together: the sum of their proportional set sizes, looked at five times a second
(Linux; elsewhere the largest process alone). Ratios hold within one table; other work on the
machine shows in min-max.
"""

from __future__ import annotations

import argparse
import math
import os
import platform
import resource
import shutil
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from dataclasses import dataclass
from importlib.metadata import version
from itertools import pairwise
from pathlib import Path

from orchardcal.journal.store import STORE_NAME
from tests.benchmarks.invented_programme import write_programme

REPOSITORY = Path(__file__).parent.parent.parent
DAY = ("--as-of", "2026-11-25", "--season", "2027")
GOALS = {1_000: "under 60 s and 1,000 MB", 10_000: "under 600 s and 2,000 MB"}  # two processes
EXPONENT = "0.95 to 1.05"
LIBRARIES = ("numpy", "icalendar", "click")
LOOKS_A_SECOND = 5
ONE_IN = 50  # 2 %


@dataclass(frozen=True)
class Run:
    seconds: float
    peak_mb: float


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--sites", nargs="+", type=int, default=[7, 100, 1000])
    parser.add_argument("--processes", nargs="+", type=int, default=[1, 2])
    parser.add_argument("--runs", type=int, default=5, help="of each")
    parser.add_argument("--again", action="store_true", help="also runs after a first one")
    parser.add_argument("--executor", choices=["dask"], help="also on a local cluster")
    given = parser.parse_args()
    print(_machine())
    print(f"{'sites':>6} {'on':>11} {'runs':>4} {'s median':>9} {'min':>7} {'max':>7}", end="")
    print(f" {'ms a site':>9} {'peak MB':>8}")
    medians: dict[int, list[tuple[int, float]]] = {}
    with tempfile.TemporaryDirectory() as scratch:
        for sites in sorted(given.sites):
            folder = Path(scratch, f"programme-{sites}")
            write_programme(folder, sites)
            for processes in given.processes:
                runs = [_first_run(folder, Path(scratch), processes) for _ in range(given.runs)]
                median = _print_line(sites, f"{processes} process", runs)
                medians.setdefault(processes, []).append((sites, median))
                if given.again:
                    _print_again(sites, folder, Path(scratch), processes, given.runs)
            if given.executor:
                _on_a_cluster(sites, folder, Path(scratch), max(given.processes))
            shutil.rmtree(folder)
    for processes, points in medians.items():
        for (fewer, less), (more, longer) in pairwise(points):
            grown = math.log(longer / less) / math.log(more / fewer)
            print(f"{processes} process: seconds grow as sites^{grown:.2f} from {fewer} to {more}")
    for sites in sorted(set(GOALS) & set(given.sites)):
        print(f"goal for {sites} sites on two cores: {GOALS[sites]}, exponent {EXPONENT}")


def _first_run(folder: Path, scratch: Path, processes: int) -> Run:
    """One run of the command with an empty cache, a new journal and an empty output folder."""
    _forget(folder)
    with tempfile.TemporaryDirectory(dir=scratch) as fresh:
        return _run(folder, Path(fresh), processes)


def _forget(folder: Path) -> None:
    for journal in folder.glob(f"{STORE_NAME}*"):
        journal.unlink()


def _print_again(sites: int, folder: Path, scratch: Path, processes: int, count: int) -> None:
    """Runs after two others: the second finds what the first published, and rests from then on."""
    _forget(folder)
    with tempfile.TemporaryDirectory(dir=scratch) as kept:
        for _ in range(2):
            _run(folder, Path(kept), processes)
        runs = [_run(folder, Path(kept), processes) for _ in range(count)]
        _print_line(sites, "unchanged", runs)
        runs = []
        for number in range(count):
            for trees in sorted(folder.glob("*/trees.csv"))[::ONE_IN]:
                with trees.open("a", encoding="utf-8") as rows:
                    rows.write(f"N{number},apple,1,{2010 + number}\n")
            runs.append(_run(folder, Path(kept), processes))
        _print_line(sites, "2 % changed", runs)


def _run(folder: Path, place: Path, processes: int) -> Run:
    """One run of the command into a place that holds the output and what is kept."""
    arguments = ["season", str(folder), "--out", f"{place}/out", *DAY]
    start = time.perf_counter()
    command = subprocess.Popen(
        [sys.executable, "-m", "orchardcal", *arguments, "--processes", str(processes)],
        cwd=REPOSITORY,
        env={**os.environ, "XDG_CACHE_HOME": f"{place}/cache"},
        stdout=subprocess.DEVNULL,
        stderr=subprocess.PIPE,
    )
    peak_mb = 0.0
    while command.poll() is None:
        peak_mb = max(peak_mb, _memory_mb(command.pid))
        time.sleep(1 / LOOKS_A_SECOND)
    seconds = time.perf_counter() - start
    assert command.stderr is not None
    assert command.returncode == 0, command.stderr.read().decode()[-2000:]
    return Run(seconds, peak_mb or _largest_child_mb())


def _memory_mb(process: int) -> float:
    """Proportional set sizes of a process and all below it; 0 where the system does not say."""
    return sum(map(_proportional_kb, _with_children(process))) / 1024


def _with_children(process: int) -> Iterator[int]:
    yield process
    for children in Path(f"/proc/{process}/task").glob("*/children"):
        try:
            found = children.read_text().split()
        except OSError:  # ended in between
            continue
        for child in found:
            yield from _with_children(int(child))


def _proportional_kb(process: int) -> int:
    try:
        told = Path(f"/proc/{process}/smaps_rollup").read_text()
    except OSError:
        return 0
    return next((int(line.split()[1]) for line in told.split("\n") if line.startswith("Pss:")), 0)


def _largest_child_mb() -> float:
    unit = 2**20 if sys.platform == "darwin" else 2**10
    return resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss / unit


def _print_line(sites: int, on: str, runs: list[Run]) -> float:
    seconds = [run.seconds for run in runs]
    median = statistics.median(seconds)
    print(
        f"{sites:6} {on:>11} {len(runs):4} {median:9.2f} {min(seconds):7.2f} {max(seconds):7.2f}"
        f" {median / sites * 1000:9.1f} {max(run.peak_mb for run in runs):8.0f}",
        flush=True,
    )
    return median


def _on_a_cluster(sites: int, folder: Path, scratch: Path, processes: int) -> None:
    """One run on a local Dask cluster, whose files must be those of one process."""
    from tests.benchmarks.cluster import season_files, season_files_on_a_cluster

    start = time.perf_counter()
    with tempfile.TemporaryDirectory(dir=scratch) as fresh:
        theirs = season_files_on_a_cluster(folder, Path(fresh), DAY, processes)
    seconds = time.perf_counter() - start
    with tempfile.TemporaryDirectory(dir=scratch) as fresh:
        assert theirs == season_files(folder, Path(fresh), DAY), "other bytes than one process"
    told = f"with the cluster's start; the same {len(theirs)} files"
    print(f"{sites:6} {'dask':>11}    1 {seconds:9.2f}  ({told})", flush=True)


def _machine() -> str:
    told = [f"Python {platform.python_version()}", *(f"{one} {version(one)}" for one in LIBRARIES)]
    return f"{os.cpu_count()} cores of {_processor()}, {platform.system()}; {', '.join(told)}"


def _processor() -> str:
    try:
        told = Path("/proc/cpuinfo").read_text()
    except OSError:
        return platform.processor() or platform.machine()
    names = [line.split(":")[1].strip() for line in told.split("\n") if "model name" in line]
    return names[0] if names else platform.machine()


if __name__ == "__main__":
    main()
