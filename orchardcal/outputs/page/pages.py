"""A plan and the facts of its sites -> every page by its path."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace

from orchardcal.outputs.page.facts import SiteFacts
from orchardcal.outputs.page.load_page import load_pages
from orchardcal.outputs.page.overview import overview_pages
from orchardcal.outputs.page.site_page import site_page
from orchardcal.outputs.page.work_day_page import work_day_page
from orchardcal.outputs.page.work_days_told import work_day_path
from orchardcal.outputs.speech import Speech
from orchardcal.plan.plan import Plan, SitePlan


def pages(
    plan: Plan,
    facts: Mapping[str, SiteFacts],
    speech: Speech,
    page_of: Callable[[Plan, SitePlan, SiteFacts, Speech], bytes] = site_page,
) -> dict[str, bytes]:
    """ "index.html", "sites/<site>.html" for every site whose facts are given, and its work days;
    "load.html" where crews, work days or supplies make one.

    facts: by site key, as `site_facts.site_facts` makes them. page_of: makes a site's page, or
    finds the same one made before. More than 80 sites go on to "overview-2.html" and so on.
    """
    written = {**overview_pages(plan, facts, speech), **load_pages(plan, speech)}
    crewless = replace(plan, crews=())  # a site's page is the same whatever crews there are
    for site in plan.sites:
        if site.site in facts:
            written[f"sites/{site.site}.html"] = page_of(crewless, site, facts[site.site], speech)
            for work_day in site.work_days:
                written[work_day_path(work_day)] = work_day_page(plan, site, work_day, speech)
    return written
