"""Plans sites and tells of them: by earlier runs, in this process, or in several at once."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from concurrent.futures import Executor
from dataclasses import dataclass, replace
from datetime import date
from functools import partial
from typing import TypeVar

from orchardcal.climate.ensemble import Ensemble
from orchardcal.climate.impossible import ClimateRefused
from orchardcal.commands.content_digest import SharedDigests
from orchardcal.commands.kept_results import KeptResults, packed, unpacked, zone_rules
from orchardcal.commands.laid_aside import LaidAside, Place
from orchardcal.commands.workers import Workers
from orchardcal.journal.published import Published
from orchardcal.outputs.page.facts import SiteFacts
from orchardcal.outputs.page.site_facts import site_facts
from orchardcal.outputs.site_told import SiteTold, Telling, site_told
from orchardcal.pipeline import TOGETHER, SiteInputs, parts_of, works_with_seasons
from orchardcal.plan.crew_season import in_one_go_or_by_territory
from orchardcal.plan.schedule import Instance, Schedule, Weights
from orchardcal.plan.schedule.territories import CREWS_TOGETHER
from orchardcal.plan.site_plan import site_plan_of
from orchardcal.plan.site_work import SiteWork
from orchardcal.sites.record import DailyRecord
from orchardcal.sites.site import Site
from orchardcal.windows.site_ensemble import usual_ensembles
from orchardcal.windows.site_weather import NO_FILES

LOOKED_UP_AT_ONCE = 400  # sites, to see how many of them no earlier run has planned
PARTS_A_PROCESS = 4  # at least, so that none is long alone at work in the end
Dated = tuple[SiteWork, tuple[Published, ...], bytes]  # rows before, packed facts

G = TypeVar("G")
R = TypeVar("R")


@dataclass(frozen=True)
class Told:
    """A site's part, and what subscribers last saw of it."""

    site: SiteTold
    before: tuple[Published, ...]


class SitePlanner:
    """Plans the sites that no earlier run has planned from the same inputs; a `pipeline.Planner`.

    What is made of a site is its part of everything that is written. It is the same wherever it is
    made: of the site's inputs alone, and crews are put on days by rules that count no processes.
    kept: the results of earlier runs. aside: where the facts wait of sites that crews come to.
    """

    def __init__(
        self, kept: KeptResults, telling: Telling, workers: Workers, aside: LaidAside
    ) -> None:
        self._kept = kept
        self._telling = telling
        self._workers = workers
        self._aside = aside
        self._digests = SharedDigests()
        self._works: dict[str, tuple[str, Place]] = {}

    def plans(self, inputs: Iterable[SiteInputs]) -> Iterator[Told | ClimateRefused]:
        """Each site's part, from an earlier run where it was made of the same."""
        seasons = KeptSeasons(self._kept)
        work = partial(told_of_inputs, usual=seasons, telling=self._telling)
        for _, each, found in self._found_or_made(self._keyed("told", inputs), work):
            if isinstance(found, ClimateRefused):
                yield found
            else:
                yield Told(unpacked(found, SiteTold), each.published)

    def works(self, inputs: Iterable[SiteInputs]) -> Iterator[SiteWork | ClimateRefused]:
        """The work of each site, likewise."""
        to_files = self._telling.to_files
        work = partial(worked, usual=KeptSeasons(self._kept), with_facts=to_files)
        for key, _, found in self._found_or_made(self._keyed("work", inputs), work):
            if isinstance(found, ClimateRefused):
                yield found
            else:
                made = unpacked(found, Worked)
                self._works[made.work.site.key] = (key, self._aside.add(made.facts))
                yield made.work

    def schedule(
        self, instance: Instance, weights: Weights, rounds_a_place: int | None
    ) -> Schedule:
        """The crews' schedule, from an earlier run where it was made of the same."""

        def made() -> Schedule:
            executor = None
            if len(instance.crews) > CREWS_TOGETHER:
                executor = self._workers.executor(len(instance.clusters))
            return in_one_go_or_by_territory(instance, weights, rounds_a_place, executor)

        given = (instance, weights, rounds_a_place)
        return self._kept.found_or_made("schedule", given, Schedule, made)

    def dated(self, inputs: Iterable[SiteInputs], works: Sequence[SiteWork]) -> Iterator[Told]:
        """Each site's part where its crews have their days, likewise."""
        work = partial(told_of_works, telling=self._telling)
        pairs = zip(inputs, works, strict=True)
        keyed = (self._keyed_with_days(each, dated) for each, dated in pairs)
        for _, (_, before, _), found in self._found_or_made(keyed, work):
            assert not isinstance(found, ClimateRefused)
            yield Told(unpacked(found, SiteTold), before)

    def _keyed_with_days(self, inputs: SiteInputs, work: SiteWork) -> tuple[str, Dated]:
        key, facts = self._works[work.site.key]
        places = [(task.slot, task.ids, task.crew, task.no_crew) for task in work.outcome.tasks]
        key = self._kept.key("dated", (key, places, self._digests.of(self._telling)))
        return key, (work, inputs.published, self._aside.piece(facts))

    def _keyed(self, kind: str, inputs: Iterable[SiteInputs]) -> Iterator[tuple[str, SiteInputs]]:
        """Each with the key of its result: all it is made from, and the rules of its time zone.

        What many sites share, a station's record or the rules of a species, is digested once.
        """
        for each in inputs:
            weather = each.weather
            files = (weather.record, weather.hours, weather.forecast)
            shared = (*files, *each.rules.values(), self._telling)
            own = replace(each, rules={}, weather=NO_FILES)
            zone = zone_rules(each.site.timezone)
            given = (own, [*each.rules], [self._digests.of(one) for one in shared], zone)
            yield self._kept.key(kind, given), each

    def _found_or_made(
        self,
        keyed: Iterable[tuple[str, G]],
        work: Callable[[Sequence[G]], list[bytes | ClimateRefused]],
    ) -> Iterator[tuple[str, G, bytes | ClimateRefused]]:
        """What work makes of each, packed, from an earlier run where it is kept; else kept now."""
        look = partial(made_or_kept, kept=self._kept, work=work)
        for part, results in self._workers.done(look, self._parts(keyed)):
            for (key, given), (result, new) in zip(part, results, strict=True):
                if new and isinstance(result, bytes):
                    self._kept.keep_bytes(key, result)
                yield key, given, result

    def _parts(
        self, keyed: Iterable[tuple[str, G]]
    ) -> Iterator[tuple[list[tuple[str, G]], Executor | None]]:
        """Neighbours together, with who works on them: where little is new, this process."""
        for window in parts_of(keyed, LOOKED_UP_AT_ONCE):
            new = sum(not self._kept.has(key) for key, _ in window)
            executor = self._workers.executor(new)
            most = -(-len(window) // (PARTS_A_PROCESS * self._workers.processes))
            for part in parts_of(window, min(TOGETHER, most) if executor else TOGETHER):
                yield part, executor


def made_or_kept(
    keyed: Sequence[tuple[str, G]],
    kept: KeptResults,
    work: Callable[[Sequence[G]], list[bytes | ClimateRefused]],
) -> list[tuple[bytes | ClimateRefused, bool]]:
    """The result of each, and whether it is new: what is not kept is made together."""
    found = [kept.found_bytes(key) for key, _ in keyed]
    left = [given for (_, given), known in zip(keyed, found, strict=True) if known is None]
    made = iter(work(left))
    return [(next(made) if known is None else known, known is None) for known in found]


@dataclass(frozen=True)
class KeptSeasons:
    """The usual seasons of sites, from an earlier run where they have no record.

    Solving a year's weather from a few numbers takes longer than all the rest of its plan, and the
    day it is asked for makes no difference.
    """

    kept: KeptResults

    def __call__(
        self, places: Sequence[tuple[Site, DailyRecord | None]], as_of: date
    ) -> list[Ensemble | ClimateRefused]:
        keys = [
            "" if record else self.kept.key("usual seasons", (site.latitude_deg, site.climate))
            for site, record in places
        ]
        found = [self.kept.found(key, Ensemble) if key else None for key in keys]
        left = [place for place, known in zip(places, found, strict=True) if known is None]
        made = iter(usual_ensembles(left, as_of))
        seasons: list[Ensemble | ClimateRefused] = []
        for key, known in zip(keys, found, strict=True):
            seasons.append(next(made) if known is None else known)
            if known is None and key and isinstance(seasons[-1], Ensemble):
                self.kept.keep(key, seasons[-1])
        return seasons


@dataclass(frozen=True)
class Worked:
    """A site's work, and the facts of its page, packed; b"" if not asked for."""

    work: SiteWork
    facts: bytes


def worked(
    inputs: Sequence[SiteInputs], usual: KeptSeasons, with_facts: bool
) -> list[bytes | ClimateRefused]:
    """Each site's `Worked`, packed, or why its climate cannot be."""
    results: list[bytes | ClimateRefused] = []
    for found in works_with_seasons(inputs, usual):
        if isinstance(found, ClimateRefused):
            results.append(found)
            continue
        work, seasons = found
        facts = packed(site_facts(seasons)) if with_facts else b""
        results.append(packed(Worked(work, facts)))
    return results


def told_of_inputs(
    inputs: Sequence[SiteInputs], usual: KeptSeasons, telling: Telling
) -> list[bytes | ClimateRefused]:
    """Each site's part of what is written, packed, or why its climate cannot be."""
    results: list[bytes | ClimateRefused] = []
    for each, found in zip(inputs, works_with_seasons(inputs, usual), strict=True):
        if isinstance(found, ClimateRefused):
            results.append(found)
            continue
        work, seasons = found
        facts = site_facts(seasons) if telling.to_files else None
        results.append(packed(site_told(site_plan_of(work), facts, each.published, telling)))
    return results


def told_of_works(works: Sequence[Dated], telling: Telling) -> list[bytes | ClimateRefused]:
    """The same where the days are known."""
    results: list[bytes | ClimateRefused] = []
    for work, before, packed_facts in works:
        facts = unpacked(packed_facts, SiteFacts) if packed_facts else None
        results.append(packed(site_told(site_plan_of(work), facts, before, telling)))
    return results
