"""Prints how long commands take to start, and what each of them imports, package by package.

    python -m tests.benchmarks.start

Each run is a process of its own: `--help`, `check` of the demo, and the season of one site with a
record of 30 seasons, without files and with all of them, nothing kept from earlier runs. The second
table counts the modules each has loaded when it ends, and what loading took by Python's own
-X importtime, each module without those it loads in turn; tests/test_imports_light.py holds the
counts to their budget.
"""

from __future__ import annotations

import os
import platform
import re
import statistics
import subprocess
import sys
import tempfile
import time
from collections import Counter
from pathlib import Path

from tests.benchmarks.invented_programme import write_programme

REPOSITORY = Path(__file__).parent.parent.parent
RUNS = 9
PACKAGES_SHOWN = 12
DAY = ("--as-of", "2026-11-25")
IMPORTED = re.compile(r"import time:\s+(\d+) \|\s+\d+ \| +(\S+)")


def main() -> None:
    print(f"Python {platform.python_version()}, {os.cpu_count()} cores, {platform.system()}")
    with tempfile.TemporaryDirectory() as scratch:
        folder = Path(scratch, "programme")
        write_programme(folder, 1)
        cases = {
            "--help (goal 0.15 s)": ["--help"],
            "check of the demo (goal 0.35 s)": ["check", "demo_sites"],
            "season of one site (goal 1.0 s)": ["season", str(folder), *DAY],
            "the same with all its files": ["season", str(folder), *DAY, "--out", f"{scratch}/out"],
        }
        print(f"\n{'median of wall time (min-max) in s':<40}")
        for name, arguments in cases.items():
            seconds = [_seconds(arguments, Path(scratch)) for _ in range(RUNS + 1)][1:]
            spread = f"{statistics.median(seconds):.3f} ({min(seconds):.3f}-{max(seconds):.3f})"
            print(f"{name:<40}{spread:>22}", flush=True)
        for name, arguments in cases.items():
            _print_imports(name, arguments, Path(scratch))


def _seconds(arguments: list[str], scratch: Path) -> float:
    for journal in scratch.glob("programme/journal.sqlite*"):
        journal.unlink()
    with tempfile.TemporaryDirectory(dir=scratch) as cache:
        start = time.perf_counter()
        _run([], arguments, Path(cache))
        return time.perf_counter() - start


def _run(python: list[str], arguments: list[str], cache: Path) -> str:
    ran = subprocess.run(
        [sys.executable, *python, "-m", "orchardcal", *arguments],
        cwd=REPOSITORY,
        env={**os.environ, "XDG_CACHE_HOME": str(cache)},
        check=True,
        capture_output=True,
        text=True,
    )
    return ran.stderr


def _print_imports(name: str, arguments: list[str], scratch: Path) -> None:
    """Modules and milliseconds by package, the costliest first."""
    modules: Counter[str] = Counter()
    microseconds: Counter[str] = Counter()
    with tempfile.TemporaryDirectory(dir=scratch) as cache:
        told = _run(["-X", "importtime"], arguments, Path(cache))
    for own, module in IMPORTED.findall(told):
        package = module.partition(".")[0]
        modules[package] += 1
        microseconds[package] += int(own)
    total = f"{sum(modules.values())} modules, {sum(microseconds.values()) / 1000:.0f} ms"
    print(f"\nimports of {name.partition(' (')[0]}: {total}")
    for package, spent in microseconds.most_common(PACKAGES_SHOWN):
        print(f"  {package:<20}{modules[package]:>5}{spent / 1000:>9.1f} ms")


if __name__ == "__main__":
    main()
