"""A site's own climate data as an ensemble, as known on a day."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np

from orchardcal.climate.as_of import ensemble_as_of
from orchardcal.climate.ensemble import Ensemble, Floats
from orchardcal.climate.grades import (
    ensemble_from_normals,
    ensemble_from_record,
    seeking_freeze_dates,
)
from orchardcal.climate.impossible import ClimateRefused
from orchardcal.climate.solver import Asking, FourNumbers, answered
from orchardcal.season import Season, Span, is_leap_day
from orchardcal.sites.forecast import Forecast
from orchardcal.sites.record import DailyRecord
from orchardcal.sites.site import FreezeDatesGiven, NormalsGiven, Site


@dataclass(frozen=True)
class Observed:
    """Daily values from first_day on as arrays; nan where missing; rain None if never read."""

    first_day: date
    low_c: Floats
    high_c: Floats
    rain_mm: Floats | None

    def between(self, first: date, last: date) -> Observed:
        """The days from first to last, nan before the record begins or after it ends."""
        count = (last - first).days + 1
        offset = (first - self.first_day).days

        def cut(values: Floats) -> Floats:
            days = np.full(count, np.nan)
            begin, end = max(0, offset), min(len(values), offset + count)
            if begin < end:
                days[begin - offset : end - offset] = values[begin:end]
            return days

        rain = None if self.rain_mm is None else cut(self.rain_mm)
        return Observed(first, cut(self.low_c), cut(self.high_c), rain)

    @property
    def last_day(self) -> date:
        return self.first_day + timedelta(days=len(self.low_c) - 1)


def observed(record: DailyRecord) -> Observed:
    """A record read from a file as arrays."""
    return Observed(
        record.first_day,
        np.array(record.low_c),
        np.array(record.high_c),
        np.array(record.rain_mm) if record.has_rain else None,
    )


def usual_ensemble(site: Site, record: DailyRecord | None, as_of: date) -> Ensemble:
    """The seasons of a site's climate, whole past ones where it has a record.

    record: the site's daily record, needed where site.climate says there is one; days after as_of
    are not looked at. Raises ClimateRefused (climate.impossible) for what cannot be.
    """
    (found,) = usual_ensembles([(site, record)], as_of)
    if isinstance(found, ClimateRefused):
        raise found
    return found


def usual_ensembles(
    places: Sequence[tuple[Site, DailyRecord | None]], as_of: date
) -> list[Ensemble | ClimateRefused]:
    """The same of several sites, and why it cannot be where it cannot.

    Those that know freeze dates and chill alone are solved side by side.
    """
    return answered([_seeking(site, record, as_of) for site, record in places])


def _seeking(site: Site, record: DailyRecord | None, as_of: date) -> Asking[Ensemble]:
    given = site.climate
    if isinstance(given, FreezeDatesGiven):
        found = yield from seeking_freeze_dates(
            site.latitude_deg,
            given.last_freeze,
            given.first_freeze,
            given.chill_portions,
            four_numbers(given),
        )
        return found
    if isinstance(given, NormalsGiven):
        return ensemble_from_normals(
            site.latitude_deg, given.low_c, given.high_c, given.rain_days, given.rain_mm
        )
    assert record is not None
    days = observed(record)
    known = days.between(days.first_day, min(as_of, days.last_day))
    return ensemble_from_record(
        site.latitude_deg, known.first_day, known.low_c, known.high_c, known.rain_mm
    )


def ensemble_of_season(
    usual: Ensemble,
    record: DailyRecord | None,
    forecast: Forecast | None,
    season: Season,
    as_of: date,
) -> Ensemble:
    """The seasons to plan `season` by.

    Its own days up to as_of, then the forecast's with its growing error, then the remainder of
    each member. Without a record the usual seasons are all there is.
    """
    if record is None:
        return usual
    days = observed(record)
    last = min(as_of, days.last_day, season.last)
    if last < season.first:
        return usual
    own = days.between(season.first, last)
    kept = np.array([not is_leap_day(day) for day in Span(season.first, last).days()])
    return ensemble_as_of(
        usual,
        own.low_c[kept],
        own.high_c[kept],
        None if own.rain_mm is None else own.rain_mm[kept],
        *_coming(forecast, last, season),
    )


def _coming(
    forecast: Forecast | None, last: date, season: Season
) -> tuple[Floats | None, Floats | None, Floats | None]:
    """The forecast's days after the last observed one, nan where it says nothing yet."""
    if forecast is None or forecast.last_day <= last or last >= season.last:
        return None, None, None
    until = min(forecast.last_day, season.last)
    told = Observed(
        forecast.first_day,
        np.array(forecast.low_c),
        np.array(forecast.high_c),
        np.array(forecast.rain_mm),
    ).between(last + timedelta(days=1), until)
    days = Span(last + timedelta(days=1), until).days()
    kept = np.array([not is_leap_day(day) for day in days])
    assert told.rain_mm is not None
    return told.low_c[kept], told.high_c[kept], told.rain_mm[kept]


def four_numbers(given: FreezeDatesGiven) -> FourNumbers | None:
    """The coldest and the hottest month's lows and highs, None unless all four are given."""
    values = (
        given.coldest_low_c,
        given.coldest_high_c,
        given.hottest_low_c,
        given.hottest_high_c,
    )
    known = tuple(value for value in values if value is not None)
    if len(known) < len(values):
        return None
    return known[0], known[1], known[2], known[3]
