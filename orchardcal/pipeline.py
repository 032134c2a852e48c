"""The whole program in a page: programme folder, season, as-of day -> plan."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from datetime import date, timedelta

from orchardcal.climate.impossible import ClimateRefused
from orchardcal.errors import Problems
from orchardcal.journal.entries import Entry
from orchardcal.journal.published import Published
from orchardcal.plan.care_tasks import SiteSeason
from orchardcal.plan.plan import Plan, SitePlan
from orchardcal.plan.recorded import recorded
from orchardcal.plan.site_plan import site_plan
from orchardcal.season import Season, is_southern
from orchardcal.sites.site import FreezeDatesGiven, Programme, Site
from orchardcal.species.rules import SpeciesRules
from orchardcal.windows.measured_hours import hours_of_seasons
from orchardcal.windows.near_days import near_days
from orchardcal.windows.site_climate import SiteClimate
from orchardcal.windows.site_ensemble import ensemble_of_season, observed, usual_ensemble
from orchardcal.windows.site_weather import NO_FILES, SiteWeather

LAST_DAYS = 60  # within these of its end, a season is planned together with the next


def planned_seasons(site: Site, harvest_year: int | None, as_of: date) -> tuple[Season, ...]:
    """The season asked for, else the one in progress and, in its last 60 days, the next as well."""
    southern = is_southern(site.latitude_deg)
    if harvest_year is not None:
        return (Season(harvest_year, southern),)
    season = Season.containing(as_of, southern)
    turns = season.last - as_of < timedelta(days=LAST_DAYS)
    return (season, season.next()) if turns else (season,)


def plan_programme(
    programme: Programme,
    weather: Mapping[str, SiteWeather],
    rules: dict[str, SpeciesRules],
    entries: Sequence[Entry],
    published: Sequence[Published],
    harvest_year: int | None,
    as_of: date,
    progress: Callable[[Site], None] = lambda site: None,
) -> Plan:
    """The plan of every site of a programme.

    weather: what was read for each site, by its key. published: what subscribers last saw.
    progress: told of each site when it is planned. Raises BadFiles with the problem of every site
    whose climate cannot be.
    """
    problems = Problems()
    plans: list[SitePlan] = []
    for site in programme.sites:
        try:
            seasons = site_seasons(
                site, weather.get(site.key, NO_FILES), rules, entries, harvest_year, as_of
            )
        except ClimateRefused as refused:
            for message in refused.messages:
                problems.add(site.spot, message)
            continue
        own = [row for row in published if row.site == site.key]
        plans.append(site_plan(seasons, own))
        progress(site)
    problems.raise_if_any()
    return Plan(
        name=programme.name,
        language=programme.language,
        units=programme.units,
        base_url=programme.base_url,
        as_of=as_of,
        sites=tuple(plans),
    )


def site_seasons(
    site: Site,
    weather: SiteWeather,
    rules: dict[str, SpeciesRules],
    entries: Sequence[Entry],
    harvest_year: int | None,
    as_of: date,
) -> tuple[SiteSeason, ...]:
    """One site in each season to plan, with its climate as of the day and its journal."""
    known = recorded([entry for entry in entries if entry.site == site.key], site)
    given = site.climate
    wet_month = given.first_wet_month if isinstance(given, FreezeDatesGiven) else None
    southern = is_southern(site.latitude_deg)
    hours = hours_of_seasons(weather.hours, southern) if weather.hours else None
    usual = usual_ensemble(site, weather.record, as_of)
    near = near_days(weather.forecast, observed(weather.record) if weather.record else None, as_of)
    planned = []
    for season in planned_seasons(site, harvest_year, as_of):
        ensemble = ensemble_of_season(usual, weather.record, weather.forecast, season, as_of)
        climate = SiteClimate(ensemble, wet_month, hours, usual)
        planned.append(SiteSeason(site, season, rules, climate, known, as_of, near))
    return tuple(planned)
