"""Chill, hours and day lengths by xclim: writes answers.json beside it, or with --check compares.

    pip install xclim==0.62.0
    python tests/computed_elsewhere/xclim_0.62.0/make.py [--check]

xclim takes 0 °C as 273.15 K. Where an answer's name ends in _273 it was handed air 0.15 °C colder,
so that its kelvins are those of 273 K. Its Dynamic Model leaves the first hour out, so every
series but the first, which is the example of its own tests, has a dummy hour before it.
"""

from __future__ import annotations

import csv
import gzip
import json
import math
import sys
import warnings
from pathlib import Path

import numpy as np

with warnings.catch_warnings():
    warnings.simplefilter("ignore")  # it would like a plotting library
    import xarray
    import xclim
    from xclim import indices
    from xclim.indices.helpers import day_lengths, make_hourly_temperature

HERE = Path(__file__).parent
ANSWERS = HERE / "answers.json"
SERIES = HERE.parent / "chillr_0.77" / "fourteen_days_c.csv"
HOURS = HERE.parent.parent / "real" / "hours"
KELVIN_STEP = 0.15
LATITUDES_DEG = (-60.0, -45.0, -30.0, 0.0, 30.0, 45.0, 60.0)


def answers() -> dict[str, object]:
    warming = np.linspace(0.0, 15.0, 2880)
    classes = np.repeat([1.1, 2.0, 5.6, 16.0, 20.0], [10, 15, 20, 10, 5])
    fourteen_days = np.loadtxt(SERIES, delimiter=",", comments="#", encoding="utf-8").ravel()
    with gzip.open(HOURS / "greensboro.csv.gz", "rt", encoding="utf-8") as lines:
        greensboro = np.array([float(row["air_c"]) for row in csv.DictReader(lines)])
    return {
        "xclim": xclim.__version__,
        "portions_of_2880_h_warming_from_0_to_15": xclim_portions(warming),
        "portions_of_2880_h_warming_from_0_to_15_273": portions(warming - KELVIN_STEP),
        "utah_of_five_classes": utah(classes),
        "positive_utah_of_five_classes": utah(classes, positive_only=True),
        "portions_of_1000_h_at_273": {
            str(air_c): portions(np.full(1000, air_c - KELVIN_STEP)) for air_c in range(-2, 17)
        },
        "portions_of_fourteen_days": portions(fourteen_days),
        "portions_of_fourteen_days_273": portions(fourteen_days - KELVIN_STEP),
        "utah_of_fourteen_days": utah(fourteen_days),
        "portions_of_greensboro_273": portions(greensboro - KELVIN_STEP),
        "utah_of_greensboro": utah(greensboro),
        "day_length_h_on_1993_06_21": dict(
            zip(map(str, LATITUDES_DEG), june_day_lengths(), strict=True)
        ),
        "hours_c_between_0_and_20_at_the_equator": equator_hours(),
    }


def portions(air_c: np.ndarray) -> float:
    return xclim_portions(np.insert(air_c, 0, 0.0))


def xclim_portions(air_c: np.ndarray) -> float:
    return float(indices.chill_portions(hourly(air_c), freq="YS").item())


def utah(air_c: np.ndarray, positive_only: bool = False) -> float:
    return float(indices.chill_units(hourly(air_c), positive_only=positive_only, freq="YS").item())


def hourly(air_c: np.ndarray) -> xarray.DataArray:
    times = np.arange(len(air_c)) * np.timedelta64(1, "h") + np.datetime64("2001-01-01T00", "ns")
    return xarray.DataArray(air_c, {"time": times}, ["time"], attrs={"units": "degC"})


def june_day_lengths() -> list[float]:
    day = xarray.DataArray(np.array(["1993-06-21"], dtype="datetime64[ns]"), dims="time")
    day = day.assign_coords(time=day)
    latitude = xarray.DataArray(
        list(LATITUDES_DEG), {"lat": list(LATITUDES_DEG)}, ["lat"], attrs={"units": "degrees_north"}
    )
    return [float(hours) for hours in day_lengths(day, latitude).values.ravel()]


def equator_hours() -> list[float]:
    """A middle day of five alike, hour 0 being its sunrise."""
    times = np.arange(5) * np.timedelta64(1, "D") + np.datetime64("2001-01-01", "ns")
    place = {"lat": ((), 0.0, {"units": "degrees_north", "standard_name": "latitude"})}
    low, high = (
        xarray.DataArray(
            np.full(5, air_c),
            {"time": times, **place},
            ["time"],
            name=name,
            attrs={"units": "degC"},
        )
        for name, air_c in (("tasmin", 0.0), ("tasmax", 20.0))
    )
    return [float(air_c) for air_c in make_hourly_temperature(low, high).values[48:72]]


def differences(recorded: object, computed: object, name: str = "") -> list[str]:
    if isinstance(recorded, dict) and isinstance(computed, dict):
        keys = sorted({*recorded, *computed})
        pairs = [(recorded.get(key), computed.get(key), f"{name}/{key}") for key in keys]
        return [line for pair in pairs for line in differences(*pair)]
    if isinstance(recorded, list) and isinstance(computed, list):
        both = enumerate(zip(recorded, computed, strict=True))
        return [line for i, pair in both for line in differences(*pair, name=f"{name}/{i}")]
    if isinstance(recorded, float) and isinstance(computed, float):
        close = math.isclose(recorded, computed, rel_tol=1e-9, abs_tol=1e-9)
        return [] if close else [f"{name}: recorded {recorded}, now {computed}"]
    return [] if recorded == computed else [f"{name}: recorded {recorded}, now {computed}"]


def main() -> int:
    computed = answers()
    if "--check" not in sys.argv:
        ANSWERS.write_text(json.dumps(computed, indent=1) + "\n", encoding="ascii")
        return 0
    changed = differences(json.loads(ANSWERS.read_text(encoding="ascii")), computed)
    print("\n".join(changed) or "answers.json: as recorded")
    return 1 if changed else 0


if __name__ == "__main__":
    raise SystemExit(main())
