"""How far the modelled bud dates are from the observed ones, beside plainer ways of dating."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from orchardcal.climate.bud_model import heat_so_far
from orchardcal.climate.calibration import SeenHeat, heat_scale
from orchardcal.climate.stages import chill_met, heat_reached
from tests.hindcast_study.bud_days import bud_days, observed_ratios
from tests.hindcast_study.cases import Cases, Floats, Weather, others_mean, rmse
from tests.hindcast_study.korea import Kind
from tests.hindcast_study.parameters import MODELS, SEQUENTIAL_PORTIONS, SHARES, THERMAL_TIME
from tests.hindcast_study.search import least

NEW_YEAR = 184  # season day of 1 January
RUNNING_YEARS = 4  # either side: a running median over nine years


@dataclass(frozen=True)
class Dated:
    """Modelled days of the cases, in each way: shape (cases,) each."""

    one_set: Floats
    scaled: Floats
    scaled_from_all_others: Floats
    scaled_from_earlier: Floats


def dated(cases: Cases, weather: Weather, kind: Kind) -> Dated:
    """one_set: no observation of the station used. scaled: heat by the mean log ratio of the
    station's other years. scaled_from_all_others, scaled_from_earlier: heat by `heat_scale`."""
    model, share = MODELS[kind[0]], SHARES[kind]
    heat = heat_so_far(weather.daylight[cases.row], weather.portions[cases.row], model)
    shares = np.array([share])
    ratios = observed_ratios(heat, cases.day, model, share)
    mean_log = others_mean(np.log(np.clip(ratios, 1 / 3, 3.0)), cases.station)

    def days(scale: Floats | float) -> Floats:
        return bud_days(heat, model, shares, scale)[:, 0]

    return Dated(
        days(1.0),
        days(np.exp(mean_log)),
        days(scales(cases, ratios, earlier_only=False)),
        days(scales(cases, ratios, earlier_only=True)),
    )


def scales(cases: Cases, ratios: Floats, earlier_only: bool) -> Floats:
    """`heat_scale` of each case from the station's other, or only its earlier, years."""
    seen = [
        SeenHeat(int(year), float(ratio)) for year, ratio in zip(cases.year, ratios, strict=True)
    ]
    found = np.ones(len(cases))
    for at, year in enumerate(cases.year):
        beside = np.flatnonzero(cases.station == cases.station[at])
        used = [
            seen[one]
            for one in beside
            if cases.year[one] < year or (not earlier_only and cases.year[one] > year)
        ]
        found[at] = heat_scale(used, int(year))
    return found


def sequential(cases: Cases, weather: Weather, species: str, need: float) -> Floats:
    """Days by the sequential model: portions, then ASYMCUR heat."""
    met = chill_met(weather.portions[cases.row], SEQUENTIAL_PORTIONS[species])
    return heat_reached(weather.asymcur[cases.row], met, np.array([need]))[:, 0]


def thermal_time(cases: Cases, weather: Weather, kind: Kind, need: float) -> Floats:
    """Days by degree-days of the daily means from a fixed day."""
    start, base_c = THERMAL_TIME[kind]
    degrees = np.maximum(weather.mean_c[cases.row] - base_c, 0.0)
    from_day = np.full(len(cases), float(NEW_YEAR + start - 1))
    return heat_reached(degrees, from_day, np.array([need]))[:, 0]


def plain_needs(cases: Cases, weather: Weather, kind: Kind) -> tuple[float, float]:
    """The sequential model's and thermal time's best needs, on the stations to fit."""
    return (
        least(
            lambda need: rmse(cases.day - sequential(cases, weather, kind[0], need)),
            3500.0,
            800.0,
            5.0,
        )[0],
        least(
            lambda need: rmse(cases.day - thermal_time(cases, weather, kind, need)),
            250.0,
            60.0,
            0.5,
        )[0],
    )


def running_median(errors: Floats, cases: Cases) -> Floats:
    """The station's median error over the nine years around each case: the floor of any offset."""
    found = np.empty(len(cases))
    for at in range(len(cases)):
        near = (cases.station == cases.station[at]) & (
            np.abs(cases.year - cases.year[at]) <= RUNNING_YEARS
        )
        found[at] = np.median(errors[near])
    return found


def errors_of(
    fit: Cases, fit_weather: Weather, cases: Cases, weather: Weather, kind: Kind
) -> dict[str, Floats]:
    """Observed minus modelled days of the cases, by way of dating."""
    found = dated(cases, weather, kind)
    sequential_need, degree_days = plain_needs(fit, fit_weather, kind)
    one_set = cases.day - found.one_set
    plain = cases.day - sequential(cases, weather, kind[0], sequential_need)
    thermal = cases.day - thermal_time(cases, weather, kind, degree_days)
    return {
        "one set": one_set,
        "scaled to the station": cases.day - found.scaled,
        "scaled, recent years first, all others": cases.day - found.scaled_from_all_others,
        "scaled, recent years first, earlier only": cases.day - found.scaled_from_earlier,
        "floor: nine-year running median": one_set - running_median(one_set, cases),
        "baseline: the station's mean date": cases.day - others_mean(cases.day, cases.station),
        "baseline: sequential, one heat": plain,
        "baseline: sequential, scaled": plain - others_mean(plain, cases.station),
        "baseline: thermal time, one sum": thermal,
        "baseline: thermal time, scaled": thermal - others_mean(thermal, cases.station),
    }
