"""Prints how fast the climate kernel is beside plain Python, straightforward numpy and C.

    python -m tests.benchmarks.kernel        (needs gcc; about three minutes)

Every variant computes the same from hourly temperatures: Dynamic Model portions, Utah and positive
Utah units, both chill hours, both heat forms, summed by day; the last two rebuild the hours from
daily lows and highs as well. Once for one site of 30 seasons, once for 1,000 sites of 30, which
our kernel and C take in blocks of as many lanes. All variants take turns, so that a ratio to C is
of two runs after each other; medians of the runs, least and most in brackets.
"""

from __future__ import annotations

import ctypes
import math
import os
import platform
import shutil
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Sequence
from dataclasses import fields
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from orchardcal.climate.daily_totals import (
    IN_HALVES,
    DailyTotals,
    totals_by_day,
    totals_of_places,
)
from orchardcal.climate.hourly import days_first, hourly_c, hourly_weights
from orchardcal.climate.hours_side_by_side import LANES_AT_ONCE, DailyExtremes, GivenHours

Floats = NDArray[np.float64]
Runs = dict[str, Callable[[], object]]

RUNS = 5
SEASONS = 30
SITES = 1000
LATITUDES = 20
LEVELS = 7  # totals of a day

C_SOURCE = r"""
#include <math.h>

/* One hour of all lanes. A function of its own: its restrict arguments let gcc vectorise it. */
static void hour(long lanes, const double *restrict air, double *restrict x,
                 double *restrict portions, double *restrict utah, double *restrict positive,
                 double *restrict between, double *restrict below, double *restrict asymcur,
                 double *restrict linear)
{
    for (long i = 0; i < lanes; i++) {
        double t = air[i], per_kelvin = 1.0 / (t + 273.0);
        double kept = exp(-exp(42.389269575781825 - 12888.8 * per_kelvin));
        double limit = exp(8735.3 * per_kelvin - 30.543449695538268);
        double share = 1.0 / (1.0 + exp(122766.4 * per_kelvin - 443.2));
        double y = limit - (limit - x[i]) * kept;
        double banked = y >= 1.0 ? share * y : 0.0;
        x[i] = y - banked;
        portions[i] += banked;
        double gain = (t > 1.4 ? 0.5 : 0.0) + (t > 2.4 ? 0.5 : 0.0)
                    - (t > 9.1 ? 0.5 : 0.0) - (t > 12.4 ? 0.5 : 0.0);
        positive[i] += gain;
        utah[i] += gain - (t > 15.9 ? 0.5 : 0.0) - (t > 18.0 ? 0.5 : 0.0);
        below[i] += t < 7.2 ? 1.0 : 0.0;
        between[i] += (t <= 7.2 ? 1.0 : 0.0) - (t < 0.0 ? 1.0 : 0.0);
        double rise = fmin(fmax((t - 4.0) / 21.0, 0.0), 1.0);
        double stress = fmin(fmax((t - 25.0) / 11.0, 0.0), 1.0);
        asymcur[i] += 10.5 * (1.0 - cos(M_PI * rise)) * (1.0 - sin(M_PI / 2 * stress));
        linear[i] += fmin(fmax(t, 4.5), 25.0) - 4.5;
    }
}

/* air: [days * 24][lanes]; out: [7][days][lanes], zeroed by the caller; x: [lanes], zeroed. */
void totals(long days, long lanes, const double *air, double *x, double *out)
{
    long model = days * lanes;
    for (long h = 0; h < days * 24; h++) {
        double *day = out + h / 24 * lanes;
        hour(lanes, air + h * lanes, x, day, day + model, day + 2 * model, day + 3 * model,
             day + 4 * model, day + 5 * model, day + 6 * model);
    }
}

static void rebuild(long lanes, const double *restrict w, const double *restrict low_before,
                    const double *restrict high_before, const double *restrict low,
                    const double *restrict high, const double *restrict low_after,
                    double *restrict air)
{
    for (long i = 0; i < lanes; i++)
        air[i] = w[0] * low_before[i] + w[1] * high_before[i] + w[2] * low[i] + w[3] * high[i]
               + w[4] * low_after[i];
}

/* The same from days. low, high: [days][lanes]; weights: of each `own` lanes [days][24][5], one
   after another; air: [24][lanes], for one day's hours. */
void rebuilt(long days, long lanes, long own, const double *low, const double *high,
             const double *weights, double *air, double *x, double *out)
{
    long model = days * lanes;
    for (long d = 0; d < days; d++) {
        long before = d > 0 ? d - 1 : 0, after = d + 1 < days ? d + 1 : d;
        for (long h = 0; h < 24; h++)
            for (long i = 0; i < lanes; i += own)
                rebuild(own, weights + ((i / own * days + d) * 24 + h) * 5,
                        low + before * lanes + i, high + before * lanes + i, low + d * lanes + i,
                        high + d * lanes + i, low + after * lanes + i, air + h * lanes + i);
        double *day = out + d * lanes;
        for (long h = 0; h < 24; h++)
            hour(lanes, air + h * lanes, x, day, day + model, day + 2 * model, day + 3 * model,
                 day + 4 * model, day + 5 * model, day + 6 * model);
    }
}
"""

C_LOOP = "C loop, gcc -O3 -march=native -ffast-math"
C_WHOLE = "C loop, hours rebuilt from lows and highs"
OURS, OURS_WHOLE = "our kernel, hours given", "our kernel, hours rebuilt likewise"
PYTHON = "plain Python loop"


class InC:
    """The C loops, compiled for this machine."""

    def __init__(self, folder: Path) -> None:
        source, library = folder / "kernel.c", folder / "kernel.so"
        source.write_text(C_SOURCE, encoding="ascii")
        flags = ["-O3", "-march=native", "-ffast-math", "-shared", "-fPIC"]
        subprocess.run(["gcc", *flags, str(source), "-o", str(library), "-lm"], check=True)
        self._library = ctypes.CDLL(str(library))

    def totals(self, air_c: Floats) -> Floats:
        """air_c: (hours, lanes). Returns (7, days, lanes)."""
        days, lanes = air_c.shape[0] // 24, air_c.shape[1]
        x, out = np.zeros(lanes), np.zeros((LEVELS, days, lanes))
        counts = (ctypes.c_long(days), ctypes.c_long(lanes))
        self._library.totals(*counts, *map(_pointer, (air_c, x, out)))
        return out

    def rebuilt(self, low_c: Floats, high_c: Floats, weights: Floats) -> Floats:
        """low_c, high_c: (365, lanes). weights: (places, 365, 24, 5), of as many lanes each."""
        days, lanes = low_c.shape
        air, x = np.empty((24, lanes)), np.zeros(lanes)
        out = np.zeros((LEVELS, days, lanes))
        counts = map(ctypes.c_long, (days, lanes, lanes // len(weights)))
        self._library.rebuilt(*counts, *map(_pointer, (low_c, high_c, weights, air, x, out)))
        return out


def main() -> int:
    if shutil.which("gcc") is None:
        print("gcc is needed for the C loop and was not found", file=sys.stderr)
        return 1
    print(f"{_processor()}, {os.cpu_count()} cores; Python {platform.python_version()}, ", end="")
    print(f"numpy {np.__version__}, {_compiler()}; {RUNS} runs")
    with tempfile.TemporaryDirectory() as folder:
        in_c = InC(Path(folder))
        for sites in (1, SITES):
            _must_agree(_invented_places(min(sites, 40)), in_c)
            _print_table(sites, *_variants(_invented_places(sites), in_c))
    return 0


def _variants(places: Sequence[DailyExtremes], in_c: InC) -> tuple[Runs, dict[str, int]]:
    """What to run, and the hour-values of each: Python and numpy do a part that is long enough."""
    blocks = [_hours_of(block) for block in _blocks(places)[:4]]
    month = np.ascontiguousarray(blocks[0][: 30 * 24, :SEASONS])
    whole = [_days_of(block) for block in _blocks(places)]
    runs: Runs = {
        PYTHON: lambda: _in_python(month),
        "numpy, whole-year temporaries": lambda: _in_plain_numpy(blocks[0]),
        OURS: lambda: [totals_by_day(GivenHours(air_c), 365, 0) for air_c in blocks],
        C_LOOP: lambda: [in_c.totals(air_c) for air_c in blocks],
        OURS_WHOLE: lambda: totals_of_places(places, 0),
        C_WHOLE: lambda: [in_c.rebuilt(*days) for days in whole],
    }
    given = sum(block.size for block in blocks)
    every = 365 * 24 * SEASONS * len(places)
    values = [month.size, blocks[0].size, given, given, every, every]
    return runs, dict(zip(runs, values, strict=True))


def _print_table(sites: int, runs: Runs, values: dict[str, int]) -> None:
    taken: dict[str, list[float]] = {name: [] for name in runs}
    for _ in range(RUNS):
        for name, run in runs.items():
            taken[name].append(_seconds(run) / values[name] * 1e9)
    print(f"\n{sites} site{'s' if sites > 1 else ''} x {SEASONS} seasons, ", end="")
    print("ns per hour-value per lane: median (min-max)")
    for name, ns in taken.items():
        floor = taken[C_WHOLE if name in (OURS_WHOLE, C_WHOLE) else C_LOOP]
        of_c = statistics.median(mine / theirs for mine, theirs in zip(ns, floor, strict=True))
        pairs = zip(taken[PYTHON], ns, strict=True)
        of_python = statistics.median(theirs / mine for theirs, mine in pairs)
        spread = f"{statistics.median(ns):.1f} ({min(ns):.1f}-{max(ns):.1f})"
        print(f"  {name:<44}{spread:>24}{of_c:>8.1f} x C{of_python:>8.1f} x faster than Python")


def _must_agree(places: Sequence[DailyExtremes], in_c: InC) -> None:
    """A fast wrong answer is no answer: season sums, within a portion's flip and single floats."""
    names = [field.name for field in fields(DailyTotals)]
    for block in _blocks(places):
        hours = _hours_of(block)
        ours = totals_by_day(GivenHours(hours), 365, 0)
        together = totals_of_places(block, 0)
        plain = _in_plain_numpy(hours)
        np.testing.assert_allclose(ours["portions"].sum(axis=0), plain, atol=1.0)
        for theirs in (in_c.totals(hours), in_c.rebuilt(*_days_of(block))):
            for name, total in zip(names, theirs, strict=True):
                of_places = np.concatenate([getattr(one, name).sum(axis=1) for one in together])
                by_day = ours[name].sum(axis=0) / (2 if name in IN_HALVES else 1)
                for mine in (by_day, of_places):
                    expected = total.sum(axis=0)
                    np.testing.assert_allclose(mine, expected, atol=1.0, rtol=1e-6, err_msg=name)


def _invented_places(sites: int) -> list[DailyExtremes]:
    """Seasons of temperate kinds of place, with weather that lasts some days."""
    random = np.random.default_rng(11)
    season = np.cos(2 * np.pi * (np.arange(365) - 201) / 365)
    places = []
    for site in range(sites):
        noise = random.normal(0, 2, (SEASONS, 365 + 6))
        weather_c = np.stack([noise[:, lag : lag + 365] for lag in range(6)]).sum(axis=0)
        low_c = 6 - 10 * season + weather_c
        high_c = low_c + 4 + 2 * np.abs(noise[:, :365])
        places.append(DailyExtremes(low_c, high_c, 35.0 + site % LATITUDES))
    return places


def _blocks(places: Sequence[DailyExtremes]) -> list[Sequence[DailyExtremes]]:
    """As many whole places as our kernel takes at once."""
    most = LANES_AT_ONCE // SEASONS
    return [places[at : at + most] for at in range(0, len(places), most)]


def _hours_of(places: Sequence[DailyExtremes]) -> Floats:
    """(8760, lanes)."""
    hours = [hourly_c(one.low_c, one.high_c, one.latitude_deg) for one in places]
    return np.ascontiguousarray(np.concatenate(hours).T)


def _days_of(places: Sequence[DailyExtremes]) -> tuple[Floats, Floats, Floats]:
    """Lows and highs, (365, lanes) each, and the weights of each place."""
    lows, highs = (
        days_first(np.concatenate([getattr(one, name) for one in places]))
        for name in ("low_c", "high_c")
    )
    weights = [hourly_weights(one.latitude_deg) for one in places]
    return lows, highs, np.ascontiguousarray(weights)


def _pointer(array: Floats) -> ctypes.c_void_p:
    return ctypes.c_void_p(array.ctypes.data)


def _seconds(run: Callable[[], object]) -> float:
    start = time.perf_counter()
    run()
    return time.perf_counter() - start


def _compiler() -> str:
    told = subprocess.run(["gcc", "--version"], check=True, capture_output=True, text=True)
    return told.stdout.split("\n", 1)[0]


def _processor() -> str:
    about = Path("/proc/cpuinfo")
    lines = about.read_text().splitlines() if about.is_file() else []
    names = [line.partition(":")[2].strip() for line in lines if line.startswith("model name")]
    return names[0] if names else platform.machine()


def _in_plain_numpy(air_c: Floats) -> Floats:
    """Each model as a formula over the whole year; returns the season's portions."""
    air_k = air_c + 273.0
    limit = 139500 / 2.567e18 * np.exp((12888.8 - 4153.5) / air_k)
    kept = np.exp(-2.567e18 * np.exp(-12888.8 / air_k))
    share = 1 / (1 + np.exp(-1.6 * 277 * (air_k - 277) / air_k))
    x = np.zeros(air_c.shape[1])
    portions = np.zeros_like(air_c)
    for hour in range(air_c.shape[0]):
        x = limit[hour] - (limit[hour] - x) * kept[hour]
        portions[hour] = np.where(x >= 1, share[hour] * x, 0)
        x = x - portions[hour]
    edges = np.array([1.4, 2.4, 9.1, 12.4, 15.9, 18.0])
    utah = np.array([0, 0.5, 1, 0.5, 0, -0.5, -1])[np.searchsorted(edges, air_c)]
    rise = 10.5 * (1 + np.cos(np.pi + np.pi * (air_c - 4) / 21))
    stress = 21 * (1 + np.cos(np.pi / 2 + np.pi / 2 * (air_c - 25) / 11))
    asymcur = np.where(air_c <= 25, rise, stress) * ((air_c >= 4) & (air_c <= 36))
    linear = np.clip(air_c, 4.5, 25) - 4.5
    between, below = (air_c >= 0) & (air_c <= 7.2), air_c < 7.2
    by_day = [
        hourly.reshape(-1, 24, air_c.shape[1]).sum(axis=1)
        for hourly in (portions, utah, np.maximum(utah, 0), between, below, asymcur, linear)
    ]
    season: Floats = by_day[0].sum(axis=0)
    return season


def _in_python(air_c: Floats) -> list[float]:
    sums = [0.0] * 7
    for lane in air_c.T.tolist():
        x = 0.0
        for t in lane:
            k = t + 273.0
            limit = 139500 / 2.567e18 * math.exp((12888.8 - 4153.5) / k)
            x = limit - (limit - x) * math.exp(-2.567e18 * math.exp(-12888.8 / k))
            if x >= 1:
                banked = x / (1 + math.exp(-1.6 * 277 * (k - 277) / k))
                sums[0] += banked
                x -= banked
            classes = (1.4, 2.4, 9.1, 12.4, 15.9, 18.0)
            utah = (0, 0.5, 1, 0.5, 0, -0.5, -1)[sum(t > edge for edge in classes)]
            sums[1] += utah
            sums[2] += max(utah, 0)
            sums[3] += 0 <= t <= 7.2
            sums[4] += t < 7.2
            if 4 <= t <= 25:
                sums[5] += 10.5 * (1 + math.cos(math.pi + math.pi * (t - 4) / 21))
            elif 25 < t <= 36:
                sums[5] += 21 * (1 + math.cos(math.pi / 2 + math.pi / 2 * (t - 25) / 11))
            sums[6] += min(max(t, 4.5), 25) - 4.5
    return sums


if __name__ == "__main__":
    raise SystemExit(main())
