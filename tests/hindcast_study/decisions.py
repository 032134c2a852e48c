"""The last day for dormant oil: planned in autumn, re-planned every fortnight, and plain ways.

Safe: the planned last day came before the observed bud burst. Given away: days between them.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from orchardcal.climate.bud_model import BudModel, heat_so_far
from orchardcal.climate.odds import NORMAL, day_at_share, wilson
from tests.hindcast_study.bud_days import bud_days, observed_ratios
from tests.hindcast_study.cases import Cases, Floats, Weather
from tests.hindcast_study.dates import scales
from tests.hindcast_study.korea import Kind
from tests.hindcast_study.parameters import MODELS, SHARES

FEBRUARY_FIRST = 215  # season day
FORTNIGHT = 14
REPLANS = range(FEBRUARY_FIRST, 313, FORTNIGHT)  # to 10 May
MARCH_TENTH = 252
HEAT_STEPS = 39


@dataclass(frozen=True)
class Planning:
    """risk: share of seasons in which buds may come first; error_days: the model's error, 1 sd.

    heat_error: the error of the heat needed instead, one standard deviation of its logarithm; the
    days it makes follow each season's weather.
    """

    risk: float
    error_days: float
    heat_error: float = 0.0

    @property
    def heat_factors(self) -> Floats:
        """Equally likely factors on the heat needed; 1 alone without `heat_error`."""
        if self.heat_error == 0:
            return np.ones(1)
        steps = [NORMAL.inv_cdf((at + 0.5) / HEAT_STEPS) for at in range(HEAT_STEPS)]
        return np.asarray(np.exp(self.heat_error * np.array(steps)))


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
    planned = np.empty(len(cases))
    for at in range(len(cases)):
        for today, wanted in _wanted(cases, weather, kind, scale, planning, at):
            planned[at] = max(wanted, today)
            if wanted < today + FORTNIGHT:
                break
    return planned


@dataclass(frozen=True)
class LookedAt:
    """last_open: the last season day open to spraying, in each case. closed: how many days from
    1 February to the day before bud burst were not open."""

    last_open: Floats
    closed: Floats


def looked_at(
    cases: Cases, weather: Weather, kind: Kind, scale: Floats, planning: Planning | None
) -> LookedAt:
    """As `replanned`, with a look at the buds on each day of re-planning.

    Buds seen closed open the window again, from that day to the planned one or, if that is past,
    for the day itself; buds seen moving end it. Without a planning only the days of looking are
    open: a way that needs no weather.
    """
    last_open, opened = np.full(len(cases), FEBRUARY_FIRST - 1.0), np.zeros(len(cases))
    for at, burst in enumerate(cases.day):
        if planning is None:
            plans: Iterator[tuple[int, float]] = ((today, 0.0) for today in REPLANS)
        else:
            plans = _wanted(cases, weather, kind, scale, planning, at)
        for today, wanted in plans:
            if burst <= today or last_open[at] >= burst:
                break
            last_open[at] = min(max(wanted, today), today + FORTNIGHT - 1)
            opened[at] += min(last_open[at], burst - 1) - today + 1
    return LookedAt(last_open, cases.day - FEBRUARY_FIRST - opened)


def _wanted(
    cases: Cases, weather: Weather, kind: Kind, scale: Floats, planning: Planning, at: int
) -> Iterator[tuple[int, float]]:
    """Each day of re-planning of one case, and the last day planned on it."""
    model, shares = MODELS[kind[0]], SHARES[kind] * planning.heat_factors
    rows = other_seasons(weather, cases.station[at], cases.year[at])
    for today in REPLANS:
        days = _days_as_of(weather, int(cases.row[at]), rows, today, model, shares, scale[at])
        yield today, float(np.floor(day_at_share(days, planning.risk, planning.error_days)))


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
    return bud_days(heat_so_far(daylight, portions, model), model, shares, scale).ravel()


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
