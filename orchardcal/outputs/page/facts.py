"""What a site's page shows beside its plan: trees, closures, chill of past seasons, freezes."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

import numpy as np
from numpy.typing import NDArray

from orchardcal.season import Season, Span
from orchardcal.sentence import Sentence
from orchardcal.windows.climate_facts import FreezeOdds, Quantiles

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Tree:
    """One planting as people know it. counted: "4 apples"; age: year in the ground, if known."""

    id: str
    counted: Sentence
    cultivar: str
    age: int | None
    form: str
    near_power_line: bool


@dataclass(frozen=True)
class Closed:
    """A stretch of days without visits and what it is called."""

    span: Span
    name: str


@dataclass(frozen=True)
class Chill:
    """Running chill portions by season day.

    past: shape (seasons, 365), whole seasons, observed or modelled. so_far: this season's own,
    shape (days known,), empty if none is. ahead: shape (3, 365), what 1, 5 and 9 seasons in 10
    stay below, given the days known. needs: what each species usually asks for, where counted in
    portions. met: season days by which it is met in 1, 5 and 9 seasons of 10.
    """

    season: Season
    past: Floats
    observed: bool
    so_far: Floats
    ahead: Floats
    needs: tuple[tuple[str, float], ...]
    met: tuple[Quantiles, ...]


@dataclass(frozen=True)
class SiteFacts:
    """The facts of one site. closed, pupil_days: over the seasons planned."""

    season: Season
    trees: tuple[Tree, ...]
    closed: tuple[Closed, ...]
    pupil_days: frozenset[date]
    volunteers: bool
    chill: Chill
    freezes: tuple[FreezeOdds, ...]

    def closed_name(self, day: date) -> str:
        """What keeps the site closed on a day, "" if nothing does."""
        return next((closed.name for closed in self.closed if day in closed.span), "")
