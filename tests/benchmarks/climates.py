"""Prints how long climates take to be made from whatever is known of a place.

    python -m tests.benchmarks.climates

Monthly means (grade C) and freeze dates with chill (grade D) become generated seasons, a record of
30 seasons (grade A) observed ones; then chill and heat are counted. Each place alone, and as many
side by side as a process plans at once: milliseconds a place, medians of the runs with least and
most, no place like another.
"""

from __future__ import annotations

import os
import platform
import statistics
import tempfile
import time
from collections.abc import Callable, Sequence
from datetime import date
from pathlib import Path

from orchardcal.commands.programme import load
from orchardcal.pipeline import TOGETHER
from orchardcal.season import Season
from orchardcal.sites.record import DailyRecord
from orchardcal.sites.site import FreezeDatesGiven, NormalsGiven, Site
from orchardcal.windows.shared_climates import ClimateAsked, climates_of
from orchardcal.windows.site_ensemble import usual_ensembles
from tests.benchmarks.invented_programme import write_programme

SITES = 300
RUNS = 7
AS_OF = date(2026, 11, 25)
Places = Sequence[ClimateAsked]


def main() -> None:
    print(
        f"Python {platform.python_version()}, {os.cpu_count()} cores, {platform.system()}; ", end=""
    )
    print(f"{RUNS} runs, ms a place: median (min-max)")
    print(f"{'':<34}{'alone':>22}{f'{TOGETHER} side by side':>22}")
    with tempfile.TemporaryDirectory() as scratch:
        write_programme(Path(scratch, "programme"), SITES)
        loaded = load(Path(scratch, "programme"))
    every = [
        ClimateAsked(site, loaded.weather[site.key], Season(2027, southern=False), AS_OF)
        for site in loaded.programme.sites
    ]
    kinds: dict[str, Callable[[Site], bool]] = {
        "A and B: a record": lambda site: loaded.weather[site.key].record is not None,
        "C: monthly means": lambda site: isinstance(site.climate, NormalsGiven),
        "D: freeze dates and chill": lambda site: isinstance(site.climate, FreezeDatesGiven),
    }
    for kind, meant in kinds.items():
        alike = _unlike([one for one in every if meant(one.site)])
        _print_row(kind, alike, lambda places: usual_ensembles(_of(places), AS_OF))
        _print_row("  with chill and heat", alike, climates_of)


def _unlike(places: Places) -> Places:
    """No two that would share a climate."""
    known = {(repr(one.site.climate), round(one.site.latitude_deg, 1)): one for one in places}
    return list(known.values())


def _of(places: Places) -> list[tuple[Site, DailyRecord | None]]:
    return [(one.site, one.weather.record) for one in places]


def _print_row(what: str, places: Places, work: Callable[[Places], object]) -> None:
    """Each run takes other places than the run before, so that none is shared."""
    cells = []
    work(places[:1])  # tables and fixed random numbers, made once a process
    for count in (1, TOGETHER):
        ms = []
        for run in range(RUNS):
            first = 1 + (run * TOGETHER) % (len(places) - TOGETHER)
            start = time.perf_counter()
            work(places[first : first + count])
            ms.append((time.perf_counter() - start) / count * 1000)
        cells.append(f"{statistics.median(ms):.1f} ({min(ms):.1f}-{max(ms):.1f})")
    print(f"{what:<34}" + "".join(f"{cell:>22}" for cell in cells), flush=True)


if __name__ == "__main__":
    main()
