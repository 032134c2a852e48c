"""The last day for dormant oil: planned in autumn, re-planned every fortnight, and plain ways.

Safe: the planned last day came before the observed bud burst. Given away: days between them.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from orchardcal.climate.bud_model import BudModel, heat_so_far
from orchardcal.climate.odds import day_at_share, wilson
from tests.hindcast_study.bud_days import bud_days, observed_ratios
from tests.hindcast_study.cases import Cases, Floats, Weather
from tests.hindcast_study.dates import scales
from tests.hindcast_study.korea import Kind
from tests.hindcast_study.parameters import MODELS, SHARES

FEBRUARY_FIRST = 215  # season day
FORTNIGHT = 14
LAST_REPLAN = 313  # 10 May
MARCH_TENTH = 252


@dataclass(frozen=True)
class Planning:
    """risk: share of seasons in which buds may come first; error_days: the model's error, 1 sd."""

    risk: float
    error_days: float


@dataclass(frozen=True)
class Judged:
    """Counts of one way of planning over station-years."""

    safe: int
    count: int
    given_away: float

    @property
    def interval(self) -> tuple[float, float]:
        return wilson(self.safe, self.count, 1.96)


def judged(planned: Floats, cases: Cases) -> Judged:
    """How often the planned day was safe, and the median days between it and bud burst."""
    return Judged(
        int((planned < cases.day).sum()), len(cases), float(np.median(cases.day - planned))
    )


def scale_of(cases: Cases, weather: Weather, kind: Kind, earlier_only: bool) -> Floats:
    """Each case's heat scale from its station's other years."""
    model, share = MODELS[kind[0]], SHARES[kind]
    heat = heat_so_far(weather.daylight[cases.row], weather.portions[cases.row], model)
    return scales(cases, observed_ratios(heat, cases.day, model, share), earlier_only)


def other_seasons(weather: Weather, case_station: int, case_year: int) -> np.ndarray:
    """Weather rows of the station's seasons other than the case's own."""
    return np.flatnonzero((weather.station == case_station) & (weather.year != case_year))


def planned_in_autumn(
    cases: Cases, weather: Weather, kind: Kind, scale: Floats, planning: Planning
) -> Floats:
    """The last day planned from the other seasons' weather, for each case."""
    model, shares = MODELS[kind[0]], np.array([SHARES[kind]])
    heat = heat_so_far(weather.daylight, weather.portions, model)
    planned = np.empty(len(cases))
    for at in range(len(cases)):
        rows = other_seasons(weather, cases.station[at], cases.year[at])
        days = bud_days(heat[rows], model, shares, scale[at])[:, 0]
        planned[at] = np.floor(day_at_share(days, planning.risk, planning.error_days))
    return planned


def replanned(
    cases: Cases, weather: Weather, kind: Kind, scale: Floats, planning: Planning
) -> Floats:
    """The last day in force, for each case: re-planned each fortnight from 1 February.

    A day that comes before the next re-planning stands, but cannot lie before the day it was
    planned on. Members: this season's days so far, then another season's, the station's own;
    the days' chill is spliced as daily sums.
    """
    model, shares = MODELS[kind[0]], np.array([SHARES[kind]])
    planned = np.empty(len(cases))
    for at in range(len(cases)):
        rows = other_seasons(weather, cases.station[at], cases.year[at])
        day = float(FEBRUARY_FIRST)
        for today in range(FEBRUARY_FIRST, LAST_REPLAN, FORTNIGHT):
            days = _days_as_of(weather, int(cases.row[at]), rows, today, model, shares, scale[at])
            wanted = np.floor(day_at_share(days, planning.risk, planning.error_days))
            day = max(float(wanted), float(today))
            if wanted < today + FORTNIGHT:
                break
        planned[at] = day
    return planned


def _days_as_of(
    weather: Weather,
    own: int,
    rows: np.ndarray,
    today: int,
    model: BudModel,
    shares: Floats,
    scale: float,
) -> Floats:
    daylight, portions = weather.daylight[rows].copy(), weather.portions[rows].copy()
    daylight[:, :today] = weather.daylight[own, :today]
    portions[:, :today] = weather.portions[own, :today]
    return bud_days(heat_so_far(daylight, portions, model), model, shares, scale)[:, 0]


def fixed_date(cases: Cases, day: int) -> Floats:
    return np.full(len(cases), float(day))


def own_early_date(cases: Cases, share: float = 0.05) -> Floats:
    """The date before which that share of the station's other observed bud bursts fell."""
    planned = np.empty(len(cases))
    for at in range(len(cases)):
        others = (cases.station == cases.station[at]) & (cases.year != cases.year[at])
        planned[at] = np.floor(np.quantile(cases.day[others], share))
    return planned


def inside_band(
    cases: Cases, weather: Weather, kind: Kind, scale: Floats, error_days: float
) -> tuple[int, int]:
    """Observed days inside the P10-P90 band planned in autumn, and all: counts."""
    early = planned_in_autumn(cases, weather, kind, scale, Planning(0.1, error_days))
    late = planned_in_autumn(cases, weather, kind, scale, Planning(0.9, error_days))
    return int(((cases.day >= early) & (cases.day <= late)).sum()), len(cases)
