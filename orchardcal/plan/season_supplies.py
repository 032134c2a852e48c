"""What the visits of a season use up, and the tools that its busiest day takes."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

PAINT_OF_MIX = 0.5  # the rest is water, trade default


@dataclass(frozen=True)
class Tools:
    """How many of each."""

    pruners: int = 0
    loppers: int = 0
    saws: int = 0
    brushes: int = 0

    def most(self, other: Tools) -> Tools:
        """Enough for the one and, at another time, for the other."""
        return Tools(
            max(self.pruners, other.pruners),
            max(self.loppers, other.loppers),
            max(self.saws, other.saws),
            max(self.brushes, other.brushes),
        )

    def beside(self, other: Tools) -> Tools:
        """Enough for both at the same time."""
        return Tools(
            self.pruners + other.pruners,
            self.loppers + other.loppers,
            self.saws + other.saws,
            self.brushes + other.brushes,
        )


@dataclass(frozen=True)
class VisitSupplies:
    """What one visit uses up and the tools it takes.

    crew: the key of the crew, "" where people of the site do the work. paint_mix_l: paint and
    water. spray_l: the mixed spray; how much oil is in it is what the label says. alcohol_l: of
    70 % alcohol.
    """

    site: str
    day: date
    crew: str
    paint_mix_l: float = 0.0
    spray_l: float = 0.0
    alcohol_l: float = 0.0
    tools: Tools = Tools()

    @property
    def takes_any(self) -> bool:
        used_l = self.paint_mix_l + self.spray_l + self.alcohol_l
        return used_l > 0 or self.tools != Tools()


@dataclass(frozen=True)
class Supplies:
    """The same for a season: the sums, and the tools of the day on which most of each are used."""

    paint_mix_l: float = 0.0
    spray_l: float = 0.0
    alcohol_l: float = 0.0
    tools: Tools = Tools()

    @property
    def paint_l(self) -> float:
        """Paint in the mix, before water."""
        return PAINT_OF_MIX * self.paint_mix_l


def supplies_of(visits: Iterable[VisitSupplies]) -> Supplies:
    """The supplies of a season's visits, at one site or at several.

    A crew takes its tools along from site to site; sites that people come to by themselves on the
    same day each need their own.
    """
    visits = list(visits)
    taken: dict[tuple[date, str, str], Tools] = {}
    for visit in visits:
        who = (visit.day, visit.crew, "" if visit.crew else visit.site)
        taken[who] = taken.get(who, Tools()).most(visit.tools)
    by_day: dict[date, Tools] = {}
    for (day, _, _), tools in taken.items():
        by_day[day] = by_day.get(day, Tools()).beside(tools)
    busiest = Tools()
    for tools in by_day.values():
        busiest = busiest.most(tools)
    return Supplies(
        paint_mix_l=sum(visit.paint_mix_l for visit in visits),
        spray_l=sum(visit.spray_l for visit in visits),
        alcohol_l=sum(visit.alcohol_l for visit in visits),
        tools=busiest,
    )
