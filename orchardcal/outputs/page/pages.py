"""A plan and the facts of its sites -> every page by its path."""

from __future__ import annotations

from collections.abc import Mapping

from orchardcal.outputs.page.facts import SiteFacts
from orchardcal.outputs.page.overview import overview_pages
from orchardcal.outputs.page.site_page import site_page
from orchardcal.outputs.speech import Speech
from orchardcal.plan.plan import Plan


def pages(plan: Plan, facts: Mapping[str, SiteFacts], speech: Speech) -> dict[str, bytes]:
    """ "index.html" and "sites/<site>.html" for every site whose facts are given.

    facts: by site key, as `site_facts.site_facts` makes them. More than 80 sites go on to
    "overview-2.html" and so on.
    """
    written = overview_pages(plan, facts, speech)
    for site in plan.sites:
        if site.site in facts:
            written[f"sites/{site.site}.html"] = site_page(plan, site, facts[site.site], speech)
    return written
