"""The whole program in a page: programme folder, season, as-of day -> plan."""

from __future__ import annotations

import math
from collections import OrderedDict
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from hashlib import sha256
from typing import Protocol, TypeVar

from orchardcal.climate.ensemble import Ensemble
from orchardcal.climate.impossible import ClimateRefused
from orchardcal.errors import Problems
from orchardcal.journal.asked_days import with_asked_days
from orchardcal.journal.entries import Entry
from orchardcal.journal.published import Published
from orchardcal.plan.care_tasks import SiteSeason
from orchardcal.plan.crew_hours import crew_day_min
from orchardcal.plan.crew_season import in_one_go_or_by_territory, works_with_crews
from orchardcal.plan.plan import Plan, SitePlan
from orchardcal.plan.recorded import recorded
from orchardcal.plan.schedule import Instance, Schedule, Weights
from orchardcal.plan.site_plan import site_plan_of
from orchardcal.plan.site_work import SiteWork, site_work
from orchardcal.season import Season, is_southern
from orchardcal.sites.record import DailyRecord
from orchardcal.sites.site import FreezeDatesGiven, Programme, Site
from orchardcal.species.rules import SpeciesRules
from orchardcal.windows.measured_hours import hours_of_seasons
from orchardcal.windows.near_days import near_days
from orchardcal.windows.site_climate import SiteClimate
from orchardcal.windows.site_ensemble import ensemble_of_season, observed, usual_ensemble
from orchardcal.windows.site_weather import NO_FILES, SiteWeather

LAST_DAYS = 60  # within these of its end, a season is planned together with the next
CLIMATES_KEPT = 24  # sites of one station are mostly planned one after another


@dataclass(frozen=True)
class SiteInputs:
    """All that one site's plan is made from: the same inputs give the same plan, anywhere.

    rules: of the species planted there. entries, published: of this site alone. crew_day_min: the
    most person-minutes a crew can work here on one day; None where no crew comes.
    """

    site: Site
    weather: SiteWeather
    rules: dict[str, SpeciesRules]
    entries: tuple[Entry, ...]
    published: tuple[Published, ...]
    harvest_year: int | None
    as_of: date
    crew_day_min: int | None = None


class Planner(Protocol):
    """Who plans sites, in the order given: here, elsewhere, or in an earlier run.

    plans: of sites no crew comes to. works, then schedule, then dated: of those with crews.
    """

    def plans(self, inputs: Sequence[SiteInputs]) -> Iterable[SitePlan | ClimateRefused]: ...

    def works(self, inputs: Sequence[SiteInputs]) -> Iterable[SiteWork | ClimateRefused]: ...

    def schedule(
        self, instance: Instance, weights: Weights, rounds_a_place: int | None
    ) -> Schedule: ...

    def dated(self, works: Sequence[SiteWork]) -> Iterable[SitePlan]: ...


UsualSeasons = Callable[[Site, DailyRecord | None, date], Ensemble]


def plan_programme(
    programme: Programme,
    weather: Mapping[str, SiteWeather],
    rules: Mapping[str, SpeciesRules],
    entries: Sequence[Entry],
    published: Sequence[Published],
    harvest_year: int | None,
    as_of: date,
    progress: Callable[[Site], None] = lambda site: None,
    planner: Planner | None = None,
) -> Plan:
    """The plan of every site of a programme.

    weather: what was read for each site, by its key. published: what subscribers last saw.
    progress: told of each site when it is planned. planner: one site after another here unless
    given. Raises BadFiles with the problem of every site whose climate cannot be.
    """
    inputs = site_inputs(programme, weather, rules, entries, published, harvest_year, as_of)
    inputs.sort(key=_by_climate)
    planner = planner or OneByOne()
    refused: dict[str, ClimateRefused] = {}
    alone = [each for each in inputs if each.crew_day_min is None]
    plans = _without_refused(alone, planner.plans(alone), refused, progress)
    with_crews = [each for each in inputs if each.crew_day_min is not None]
    works = _without_refused(with_crews, planner.works(with_crews), refused, progress)
    _raise_if_any(refused, programme)
    in_order = [works[site.key] for site in programme.sites if site.key in works]
    weights = Weights(**programme.rates)
    crewed = works_with_crews(in_order, programme.crews, weights, planner.schedule)
    plans.update((plan.site, plan) for plan in planner.dated(crewed))
    return Plan(
        name=programme.name,
        language=programme.language,
        units=programme.units,
        base_url=programme.base_url,
        as_of=as_of,
        sites=tuple(plans[site.key] for site in programme.sites),
        crews=programme.crews,
    )


T = TypeVar("T", SitePlan, SiteWork)


def _without_refused(
    inputs: Sequence[SiteInputs],
    outcomes: Iterable[T | ClimateRefused],
    refused: dict[str, ClimateRefused],
    progress: Callable[[Site], None],
) -> dict[str, T]:
    """The outcomes by site key; those of sites whose climate cannot be go to refused."""
    found = {}
    for each, outcome in zip(inputs, outcomes, strict=True):
        if isinstance(outcome, ClimateRefused):
            refused[each.site.key] = outcome
        else:
            found[each.site.key] = outcome
        progress(each.site)
    return found


def _by_climate(inputs: SiteInputs) -> tuple[str, float, str]:
    """Sites that share the climate work one after another."""
    site = inputs.site
    return repr(site.climate), round(site.latitude_deg, 1), site.key


def _raise_if_any(refused: Mapping[str, ClimateRefused], programme: Programme) -> None:
    problems = Problems()
    for site in programme.sites:
        if site.key in refused:
            for message in refused[site.key].messages:
                problems.add(site.spot, message)
    problems.raise_if_any()


def site_inputs(
    programme: Programme,
    weather: Mapping[str, SiteWeather],
    rules: Mapping[str, SpeciesRules],
    entries: Sequence[Entry],
    published: Sequence[Published],
    harvest_year: int | None,
    as_of: date,
) -> list[SiteInputs]:
    """What each site's plan is made from, site by site."""
    entries_of: dict[str, list[Entry]] = {site.key: [] for site in programme.sites}
    rows_of: dict[str, list[Published]] = {site.key: [] for site in programme.sites}
    for entry in entries:
        entries_of.get(entry.site, []).append(entry)
    for row in published:
        rows_of.get(row.site, []).append(row)
    return [
        SiteInputs(
            site,
            weather.get(site.key, NO_FILES),
            {key: rules[key] for key in sorted({one.species for one in site.plantings})},
            tuple(entries_of[site.key]),
            tuple(with_asked_days(rows_of[site.key], entries_of[site.key], as_of)),
            harvest_year,
            as_of,
            crew_day_min(site, programme.crews),
        )
        for site in programme.sites
    ]


class OneByOne:
    """Plans each site here, in turn."""

    def plans(self, inputs: Sequence[SiteInputs]) -> Iterable[SitePlan | ClimateRefused]:
        for work in self.works(inputs):
            yield work if isinstance(work, ClimateRefused) else site_plan_of(work)

    def works(self, inputs: Sequence[SiteInputs]) -> Iterable[SiteWork | ClimateRefused]:
        for each in inputs:
            worked = work_with_seasons(each)
            yield worked if isinstance(worked, ClimateRefused) else worked[0]

    def schedule(
        self, instance: Instance, weights: Weights, rounds_a_place: int | None
    ) -> Schedule:
        return in_one_go_or_by_territory(instance, weights, rounds_a_place)

    def dated(self, works: Sequence[SiteWork]) -> Iterable[SitePlan]:
        return map(site_plan_of, works)


def work_with_seasons(
    inputs: SiteInputs, usual: UsualSeasons = usual_ensemble
) -> tuple[SiteWork, tuple[SiteSeason, ...]] | ClimateRefused:
    """One site's work and the seasons it was made from, or why its climate cannot be.

    usual: makes the seasons of its climate, as usual_ensemble does, or has them already.
    """
    try:
        seasons = site_seasons(
            inputs.site,
            inputs.weather,
            inputs.rules,
            inputs.entries,
            inputs.harvest_year,
            inputs.as_of,
            usual,
        )
        return site_work(seasons, inputs.published, inputs.crew_day_min), seasons
    except ClimateRefused as refused:
        return refused


def planned_seasons(site: Site, harvest_year: int | None, as_of: date) -> tuple[Season, ...]:
    """The season asked for, else the one in progress and, in its last 60 days, the next as well."""
    southern = is_southern(site.latitude_deg)
    if harvest_year is not None:
        return (Season(harvest_year, southern),)
    season = Season.containing(as_of, southern)
    turns = season.last - as_of < timedelta(days=LAST_DAYS)
    return (season, season.next()) if turns else (season,)


def site_seasons(
    site: Site,
    weather: SiteWeather,
    rules: dict[str, SpeciesRules],
    entries: Sequence[Entry],
    harvest_year: int | None,
    as_of: date,
    usual: UsualSeasons = usual_ensemble,
) -> tuple[SiteSeason, ...]:
    """One site in each season to plan, with its climate as of the day and its journal."""
    known = recorded(entries, site)
    days = observed(weather.record) if weather.record else None
    near = near_days(weather.forecast, days, as_of)
    planned = []
    for season in planned_seasons(site, harvest_year, as_of):
        climate = _climate(site, weather, season, as_of, usual)
        planned.append(SiteSeason(site, season, rules, climate, known, as_of, near))
    return tuple(planned)


_climates: OrderedDict[str, SiteClimate] = OrderedDict()


def _climate(
    site: Site, weather: SiteWeather, season: Season, as_of: date, usual_seasons: UsualSeasons
) -> SiteClimate:
    """The site's climate in a season; sites with the same data, near each other, share the work.

    The latitude counts to a tenth of a degree, for every site alike: it sets the length of the day
    and so the hours between low and high, which 5 km north or south change by less than a minute.
    """
    near_deg = round(site.latitude_deg, 1) or math.copysign(0.1, site.latitude_deg)
    site = replace(site, latitude_deg=near_deg)
    key = _content(site, weather, season, as_of)
    if key not in _climates:
        given = site.climate
        wet_month = given.first_wet_month if isinstance(given, FreezeDatesGiven) else None
        southern = is_southern(site.latitude_deg)
        hours = hours_of_seasons(weather.hours, southern) if weather.hours else None
        usual = usual_seasons(site, weather.record, as_of)
        now = ensemble_of_season(usual, weather.record, weather.forecast, season, as_of)
        _climates[key] = SiteClimate(now, wet_month, hours, usual)
    _climates.move_to_end(key)
    while len(_climates) > CLIMATES_KEPT:
        _climates.popitem(last=False)
    return _climates[key]


def _content(site: Site, weather: SiteWeather, season: Season, as_of: date) -> str:
    """A digest of all that a site's climate is made from."""
    digest = sha256()
    record, hours, forecast = weather.record, weather.hours, weather.forecast
    given = "" if record else repr(site.climate)
    digest.update(repr((site.latitude_deg, given, season, record and as_of)).encode())
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
