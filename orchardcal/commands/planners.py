"""Who plans the sites: this process, or several at once; each with the facts its page shows."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterable, Iterator, Sequence
from concurrent.futures import Executor, ProcessPoolExecutor
from contextlib import contextmanager
from functools import partial

from orchardcal.climate.impossible import ClimateRefused
from orchardcal.outputs.page.facts import SiteFacts
from orchardcal.outputs.page.site_facts import site_facts
from orchardcal.pipeline import SiteInputs, plan_site, planned_with_seasons
from orchardcal.plan.plan import SitePlan

WORTH_IT_FROM = 30  # sites: below it a second process costs more than it saves
AT_ONCE = 8  # sites handed over together, so that neighbours with one climate share its work
Planned = tuple[SitePlan, SiteFacts | None] | ClimateRefused


class SitePlanner:
    """Plans sites, on an executor where one is given, and keeps what their pages show.

    with_facts: whether pages will be written. executor: any of the standard interface, such as a
    process pool or a cluster's own. The plan is the same on all of them: each site's is made from
    its inputs alone.
    """

    def __init__(self, with_facts: bool, executor: Executor | None = None) -> None:
        self.executor = executor
        self._work = plan_and_facts if with_facts else plan_alone
        self.facts: dict[str, SiteFacts] = {}

    def __call__(self, inputs: Sequence[SiteInputs]) -> Iterator[SitePlan | ClimateRefused]:
        for site, planned in zip(inputs, self._planned(inputs), strict=True):
            if isinstance(planned, ClimateRefused):
                yield planned
                continue
            plan, facts = planned
            if facts is not None:
                self.facts[site.site.key] = facts
            yield plan

    def _planned(self, inputs: Sequence[SiteInputs]) -> Iterable[Planned]:
        if self.executor is None:
            yield from map(self._work, inputs)
            return
        parts = [inputs[at : at + AT_ONCE] for at in range(0, len(inputs), AT_ONCE)]
        for part in self.executor.map(partial(in_turn, self._work), parts):
            yield from part


@contextmanager
def planner(sites: int, processes: int | None, with_facts: bool) -> Iterator[SitePlanner]:
    """Plans in so many processes; in one for each core where there are many sites, if not said."""
    wanted = processes or (os.cpu_count() or 1 if sites >= WORTH_IT_FROM else 1)
    if wanted == 1:
        yield SitePlanner(with_facts)
        return
    with ProcessPoolExecutor(max_workers=wanted) as pool:
        yield SitePlanner(with_facts, pool)


def in_turn(work: Callable[[SiteInputs], Planned], inputs: Sequence[SiteInputs]) -> list[Planned]:
    return [work(each) for each in inputs]


def plan_alone(inputs: SiteInputs) -> Planned:
    """One site's plan where no page is written."""
    planned = plan_site(inputs)
    return planned if isinstance(planned, ClimateRefused) else (planned, None)


def plan_and_facts(inputs: SiteInputs) -> Planned:
    """One site's plan with the facts of its page, or why its climate cannot be."""
    planned = planned_with_seasons(inputs)
    if isinstance(planned, ClimateRefused):
        return planned
    plan, seasons = planned
    return plan, site_facts(seasons)
