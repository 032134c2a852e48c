"""Shares of the heat to full bloom at bud burst and first bloom, stations of odd position."""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial

import numpy as np

from orchardcal.climate.bud_model import SOLSTICE, heat_so_far
from orchardcal.climate.stages import chill_met, heat_reached
from tests.hindcast_study.bud_days import days_before_bloom
from tests.hindcast_study.cases import Floats, Weather, cases_of, others_mean, rmse
from tests.hindcast_study.korea import SPECIES, Station
from tests.hindcast_study.parameters import MODELS, SEQUENTIAL_PORTIONS
from tests.hindcast_study.search import least

LEAST_YEARS = 5
FULL_BLOOM_GDH = {"peach": 5034.0, "pear": 5484.0, "cherry": 4100.0}  # medians found below


def heat_shares(stations: Sequence[Station], weather: Weather) -> list[dict[str, object]]:
    """Per species and kind of heat: median share, its spread over seasons, and its error.

    Only station-years with bud burst before first bloom before full bloom. error: standard error
    of the mean of station medians, from stations with at least 5 such years.
    """
    rows: list[dict[str, object]] = []
    for species in SPECIES.values():
        model = MODELS[species]
        met = chill_met(weather.portions, SEQUENTIAL_PORTIONS[species])
        counts = np.arange(weather.asymcur.shape[1]) >= np.maximum(met, SOLSTICE)[:, None]
        kinds = {
            "daylight heat": heat_so_far(weather.daylight, weather.portions, model),
            "ASYMCUR from chill met": np.cumsum(np.where(counts, weather.asymcur, 0.0), axis=1),
        }
        cases, station = _complete(stations, weather, species)
        at = np.arange(len(cases))
        for name, heat in kinds.items():
            by_stage = [heat[cases[:, 0], cases[:, column]] for column in (1, 2, 3)]
            usable = by_stage[2] > 0
            for stage, amount in (("bud burst", by_stage[0]), ("first bloom", by_stage[1])):
                share = amount[usable] / by_stage[2][usable]
                rows.append(
                    {
                        "species": species,
                        "heat": name,
                        "stage": stage,
                        "station_years": len(at[usable]),
                        "share": float(np.median(share)),
                        "p10": float(np.quantile(share, 0.1)),
                        "p90": float(np.quantile(share, 0.9)),
                        "error": _error(share, station[usable]),
                        "heat_to_full_bloom": float(np.median(by_stage[2][usable])),
                    }
                )
    return rows


def _complete(
    stations: Sequence[Station], weather: Weather, species: str
) -> tuple[np.ndarray, np.ndarray]:
    """Weather row and the three season days of each complete case, and its station."""
    row_of = {
        (int(s), int(y)): at
        for at, (s, y) in enumerate(zip(weather.station, weather.year, strict=True))
    }
    cases, station = [], []
    for one in stations:
        seen = [
            one.seen.get((species, stage), {})
            for stage in ("bud burst", "first bloom", "full bloom")
        ]
        for year in sorted(set(seen[0]) & set(seen[1]) & set(seen[2])):
            days = [dates[year] for dates in seen]
            if days[0] < days[1] < days[2]:
                cases.append((row_of[one.position, year], *days))
                station.append(one.position)
    return np.array(cases), np.array(station)


def _error(share: Floats, station: np.ndarray) -> float:
    medians = [
        np.median(share[station == one])
        for one in np.unique(station)
        if (station == one).sum() >= LEAST_YEARS
    ]
    return float(np.std(medians, ddof=1) / np.sqrt(len(medians)))


def bud_burst_from_bloom(stations: Sequence[Station], weather: Weather) -> list[dict[str, object]]:
    """Errors of bud burst as a share of heat to a full bloom dated by chill and ASYMCUR heat.

    The share with the least error, of ASYMCUR heat itself and of daylight heat over the same days.
    """
    rows: list[dict[str, object]] = []
    for species, need in FULL_BLOOM_GDH.items():
        cases = cases_of(stations, weather, (species, "bud burst"))
        met = chill_met(weather.portions[cases.row], SEQUENTIAL_PORTIONS[species])
        begin = np.maximum(met, float(SOLSTICE))
        gdh, daylight = weather.asymcur[cases.row], weather.daylight[cases.row]
        bloom = heat_reached(gdh, begin, np.array([need]))[:, 0]
        for name, daily in (("ASYMCUR", gdh), ("daylight heat", daylight)):
            known = (cases.day, daily, begin, bloom)
            share, error = least(partial(_rmse_at, *known), 0.45, 0.08, 0.004)
            off = _errors(*known, share)
            scaled = rmse(off - others_mean(off, cases.station))
            rows.append(
                {"species": species, "heat": name, "share": share, "rmse": error, "scaled": scaled}
            )
    return rows


def _errors(day: Floats, daily: Floats, begin: Floats, bloom: Floats, share: float) -> Floats:
    return day - days_before_bloom(daily, begin, bloom, np.array([share]))[:, 0]


def _rmse_at(day: Floats, daily: Floats, begin: Floats, bloom: Floats, share: float) -> float:
    return rmse(_errors(day, daily, begin, bloom, share))
