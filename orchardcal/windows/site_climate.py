"""A site's climate as the rules ask for it: chill and heat, freezes, leaf fall, climate classes."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterable, Mapping
from functools import cached_property
from typing import Any, TypeVar

from orchardcal.climate.daily_totals import DailyTotals, totals_of_places
from orchardcal.climate.dormancy import Winter, coldest_fortnight, leaf_fall, winter_class
from orchardcal.climate.ensemble import Ensemble, Floats
from orchardcal.climate.frost import first_freeze, last_freeze
from orchardcal.climate.hours_side_by_side import DailyExtremes
from orchardcal.climate.rain import first_season_day_of, first_wet_month, has_dry_summer
from orchardcal.season import Season, is_southern
from orchardcal.sentence import Sentence, say
from orchardcal.windows.measured_hours import with_measured_hours

T = TypeVar("T")
COLUMNS = {
    "asymcur": "gdh_asymcur",
    "linear": "gdh_linear",
}  # heat models; chill as they are called


class SiteClimate:
    """Facts of one ensemble, each worked out when first asked for and kept.

    usual: the same climate without this season's own days: what kind of winter and summer the
        place has does not change with one warm January.
    given_wet_month: 1-12 where the coordinator knows it and rain is not in the data.
    hours: measured hours by harvest year, for the members of these years.
    season: any season without a leap day, to turn season days into months.
    """

    def __init__(
        self,
        ensemble: Ensemble,
        given_wet_month: int | None = None,
        hours: Mapping[int, Floats] | None = None,
        usual: Ensemble | None = None,
    ) -> None:
        self.ensemble = ensemble
        self.usual = usual or ensemble
        self.hours = hours or {}
        self.given_wet_month = given_wet_month
        self.season = Season(2027, is_southern(ensemble.latitude_deg))
        self._totals: DailyTotals | None = None
        self._kept: dict[Hashable, Any] = {}

    def keep(self, key: Hashable, make: Callable[[], T]) -> T:
        """What `make` returns, worked out once per key: plantings share most of their answers."""
        if key not in self._kept:
            self._kept[key] = make()
        kept: T = self._kept[key]
        return kept

    def without_this_season(self) -> SiteClimate:
        """The same place by its whole seasons alone, which dates seen are held against."""
        if self.usual is self.ensemble:
            return self
        return self.keep(
            "usual climate", lambda: SiteClimate(self.usual, self.given_wet_month, self.hours)
        )

    @property
    def members(self) -> int:
        return self.ensemble.members

    @property
    def totals(self) -> DailyTotals:
        if self._totals is None:
            count_together([self])
        assert self._totals is not None
        return self._totals

    def daily(self, model: str) -> Floats:
        """Chill or heat gained each season day under one model, shape (members, 365)."""
        gained: Floats = getattr(self.totals, COLUMNS.get(model, model))
        return gained

    @cached_property
    def leaf_fall_days(self) -> Floats:
        return leaf_fall(self.ensemble.low_c, self.ensemble.high_c, self.ensemble.latitude_deg)

    @cached_property
    def coldest_start(self) -> int:
        return coldest_fortnight(self.usual.low_c, self.usual.high_c)

    def first_freezes(self, threshold_c: float) -> Floats:
        """First autumn day at or below, per member; inf in a season without one."""
        key = ("first freeze", threshold_c)
        return self.keep(key, lambda: first_freeze(self.ensemble.low_c, threshold_c))

    def last_freezes(self, threshold_c: float) -> Floats:
        """Last spring day at or below, per member; inf in a season without one."""
        key = ("last freeze", threshold_c)
        return self.keep(key, lambda: last_freeze(self.ensemble.low_c, threshold_c))

    @cached_property
    def winter(self) -> Winter:
        return winter_class(self.usual.low_c, self.usual.high_c, self.season.southern)

    @cached_property
    def classes(self) -> frozenset[str]:
        """The climate classes that species rules may name (species.rules.CLIMATES).

        Unknown rain counts as a wet summer, the careful side for fresh cuts.
        """
        rain_mm = self.usual.rain_mm
        dry = rain_mm is not None and has_dry_summer(rain_mm, self.season.southern)
        found = {
            "cold_winter" if self.winter.cold else "mild_winter",
            "dry_summer" if dry else "wet_summer",
        }
        if self.winter.freeze_free:
            found.add("freeze_free")
        return frozenset(found)

    @cached_property
    def rains_return(self) -> int | None:
        """Season day the first wet month after a dry summer begins; None if none or unknown."""
        rain_mm = self.usual.rain_mm
        month = self.given_wet_month
        if rain_mm is not None:
            month = first_wet_month(rain_mm, self.season.southern)
        return None if month is None else first_season_day_of(month, self.season.southern)

    def of_seasons(self) -> Sentence:
        """How the seasons counted over are called."""
        if self.ensemble.grade in "AB":
            return say("{number} past seasons", number=self.members)
        return say("{number} modelled seasons", number=self.members)


def count_together(climates: Iterable[SiteClimate]) -> None:
    """Counts chill and heat of climates side by side, their usual seasons with them.

    Quicker than each when it is first asked for, and the same to the last bit.
    """
    every = (each for one in climates for each in (one, one.without_this_season()))
    new = {id(one): one for one in every if one._totals is None}
    extremes = [
        DailyExtremes(known.low_c, known.high_c, known.latitude_deg)
        for known in (one.ensemble for one in new.values())
    ]
    for one, rebuilt in zip(new.values(), totals_of_places(extremes), strict=True):
        one._totals = with_measured_hours(rebuilt, one.ensemble.years, one.hours)
