"""What is known of a site's weather beside what site.toml says: files read for it."""

from __future__ import annotations

from dataclasses import dataclass

from orchardcal.sites.forecast import Forecast
from orchardcal.sites.hourly import HourlyRecord
from orchardcal.sites.record import DailyRecord


@dataclass(frozen=True)
class SiteWeather:
    """The daily record, the hourly file and the forecast of a site, None where it has none."""

    record: DailyRecord | None = None
    hours: HourlyRecord | None = None
    forecast: Forecast | None = None


NO_FILES = SiteWeather()
