"""The climates of sites: made side by side, and shared by sites of one station near each other."""

from __future__ import annotations

import math
from collections import OrderedDict
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from datetime import date
from hashlib import sha256

from orchardcal.climate.ensemble import Ensemble
from orchardcal.climate.impossible import ClimateRefused
from orchardcal.season import Season, is_southern
from orchardcal.sites.record import DailyRecord
from orchardcal.sites.site import FreezeDatesGiven, Site
from orchardcal.windows.measured_hours import hours_of_seasons
from orchardcal.windows.site_climate import SiteClimate, count_together
from orchardcal.windows.site_ensemble import ensemble_of_season, usual_ensembles
from orchardcal.windows.site_weather import SiteWeather

CLIMATES_KEPT = 24  # sites of one station are mostly planned one after another

UsualSeasons = Callable[
    [Sequence[tuple[Site, DailyRecord | None]], date], Sequence[Ensemble | ClimateRefused]
]


@dataclass(frozen=True)
class ClimateAsked:
    """A site's climate in a season, as known on a day."""

    site: Site
    weather: SiteWeather
    season: Season
    as_of: date

    def nearby(self) -> ClimateAsked:
        """The same asked for a tenth of a degree of latitude, for every site alike.

        The latitude sets the length of the day and so the hours between low and high, which 5 km
        north or south change by less than a minute.
        """
        latitude_deg = self.site.latitude_deg
        near_deg = round(latitude_deg, 1) or math.copysign(0.1, latitude_deg)
        return replace(self, site=replace(self.site, latitude_deg=near_deg))


_climates: OrderedDict[str, SiteClimate] = OrderedDict()


def climates_of(
    asked: Sequence[ClimateAsked], usual_seasons: UsualSeasons = usual_ensembles
) -> list[SiteClimate | ClimateRefused]:
    """The climate of each, or why it cannot be; those with the same data share one.

    Chill and heat of all that are new are counted side by side, which a process pays for once.
    usual_seasons: makes the seasons of sites, as usual_ensembles does, or has them already.
    """
    near = [each.nearby() for each in asked]
    keys = [_content(each) for each in near]
    new = {key: each for key, each in zip(keys, near, strict=True) if key not in _climates}
    found: dict[str, SiteClimate | ClimateRefused] = {
        key: _climates[key] for key in keys if key in _climates
    }
    by_day: dict[date, list[str]] = {}
    for key, each in new.items():
        by_day.setdefault(each.as_of, []).append(key)
    for as_of, its in by_day.items():
        places = [(new[key].site, new[key].weather.record) for key in its]
        for key, usual in zip(its, usual_seasons(places, as_of), strict=True):
            found[key] = usual if isinstance(usual, ClimateRefused) else _climate(new[key], usual)
    made = {key: one for key in new if isinstance(one := found[key], SiteClimate)}
    count_together(made.values())
    for key in keys:
        if isinstance(one := found[key], SiteClimate):
            _climates[key] = one
            _climates.move_to_end(key)
    while len(_climates) > CLIMATES_KEPT:
        _climates.popitem(last=False)
    return [found[key] for key in keys]


def _climate(asked: ClimateAsked, usual: Ensemble) -> SiteClimate:
    site, weather = asked.site, asked.weather
    given = site.climate
    wet_month = given.first_wet_month if isinstance(given, FreezeDatesGiven) else None
    southern = is_southern(site.latitude_deg)
    hours = hours_of_seasons(weather.hours, southern) if weather.hours else None
    now = ensemble_of_season(usual, weather.record, weather.forecast, asked.season, asked.as_of)
    return SiteClimate(now, wet_month, hours, usual)


def _content(asked: ClimateAsked) -> str:
    """A digest of all that a site's climate is made from."""
    digest = sha256()
    weather = asked.weather
    record, hours, forecast = weather.record, weather.hours, weather.forecast
    given = "" if record else repr(asked.site.climate)
    as_of = record and asked.as_of
    digest.update(repr((asked.site.latitude_deg, given, asked.season, as_of)).encode())
    for first, columns in (
        (record and record.first_day, record and (record.low_c, record.high_c, record.rain_mm)),
        (hours and hours.first_hour, hours and (hours.air_c,)),
        (
            forecast and forecast.first_day,
            forecast and (forecast.low_c, forecast.high_c, forecast.rain_mm),
        ),
    ):
        digest.update(repr(first).encode())
        for column in columns or ():
            digest.update(column.tobytes())
    return digest.hexdigest()
