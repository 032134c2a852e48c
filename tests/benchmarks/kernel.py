"""Prints how fast the climate kernel is beside plain Python, straightforward numpy and C.

    python tests/benchmarks/kernel.py        (needs gcc; about a minute)

Every variant computes the same from hourly temperatures: Dynamic Model portions, Utah and positive
Utah units, both chill hours, both heat forms, summed by day. Ratios hold within one run; a run is
the best of several, since other work shares the machine.
"""

from __future__ import annotations

import ctypes
import math
import shutil
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from orchardcal.climate.daily_totals import DailyTotals, daily_totals, daily_totals_of_hours
from orchardcal.climate.hourly import hourly_c

Floats = NDArray[np.float64]

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
"""


def main() -> int:
    if shutil.which("gcc") is None:
        print("gcc is needed for the C loop and was not found", file=sys.stderr)
        return 1
    rows: list[tuple[str, list[float]]] = []
    with tempfile.TemporaryDirectory() as folder:
        in_c = _compiled(Path(folder))
        for lanes in (30, 1500):
            _fill(rows, lanes, in_c)
    print(f"{'ns per hour-value (ratio to C)':<44}{'30 lanes':>18}{'1500 lanes':>18}")
    c_loop = dict(rows)["C loop, gcc -O3 -march=native -ffast-math"]
    for name, measured in rows:
        cells = [f"{ns:.1f} (x{ns / c:.1f})" for ns, c in zip(measured, c_loop, strict=True)]
        print(f"{name:<44}" + "".join(f"{cell:>18}" for cell in cells))
    return 0


def _fill(
    rows: list[tuple[str, list[float]]], lanes: int, in_c: Callable[[Floats], Floats]
) -> None:
    low_c, high_c = _invented_days(lanes)
    air_c = hourly_c(low_c, high_c, 45.0)
    time_first = np.ascontiguousarray(air_c.T)
    month = np.ascontiguousarray(time_first[: 30 * 24, :30])
    variants: list[tuple[str, Callable[[], object], int, int]] = [
        ("plain Python loop (30 lanes, 30 days)", lambda: _in_python(month), month.size, 1),
        ("numpy, whole-year temporaries", lambda: _in_plain_numpy(time_first), air_c.size, 2),
        ("our kernel, hours given", lambda: daily_totals_of_hours(air_c, 0), air_c.size, 5),
        (
            "our kernel, hours rebuilt from lows and highs",
            lambda: daily_totals(low_c, high_c, 45.0, chill_start=0),
            air_c.size,
            5,
        ),
        ("C loop, gcc -O3 -march=native -ffast-math", lambda: in_c(time_first), air_c.size, 5),
    ]
    _must_agree(daily_totals_of_hours(air_c, 0), in_c(time_first), _in_plain_numpy(time_first))
    for position, (name, run, values, repeats) in enumerate(variants):
        nanoseconds = min(_seconds(run) for _ in range(repeats)) / values * 1e9
        if len(rows) <= position:
            rows.append((name, []))
        rows[position][1].append(nanoseconds)


def _must_agree(ours: DailyTotals, c_totals: Floats, numpy_portions: Floats) -> None:
    """A fast wrong answer is no answer: season sums, within a portion's flip and single floats."""
    names = ("portions", "utah", "positive_utah", "hours_0_72", "hours_below_72")
    for name, theirs in zip((*names, "gdh_asymcur", "gdh_linear"), c_totals, strict=True):
        mine = getattr(ours, name).sum(axis=1)
        np.testing.assert_allclose(mine, theirs.sum(axis=0), atol=1.0, rtol=1e-6, err_msg=name)
    np.testing.assert_allclose(ours.portions.sum(axis=1), numpy_portions, atol=1.0)


def _invented_days(lanes: int) -> tuple[Floats, Floats]:
    """Seasons of a temperate kind of place, with weather that lasts some days."""
    noise = np.random.default_rng(11).normal(0, 2, (lanes, 365 + 6))
    weather_c = np.stack([noise[:, lag : lag + 365] for lag in range(6)]).sum(axis=0)
    low_c = 6 - 10 * np.cos(2 * np.pi * (np.arange(365) - 201) / 365) + weather_c
    return low_c, low_c + 4 + 2 * np.abs(noise[:, :365])


def _seconds(run: Callable[[], object]) -> float:
    start = time.perf_counter()
    run()
    return time.perf_counter() - start


def _compiled(folder: Path) -> Callable[[Floats], Floats]:
    source, library = folder / "kernel.c", folder / "kernel.so"
    source.write_text(C_SOURCE, encoding="ascii")
    flags = ["-O3", "-march=native", "-ffast-math", "-shared", "-fPIC"]
    subprocess.run(["gcc", *flags, str(source), "-o", str(library), "-lm"], check=True)
    totals = ctypes.CDLL(str(library)).totals

    def run(air_c: Floats) -> Floats:
        days, lanes = air_c.shape[0] // 24, air_c.shape[1]
        x, out = np.zeros(lanes), np.zeros((7, days, lanes))
        pointers = [ctypes.c_void_p(array.ctypes.data) for array in (air_c, x, out)]
        totals(ctypes.c_long(days), ctypes.c_long(lanes), *pointers)
        return out

    return run


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
