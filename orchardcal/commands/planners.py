"""Who plans sites and makes their pages: earlier runs, this process, or several at once."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterable, Iterator, Sequence
from concurrent.futures import Executor
from dataclasses import dataclass, replace
from datetime import date
from functools import partial

from orchardcal.climate.ensemble import Ensemble
from orchardcal.climate.impossible import ClimateRefused
from orchardcal.commands.content_digest import content_digest
from orchardcal.commands.kept_results import KeptResults, zone_rules
from orchardcal.outputs.page.facts import SiteFacts
from orchardcal.outputs.page.site_facts import site_facts
from orchardcal.outputs.page.site_page import site_page
from orchardcal.outputs.speech import Speech
from orchardcal.pipeline import SiteInputs, UsualSeasons, planned_with_seasons
from orchardcal.plan.plan import Plan, SitePlan
from orchardcal.sites.record import DailyRecord
from orchardcal.sites.site import Site
from orchardcal.windows.site_ensemble import usual_ensemble

WORTH_IT_FROM = 30  # sites: below it a second process costs more than it saves
AT_ONCE = 8  # sites handed over together, so that neighbours with one climate share its work
Planned = tuple[SitePlan, SiteFacts | None] | ClimateRefused


class SitePlanner:
    """Plans the sites that no earlier run has planned from the same inputs.

    kept: the results of earlier runs. with_facts: whether pages will be written, which show the
    `facts` of each site, by its key. processes: how many plan; if not said, one for each core where
    many sites are left to plan, else this one alone. executor: to plan on instead, any of the
    standard interface, such as a cluster's own. The plan is the same on all of them: each site's is
    made from its inputs alone.
    """

    def __init__(
        self,
        kept: KeptResults,
        with_facts: bool,
        processes: int | None = None,
        executor: Executor | None = None,
    ) -> None:
        self._kept = kept
        self._name = "plan and facts" if with_facts else "plan alone"
        plan = plan_and_facts if with_facts else plan_alone
        self._work: Callable[[SiteInputs], Planned] = partial(plan, usual=KeptSeasons(kept))
        self._processes = processes
        self._executor = executor
        self._made: dict[str, tuple[str, SitePlan, SiteFacts]] = {}

    def __call__(self, inputs: Sequence[SiteInputs]) -> Iterator[SitePlan | ClimateRefused]:
        keys = self._keys(inputs)
        found = [self._kept.found(key, tuple) for key in keys]
        left = [each for each, known in zip(inputs, found, strict=True) if known is None]
        made = iter(self._planned(left))
        for site, key, known in zip(inputs, keys, found, strict=True):
            planned: Planned = known or next(made)
            if isinstance(planned, ClimateRefused):
                yield planned
                continue
            if known is None:
                self._kept.keep(key, planned)
            plan, facts = planned
            if facts is not None:
                self._made[site.site.key] = (key, plan, facts)
            yield plan

    @property
    def facts(self) -> dict[str, SiteFacts]:
        """What the page of each site planned shows, by its key."""
        return {site: facts for site, (_, _, facts) in self._made.items()}

    def page(self, plan: Plan, site: SitePlan, facts: SiteFacts, speech: Speech) -> bytes:
        """A site's page, from an earlier run where it was made of the same.

        A page is made from its own site alone, whatever others the plan has. The plan and facts
        that came from here are known by the key of all they were made from; others by content.
        """
        key, own_plan, own_facts = self._made[site.site]
        content = key if site is own_plan and facts is own_facts else (site, facts)
        given = (replace(plan, sites=()), content, speech.language, speech.units)
        alone = replace(plan, sites=(site,))
        return self._kept.found_or_made(
            "site page", given, bytes, lambda: site_page(alone, site, facts, speech)
        )

    def _keys(self, inputs: Sequence[SiteInputs]) -> list[str]:
        """The key of each site's plan: all it is made from, and the rules of its time zone.

        The rules of a species, which many sites share, are digested once.
        """
        shared = {id(rules): rules for each in inputs for rules in each.rules.values()}
        digests = {key: content_digest(rules) for key, rules in shared.items()}
        keys = []
        for each in inputs:
            rules = [digests[id(one)] for one in each.rules.values()]
            given = (replace(each, rules={}), rules, zone_rules(each.site.timezone))
            keys.append(self._kept.key(self._name, given))
        return keys

    def _planned(self, inputs: Sequence[SiteInputs]) -> Iterable[Planned]:
        if self._executor is not None:
            yield from _planned_on(self._executor, self._work, inputs)
            return
        processes = self._processes or (os.cpu_count() or 1 if len(inputs) >= WORTH_IT_FROM else 1)
        processes = min(processes, len(inputs))
        if processes <= 1:
            yield from map(self._work, inputs)
            return
        from concurrent.futures import ProcessPoolExecutor  # most runs start no process

        with ProcessPoolExecutor(max_workers=processes) as pool:
            yield from _planned_on(pool, self._work, inputs)


def _planned_on(
    executor: Executor, work: Callable[[SiteInputs], Planned], inputs: Sequence[SiteInputs]
) -> Iterator[Planned]:
    parts = [inputs[at : at + AT_ONCE] for at in range(0, len(inputs), AT_ONCE)]
    for part in executor.map(partial(in_turn, work), parts):
        yield from part


def in_turn(work: Callable[[SiteInputs], Planned], inputs: Sequence[SiteInputs]) -> list[Planned]:
    return [work(each) for each in inputs]


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


def plan_alone(inputs: SiteInputs, usual: UsualSeasons) -> Planned:
    """One site's plan where no page is written."""
    planned = planned_with_seasons(inputs, usual)
    return planned if isinstance(planned, ClimateRefused) else (planned[0], None)


def plan_and_facts(inputs: SiteInputs, usual: UsualSeasons) -> Planned:
    """One site's plan with the facts of its page, or why its climate cannot be."""
    planned = planned_with_seasons(inputs, usual)
    if isinstance(planned, ClimateRefused):
        return planned
    plan, seasons = planned
    return plan, site_facts(seasons)
