"""A plan and the facts of its sites -> every page by its path."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace

from orchardcal.outputs.page.facts import Closed, SiteFacts
from orchardcal.outputs.page.load_page import load_pages
from orchardcal.outputs.page.overview import overview_pages
from orchardcal.outputs.page.site_page import site_page
from orchardcal.outputs.page.work_day_page import work_day_page
from orchardcal.outputs.page.work_days_told import work_day_path
from orchardcal.outputs.speech import Speech
from orchardcal.plan.plan import Plan, SitePlan


def pages(
    plan: Plan, facts: Mapping[str, SiteFacts], speech: Speech
) -> Iterator[tuple[str, bytes]]:
    """Every page: those of all sites, and those of each whose facts are given.

    facts: by site key, as `site_facts.site_facts` makes them.
    """
    closed = {key: of_site.closed for key, of_site in facts.items()}
    yield from pages_of_all(plan, closed, speech)
    for site in plan.sites:
        if site.site in facts:
            yield from pages_of_site(plan, site, facts[site.site], speech)


def pages_of_all(
    plan: Plan, closed: Mapping[str, Sequence[Closed]], speech: Speech
) -> Iterator[tuple[str, bytes]]:
    """ "index.html", and "load.html" where crews, work days or supplies make one.

    More sites than one page holds go on to "overview-2.html" and so on. A plan at a glance will
    do. closed: by site key.
    """
    yield from overview_pages(plan, closed, speech)
    yield from load_pages(plan, speech).items()


def pages_of_site(
    plan: Plan, site: SitePlan, facts: SiteFacts, speech: Speech
) -> Iterator[tuple[str, bytes]]:
    """ "sites/<site>.html" and its work days: the same whatever other sites and crews there are."""
    alone = replace(plan, sites=(site,), crews=())
    yield f"sites/{site.site}.html", site_page(alone, site, facts, speech)
    for work_day in site.work_days:
        yield work_day_path(work_day), work_day_page(alone, site, work_day, speech)
