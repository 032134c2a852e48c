"""The page of the season's load: crews week by week, people per work day, supplies."""

from __future__ import annotations

from collections.abc import Sequence

from orchardcal.outputs.page.frame import document, other_parts, section
from orchardcal.outputs.page.load_told import crew_told, legend
from orchardcal.outputs.page.markup import Markup, isolated, tag
from orchardcal.outputs.page.supplies_told import supplies_told
from orchardcal.outputs.page.work_days_told import work_days_told
from orchardcal.outputs.speech import Speech
from orchardcal.plan.crew_load import CrewLoad, crew_loads
from orchardcal.plan.plan import Plan, SitePlan
from orchardcal.sentence import say

LOAD_PAGES = ("load.html", "load-[0-9]*.html")
CREWS_ON_A_PAGE = 10
SITES_ON_A_PAGE = 200
WORK_DAYS_ON_A_PAGE = 200


def load_path(number: int = 0) -> str:
    """Where the page lies, the first as number 0."""
    return f"load-{number + 1}.html" if number else "load.html"


def has_load(plan: Plan) -> bool:
    """Whether there is anything to show: crews, work days or supplies."""
    return bool(plan.crews or plan.work_days or any(site.supplies for site in plan.sites))


def load_pages(plan: Plan, speech: Speech) -> dict[str, bytes]:
    """ "load.html", and "load-2.html" and so on where crews or sites are too many for one page."""
    if not has_load(plan):
        return {}
    loads = crew_loads(plan)
    sites = [site for site in plan.sites if site.supplies]
    pages = max(
        1,
        -(-len(loads) // CREWS_ON_A_PAGE),
        -(-len(sites) // SITES_ON_A_PAGE),
        -(-len(plan.work_days) // WORK_DAYS_ON_A_PAGE),
    )
    return {
        load_path(number): _page(
            plan,
            loads[number * CREWS_ON_A_PAGE : (number + 1) * CREWS_ON_A_PAGE],
            sites[number * SITES_ON_A_PAGE : (number + 1) * SITES_ON_A_PAGE],
            number,
            pages,
            speech,
        )
        for number in range(pages)
    }


def _page(
    plan: Plan,
    loads: Sequence[CrewLoad],
    sites: Sequence[SitePlan],
    number: int,
    pages: int,
    speech: Speech,
) -> bytes:
    title = speech.sentence(say("{programme}: load and supplies", programme=plan.name))
    back = tag("ul", tag("li", tag("a", isolated(plan.name), href="index.html")))
    top = [
        tag("nav", back, aria_label=speech.words("Way back")),
        tag("h1", speech.words("Load and supplies")),
        *other_parts(number, [load_path(part) for part in range(pages)], speech),
    ]
    main: list[Markup] = []
    if loads:
        about = speech.words("Hours are the crew's on the clock, from leaving home to coming back.")
        main.append(section("crews", speech.words("Crews"), tag("p", about), legend(speech)))
        main += [
            section(f"crew-{load.crew.key}", isolated(load.crew.name), *crew_told(load, speech))
            for load in loads
        ]
    names = {site.site: site.name for site in plan.sites}
    own = plan.work_days[number * WORK_DAYS_ON_A_PAGE : (number + 1) * WORK_DAYS_ON_A_PAGE]
    days = work_days_told(own, names, "", speech)
    if days:
        main.append(section("work-days", speech.words("People per work day"), *days))
    if sites:
        told = supplies_told(sites, plan.sites, speech)
        main.append(section("supplies", speech.words("Supplies for the season"), *told))
    return document(plan, title, top, main, speech, home="index.html")
