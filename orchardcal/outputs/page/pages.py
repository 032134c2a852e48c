"""A plan and the facts of its sites -> every page by its path."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import replace

from orchardcal.outputs.page.facts import SiteFacts
from orchardcal.outputs.page.load_page import load_pages
from orchardcal.outputs.page.overview import overview_pages
from orchardcal.outputs.page.site_page import site_page
from orchardcal.outputs.page.work_day_page import work_day_page
from orchardcal.outputs.page.work_days_told import work_day_path
from orchardcal.outputs.speech import Speech
from orchardcal.plan.plan import Plan, SitePlan

SitePages = Callable[[Plan, Sequence[tuple[SitePlan, SiteFacts]], Speech], Iterable[bytes]]


def one_by_one(
    plan: Plan, sites: Sequence[tuple[SitePlan, SiteFacts]], speech: Speech
) -> Iterator[bytes]:
    """The page of each site, here and now."""
    for site, facts in sites:
        yield site_page(plan, site, facts, speech)


def pages(
    plan: Plan,
    facts: Mapping[str, SiteFacts],
    speech: Speech,
    site_pages: SitePages = one_by_one,
) -> Iterator[tuple[str, bytes]]:
    """ "index.html", "sites/<site>.html" for every site whose facts are given, and its work days;
    "load.html" where crews, work days or supplies make one. Each is made when it is asked for.

    facts: by site key, as `site_facts.site_facts` makes them. site_pages: makes the pages of sites,
    or finds the same ones made before. More than 80 sites go on to "overview-2.html" and so on.
    """
    yield from overview_pages(plan, facts, speech).items()
    yield from load_pages(plan, speech).items()
    crewless = replace(plan, crews=())  # a site's page is the same whatever crews there are
    shown = [(site, facts[site.site]) for site in plan.sites if site.site in facts]
    for (site, _), page in zip(shown, site_pages(crewless, shown, speech), strict=True):
        yield f"sites/{site.site}.html", page
        for work_day in site.work_days:
            yield work_day_path(work_day), work_day_page(plan, site, work_day, speech)
