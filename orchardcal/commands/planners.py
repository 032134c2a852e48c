"""Who plans sites and makes their pages: earlier runs, this process, or several at once."""

from __future__ import annotations

import os
import signal
from collections.abc import Callable, Generator, Iterator, Sequence
from concurrent.futures import Executor
from contextlib import closing, contextmanager
from dataclasses import dataclass, replace
from datetime import date
from functools import partial
from typing import Any, TypeVar

from orchardcal.climate.ensemble import Ensemble
from orchardcal.climate.impossible import ClimateRefused
from orchardcal.commands.content_digest import content_digest
from orchardcal.commands.kept_results import KeptResults, zone_rules
from orchardcal.outputs.page.facts import SiteFacts
from orchardcal.outputs.page.site_facts import site_facts
from orchardcal.outputs.page.site_page import site_page
from orchardcal.outputs.speech import Speech
from orchardcal.pipeline import SiteInputs, UsualSeasons, work_with_seasons
from orchardcal.plan.crew_season import in_one_go_or_by_territory
from orchardcal.plan.plan import Plan, SitePlan
from orchardcal.plan.schedule import Instance, Schedule, Weights
from orchardcal.plan.schedule.territories import CREWS_TOGETHER
from orchardcal.plan.site_plan import site_plan_of
from orchardcal.plan.site_work import SiteWork
from orchardcal.sites.record import DailyRecord
from orchardcal.sites.site import Site
from orchardcal.windows.site_ensemble import usual_ensemble

WORTH_IT_FROM = 30  # sites: below it a second process costs more than it saves
AT_ONCE = 8  # sites handed over together, so that neighbours with one climate share its work
Made = tuple[SitePlan | SiteWork, SiteFacts | None] | ClimateRefused
G = TypeVar("G")
R = TypeVar("R")


class SitePlanner:
    """Plans the sites that no earlier run has planned from the same inputs.

    kept: the results of earlier runs. with_facts: whether pages will be written, which show the
    `facts` of each site, by its key. processes: how many plan; if not said, one for each core where
    many sites are left to plan, else this one alone. executor: to plan on instead, any of the
    standard interface, such as a cluster's own. The plan is the same on all of them: each site's is
    made from its inputs alone, and crews are put on days by rules that count no processes.
    """

    def __init__(
        self,
        kept: KeptResults,
        with_facts: bool,
        processes: int | None = None,
        executor: Executor | None = None,
    ) -> None:
        self.kept = kept
        self._with_facts = with_facts
        self._processes = processes
        self._executor = executor
        self._keys_of_works: dict[str, str] = {}
        self._facts: dict[str, SiteFacts] = {}
        self._plans: dict[str, tuple[str, SitePlan]] = {}

    def plans(self, inputs: Sequence[SiteInputs]) -> Iterator[SitePlan | ClimateRefused]:
        """The plan of each site, from an earlier run where it was made of the same."""
        for key, each, plan in self._found_or_made("plan", planned, inputs):
            if isinstance(plan, SitePlan):
                self._plans[each.site.key] = (key, plan)
            assert not isinstance(plan, SiteWork)
            yield plan

    def works(self, inputs: Sequence[SiteInputs]) -> Iterator[SiteWork | ClimateRefused]:
        """The work of each site, likewise."""
        for key, each, work in self._found_or_made("work", worked, inputs):
            self._keys_of_works[each.site.key] = key
            assert not isinstance(work, SitePlan)
            yield work

    def schedule(
        self, instance: Instance, weights: Weights, rounds_a_place: int | None
    ) -> Schedule:
        """The crews' schedule, from an earlier run where it was made of the same."""

        def made() -> Schedule:
            if len(instance.crews) <= CREWS_TOGETHER:
                return in_one_go_or_by_territory(instance, weights, rounds_a_place)
            with self._executor_for(len(instance.clusters)) as executor:
                return in_one_go_or_by_territory(instance, weights, rounds_a_place, executor)

        given = (instance, weights, rounds_a_place)
        return self.kept.found_or_made("schedule", given, Schedule, made)

    def dated(self, works: Sequence[SiteWork]) -> Iterator[SitePlan]:
        """The plan of each site whose crews have their days, likewise."""
        for work in works:
            site = work.site.key
            places = [(task.slot, task.ids, task.crew, task.no_crew) for task in work.outcome.tasks]
            key = self.kept.key("dated", (self._keys_of_works[site], places))
            plan = self.kept.found(key, SitePlan)
            if plan is None:
                plan = site_plan_of(work)
                self.kept.keep(key, plan)
            self._plans[site] = (key, plan)
            yield plan

    def _found_or_made(
        self,
        kind: str,
        work: Callable[..., Made],
        inputs: Sequence[SiteInputs],
    ) -> Iterator[tuple[str, SiteInputs, SitePlan | SiteWork | ClimateRefused]]:
        """The result for each site, with its key; the facts of its page go to `facts`."""
        keys = self._keys(f"{kind} and facts" if self._with_facts else kind, inputs)
        make = partial(work, usual=KeptSeasons(self.kept), with_facts=self._with_facts)
        made = self._kept_or_made(keys, tuple, make, inputs)
        for each, key, result in zip(inputs, keys, made, strict=True):
            if isinstance(result, ClimateRefused):
                yield key, each, result
                continue
            content, facts = result
            if facts is not None:
                self._facts[each.site.key] = facts
            yield key, each, content

    def key_of(self, site: SitePlan) -> str:
        """The key of all that a site's plan is made from; "" if it did not come from here."""
        key, own = self._plans.get(site.site, ("", None))
        return key if site is own else ""

    @property
    def facts(self) -> dict[str, SiteFacts]:
        """What the page of each site planned shows, by its key."""
        return self._facts

    def pages(
        self, plan: Plan, sites: Sequence[tuple[SitePlan, SiteFacts]], speech: Speech
    ) -> Iterator[bytes]:
        """Each site's page, from an earlier run where it was made of the same.

        A page is made from its own site alone, whatever others the plan has. The plan and facts
        that came from here are known by the key of all they were made from; others by content.
        """
        head = replace(plan, sites=())
        keys = [self._page_key(head, site, facts, speech) for site, facts in sites]
        make = partial(page_alone, head, language=speech.language, units=speech.units)
        yield from self._kept_or_made(keys, bytes, make, sites)

    def _page_key(self, head: Plan, site: SitePlan, facts: SiteFacts, speech: Speech) -> str:
        key = self.key_of(site)
        own = key and facts is self._facts[site.site]
        given = (head, key if own else (site, facts), speech.language, speech.units)
        return self.kept.key("site page", given)

    def _keys(self, kind: str, inputs: Sequence[SiteInputs]) -> list[str]:
        """The key of each site's result: all it is made from, and the rules of its time zone.

        The rules of a species, which many sites share, are digested once.
        """
        shared = {id(rules): rules for each in inputs for rules in each.rules.values()}
        digests = {key: content_digest(rules) for key, rules in shared.items()}
        keys = []
        for each in inputs:
            rules = [digests[id(one)] for one in each.rules.values()]
            given = (replace(each, rules={}), rules, zone_rules(each.site.timezone))
            keys.append(self.kept.key(kind, given))
        return keys

    def _kept_or_made(
        self, keys: Sequence[str], kind: type[Any], work: Callable[[G], R], inputs: Sequence[G]
    ) -> Iterator[R]:
        """What work makes of each input, from an earlier run where it is kept; else kept now."""
        found = [self.kept.found(key, kind) for key in keys]
        left = [each for each, known in zip(inputs, found, strict=True) if known is None]
        # Closed here and not by the garbage collector, which would swallow a Ctrl-C.
        with closing(self._all_of(work, left)) as made:
            for key, known in zip(keys, found, strict=True):
                result: R = known if known is not None else next(made)
                if known is None and not isinstance(result, ClimateRefused):
                    self.kept.keep(key, result)
                yield result

    def _all_of(self, work: Callable[[G], R], inputs: Sequence[G]) -> Generator[R, None, None]:
        with self._executor_for(len(inputs)) as executor:
            if executor is None:
                yield from map(work, inputs)
                return
            parts = [inputs[at : at + AT_ONCE] for at in range(0, len(inputs), AT_ONCE)]
            for part in executor.map(partial(in_turn, work), parts):
                yield from part

    @contextmanager
    def _executor_for(self, sites: int) -> Iterator[Executor | None]:
        """What many sites are planned on; None where this process does it alone."""
        processes = self._processes or (os.cpu_count() or 1 if sites >= WORTH_IT_FROM else 1)
        processes = min(processes, sites)
        if self._executor is not None or processes <= 1:
            yield self._executor
            return
        from concurrent.futures import ProcessPoolExecutor  # most runs start no process

        # Ctrl-C reaches the workers too, who end at once and in silence.
        alone = (signal.SIGINT, signal.SIG_DFL)
        with ProcessPoolExecutor(processes, initializer=signal.signal, initargs=alone) as pool:
            yield pool


def in_turn(work: Callable[[G], R], inputs: Sequence[G]) -> list[R]:
    return [work(each) for each in inputs]


def page_alone(head: Plan, pair: tuple[SitePlan, SiteFacts], language: str, units: str) -> bytes:
    """A site's page. head: the plan without sites."""
    site, facts = pair
    return site_page(replace(head, sites=(site,)), site, facts, Speech(language, units))


@dataclass(frozen=True)
class KeptSeasons:
    """The usual seasons of a site, from an earlier run where it has no record.

    Solving a year's weather from a few numbers takes longer than all the rest of its plan, and the
    day it is asked for makes no difference.
    """

    kept: KeptResults

    def __call__(self, site: Site, record: DailyRecord | None, as_of: date) -> Ensemble:
        def made() -> Ensemble:
            return usual_ensemble(site, record, as_of)

        if record is not None:
            return made()
        given = (site.latitude_deg, site.climate)
        return self.kept.found_or_made("usual seasons", given, Ensemble, made)


def worked(inputs: SiteInputs, usual: UsualSeasons, with_facts: bool) -> Made:
    """One site's work, with the facts of its page if asked for, or why its climate cannot be."""
    found = work_with_seasons(inputs, usual)
    if isinstance(found, ClimateRefused):
        return found
    work, seasons = found
    return work, site_facts(seasons) if with_facts else None


def planned(inputs: SiteInputs, usual: UsualSeasons, with_facts: bool) -> Made:
    """The same with the plan of a site that no crew comes to."""
    found = worked(inputs, usual, with_facts)
    if isinstance(found, ClimateRefused):
        return found
    work, facts = found
    assert isinstance(work, SiteWork)
    return site_plan_of(work), facts
