"""How much worse thin data date things: grades C and D beside grade A of the same stations."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from orchardcal.climate.bud_model import daylight_heat, heat_so_far
from orchardcal.climate.daily_totals import daily_totals
from orchardcal.climate.ensemble import Ensemble
from orchardcal.climate.frost import freeze_odds, freeze_odds_of
from orchardcal.climate.grades import ensemble_from_freeze_dates, ensemble_from_normals
from orchardcal.climate.impossible import ClimateRefused
from orchardcal.climate.normals import normals_of_seasons
from orchardcal.climate.solver import FourNumbers
from orchardcal.season import Season
from tests.hindcast_study.bud_days import bud_days
from tests.hindcast_study.cases import Floats
from tests.hindcast_study.korea import LATITUDE_DEG, Station
from tests.hindcast_study.parameters import MODELS, SHARES

STATIONS = 20
LEAST_YEARS = 30
CHILL_DAYS = slice(92, 304)  # 1 October to 30 April
RISKS = (0.1, 0.5, 0.9)


@dataclass(frozen=True)
class Figures:
    """Freeze dates at three risks, mean chill, and the middle dates of peach buds."""

    last: Floats
    first: Floats
    chill: float
    bud_burst: float
    first_bloom: float


def thin_data_errors(stations: Sequence[Station]) -> list[dict[str, object]]:
    """Per way of giving a climate and figure: error against the whole record, and its stated ±."""
    chosen = [one for one in stations if len(one.years) >= LEAST_YEARS][:STATIONS]
    errors: dict[str, list[Figures]] = {}
    stated: dict[str, float] = {}
    refused: dict[str, int] = {}
    for one in chosen:
        whole = Ensemble(LATITUDE_DEG, "A", one.low_c, one.high_c, None, one.years)
        truth = _figures(whole)
        for name, build in _ways(one, truth).items():
            try:
                ensemble = build()
            except ClimateRefused:
                refused[name] = refused.get(name, 0) + 1
                continue
            stated[name] = ensemble.bud_error_days
            errors.setdefault(name, []).append(_minus(_figures(ensemble), truth))
    return [
        {
            "given": name,
            "stations": len(found),
            "refused": refused.get(name, 0),
            "stated_bud_error_days": stated[name],
            **_summary(found),
        }
        for name, found in errors.items()
    ]


def _ways(one: Station, truth: Figures):  # type: ignore[no-untyped-def]
    normals = normals_of_seasons(one.low_c, one.high_c, None, southern=False)
    lows, highs = normals.low_c.round(1).tolist(), normals.high_c.round(1).tolist()
    odds = freeze_odds(one.low_c)
    last, first = _month_day(odds.mean_last or 0.0), _month_day(odds.mean_first or 0.0)
    chill = float(round(truth.chill))
    means = normals.low_c + normals.high_c
    coldest, hottest = int(means.argmin()), int(means.argmax())
    four: FourNumbers = (lows[coldest], highs[coldest], lows[hottest], highs[hottest])
    return {
        "C: monthly normals": lambda: ensemble_from_normals(LATITUDE_DEG, lows, highs),
        "D: freeze dates and chill": lambda: ensemble_from_freeze_dates(
            LATITUDE_DEG, last, first, chill
        ),
        "D: and the four numbers": lambda: ensemble_from_freeze_dates(
            LATITUDE_DEG, last, first, chill, four
        ),
    }


def _month_day(season_day: float) -> tuple[int, int]:
    day = Season(2027, southern=False).day(round(season_day))
    return day.month, day.day


def _figures(ensemble: Ensemble) -> Figures:
    odds = freeze_odds_of(ensemble)
    totals = daily_totals(ensemble.low_c, ensemble.high_c, ensemble.latitude_deg)
    heat = daylight_heat(ensemble.low_c, ensemble.high_c, ensemble.latitude_deg)
    model = MODELS["peach"]
    shares = np.array([SHARES["peach", "bud burst"], SHARES["peach", "first bloom"]])
    days = bud_days(heat_so_far(heat, totals.portions, model), model, shares)
    middle = np.quantile(days, 0.5, axis=0, method="nearest")
    return Figures(
        np.array([np.nan if odds.last[risk] is None else odds.last[risk] for risk in RISKS]),
        np.array([np.nan if odds.first[risk] is None else odds.first[risk] for risk in RISKS]),
        float(totals.portions[:, CHILL_DAYS].sum(axis=1).mean()),
        float(middle[0]),
        float(middle[1]),
    )


def _minus(one: Figures, other: Figures) -> Figures:
    return Figures(
        one.last - other.last,
        one.first - other.first,
        one.chill - other.chill,
        one.bud_burst - other.bud_burst,
        one.first_bloom - other.first_bloom,
    )


def _summary(found: list[Figures]) -> dict[str, float]:
    """Root mean squares over the stations."""
    summary = {}
    for at, risk in enumerate(RISKS):
        summary[f"last_freeze_{risk:.0%}_days"] = _rms([one.last[at] for one in found])
        summary[f"first_freeze_{risk:.0%}_days"] = _rms([one.first[at] for one in found])
    summary["chill_portions"] = _rms([one.chill for one in found])
    summary["bud_burst_days"] = _rms([one.bud_burst for one in found])
    summary["first_bloom_days"] = _rms([one.first_bloom for one in found])
    summary["bud_burst_bias_days"] = float(np.mean([one.bud_burst for one in found]))
    summary["worst_bud_burst_days"] = float(np.max(np.abs([one.bud_burst for one in found])))
    return summary


def _rms(values: list[float]) -> float:
    known = [value for value in values if np.isfinite(value)]
    return float(np.sqrt(np.mean(np.square(known)))) if known else float("nan")
