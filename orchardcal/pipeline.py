"""The whole program in a page: programme folder, season, as-of day -> plan."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import islice
from typing import Protocol, TypeVar

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
from orchardcal.sites.site import Programme, Site
from orchardcal.species.rules import SpeciesRules
from orchardcal.windows.near_days import near_days
from orchardcal.windows.shared_climates import ClimateAsked, UsualSeasons, climates_of
from orchardcal.windows.site_climate import SiteClimate
from orchardcal.windows.site_ensemble import observed, usual_ensembles
from orchardcal.windows.site_weather import NO_FILES, SiteWeather

LAST_DAYS = 60  # within these of its end, a season is planned together with the next
TOGETHER = 16  # sites whose climates are made side by side


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


@dataclass(frozen=True)
class Given:
    """What a programme's plan is made from. weather, published: by a site's key."""

    programme: Programme
    weather: Mapping[str, SiteWeather]
    rules: Mapping[str, SpeciesRules]
    entries: Sequence[Entry]
    published: Callable[[str], Sequence[Published]]
    harvest_year: int | None
    as_of: date

    def inputs(self, sites: Iterable[Site]) -> Iterator[SiteInputs]:
        """What each site's plan is made from, gathered when it is asked for."""
        entries_of: dict[str, list[Entry]] = {}
        for entry in self.entries:
            entries_of.setdefault(entry.site, []).append(entry)
        for site in sites:
            yield SiteInputs(
                site,
                self.weather.get(site.key, NO_FILES),
                {key: self.rules[key] for key in sorted({one.species for one in site.plantings})},
                tuple(entries_of.get(site.key, ())),
                tuple(self.published(site.key)),
                self.harvest_year,
                self.as_of,
                crew_day_min(site, self.programme.crews),
            )


T = TypeVar("T")
T_co = TypeVar("T_co", covariant=True)


class Planner(Protocol[T_co]):
    """Who plans sites, in the order given: here, elsewhere, or in an earlier run.

    What comes of a site is its plan, or what is made of that. plans: of sites no crew comes to.
    works, then schedule, then dated: of those with crews.
    """

    def plans(self, inputs: Iterable[SiteInputs]) -> Iterator[T_co | ClimateRefused]: ...

    def works(self, inputs: Iterable[SiteInputs]) -> Iterator[SiteWork | ClimateRefused]: ...

    def schedule(
        self, instance: Instance, weights: Weights, rounds_a_place: int | None
    ) -> Schedule: ...

    def dated(self, inputs: Iterable[SiteInputs], works: Sequence[SiteWork]) -> Iterator[T_co]: ...


def plan_programme(
    programme: Programme,
    weather: Mapping[str, SiteWeather],
    rules: Mapping[str, SpeciesRules],
    entries: Sequence[Entry],
    published: Sequence[Published],
    harvest_year: int | None,
    as_of: date,
    progress: Callable[[], None] = lambda: None,
) -> Plan:
    """The plan of every site of a programme.

    weather: what was read for each site, by its key. published: what subscribers last saw.
    progress: told of each step of `steps`. Raises BadFiles with the problem of every site whose
    climate cannot be.
    """
    rows_of: dict[str, list[Published]] = {site.key: [] for site in programme.sites}
    for row in published:
        rows_of.get(row.site, []).append(row)
    given = Given(
        programme, weather, rules, entries, lambda site: rows_of[site], harvest_year, as_of
    )
    plans = {plan.site: plan for plan in each_site(given, OneByOne(), progress)}
    return plan_of(programme, as_of, [plans[site.key] for site in programme.sites])


def plan_of(programme: Programme, as_of: date, sites: Sequence[SitePlan]) -> Plan:
    """The plan that these sites make together."""
    return Plan(
        name=programme.name,
        language=programme.language,
        units=programme.units,
        base_url=programme.base_url,
        as_of=as_of,
        sites=tuple(sites),
        crews=programme.crews,
    )


def each_site(
    given: Given, planner: Planner[T], progress: Callable[[], None] = lambda: None
) -> Iterator[T]:
    """What the planner makes of each site, one after another, so that few need be held at once.

    First those no crew comes to, neighbours in climate together; then the others. progress: told
    of each step of `steps`. Raises BadFiles with the problem of every site whose climate cannot
    be, at the latest when all but those are through.
    """
    programme = given.programme
    alone, with_crews = (sorted(sites, key=_by_climate) for sites in _by_crews(programme))
    refused: dict[str, ClimateRefused] = {}
    for site, outcome in zip(alone, planner.plans(given.inputs(alone)), strict=True):
        progress()
        if isinstance(outcome, ClimateRefused):
            refused[site.key] = outcome
        else:
            yield outcome
    works: dict[str, SiteWork] = {}
    for site, work in zip(with_crews, planner.works(given.inputs(with_crews)), strict=True):
        progress()
        if isinstance(work, ClimateRefused):
            refused[site.key] = work
        else:
            works[site.key] = work
    _raise_if_any(refused, programme)
    in_order = [site for site in programme.sites if site.key in works]
    weights = Weights(**programme.rates)
    ordered = [works.pop(site.key) for site in in_order]
    crewed = works_with_crews(ordered, programme.crews, weights, planner.schedule)
    for outcome in planner.dated(given.inputs(in_order), crewed):
        progress()
        yield outcome


def steps(programme: Programme) -> int:
    """How often `each_site` tells of progress: twice of a site that crews come to."""
    alone, with_crews = _by_crews(programme)
    return len(alone) + 2 * len(with_crews)


def _by_crews(programme: Programme) -> tuple[list[Site], list[Site]]:
    """The sites no crew comes to, and the others."""
    found: tuple[list[Site], list[Site]] = ([], [])
    for site in programme.sites:
        found[crew_day_min(site, programme.crews) is not None].append(site)
    return found


def _by_climate(site: Site) -> tuple[str, float, str]:
    """Sites that share the climate work one after another."""
    return repr(site.climate), round(site.latitude_deg, 1), site.key


def _raise_if_any(refused: Mapping[str, ClimateRefused], programme: Programme) -> None:
    problems = Problems()
    for site in programme.sites:
        if site.key in refused:
            for message in refused[site.key].messages:
                problems.add(site.spot, message)
    problems.raise_if_any()


class OneByOne:
    """Plans each site here, in turn."""

    def plans(self, inputs: Iterable[SiteInputs]) -> Iterator[SitePlan | ClimateRefused]:
        for work in self.works(inputs):
            yield work if isinstance(work, ClimateRefused) else site_plan_of(work)

    def works(self, inputs: Iterable[SiteInputs]) -> Iterator[SiteWork | ClimateRefused]:
        for part in parts_of(inputs, TOGETHER):
            for worked in works_with_seasons(part):
                yield worked if isinstance(worked, ClimateRefused) else worked[0]

    def schedule(
        self, instance: Instance, weights: Weights, rounds_a_place: int | None
    ) -> Schedule:
        return in_one_go_or_by_territory(instance, weights, rounds_a_place)

    def dated(self, inputs: Iterable[SiteInputs], works: Sequence[SiteWork]) -> Iterator[SitePlan]:
        return map(site_plan_of, works)


def parts_of(inputs: Iterable[T], most: int) -> Iterator[list[T]]:
    """The inputs in parts of so many at most, each gathered when it is asked for."""
    source = iter(inputs)
    while part := list(islice(source, most)):
        yield part


def works_with_seasons(
    inputs: Sequence[SiteInputs], usual: UsualSeasons = usual_ensembles
) -> Iterator[tuple[SiteWork, tuple[SiteSeason, ...]] | ClimateRefused]:
    """Each site's work and the seasons it was made from, or why its climate cannot be.

    The climates of all are made before the first site's work: side by side they take less time.
    usual: makes the seasons of climates, as usual_ensembles does, or has them already.
    """
    found = _seasons_of(inputs, usual)
    for each, seasons in zip(inputs, found, strict=True):
        if isinstance(seasons, ClimateRefused):
            yield seasons
        else:
            asked = with_asked_days(each.published, each.entries, each.as_of)
            yield site_work(seasons, asked, each.crew_day_min), seasons


def _seasons_of(
    inputs: Sequence[SiteInputs], usual: UsualSeasons
) -> list[tuple[SiteSeason, ...] | ClimateRefused]:
    """Each site in each season to plan, with its climate as of the day and its journal."""
    planned = [planned_seasons(each.site, each.harvest_year, each.as_of) for each in inputs]
    asked = [
        ClimateAsked(each.site, each.weather, season, each.as_of)
        for each, seasons in zip(inputs, planned, strict=True)
        for season in seasons
    ]
    climates = iter(climates_of(asked, usual))
    return [_with_climates(each, s, climates) for each, s in zip(inputs, planned, strict=True)]


def _with_climates(
    each: SiteInputs, seasons: Sequence[Season], climates: Iterator[SiteClimate | ClimateRefused]
) -> tuple[SiteSeason, ...] | ClimateRefused:
    known = recorded(each.entries, each.site)
    days = observed(each.weather.record) if each.weather.record else None
    near = near_days(each.weather.forecast, days, each.as_of)
    planned = []
    own = [next(climates) for _ in seasons]
    for season, climate in zip(seasons, own, strict=True):
        if isinstance(climate, ClimateRefused):
            return climate
        one = SiteSeason(each.site, season, each.rules, climate, known, each.as_of, near)
        planned.append(one)
    return tuple(planned)


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
) -> tuple[SiteSeason, ...]:
    """One site in each season to plan. Raises ClimateRefused where its climate cannot be."""
    inputs = SiteInputs(site, weather, rules, tuple(entries), (), harvest_year, as_of)
    (found,) = _seasons_of([inputs], usual_ensembles)
    if isinstance(found, ClimateRefused):
        raise found
    return found
