"""The season overview: what comes next, weeks across for every site, the same as a table, feeds."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from urllib.parse import quote

from orchardcal.outputs.event_text import STAFF, VOLUNTEERS
from orchardcal.outputs.page.facts import Closed
from orchardcal.outputs.page.frame import document, other_parts, scrolled, section
from orchardcal.outputs.page.lanes import Lane, badge, lanes_used
from orchardcal.outputs.page.load_page import has_load, load_path
from orchardcal.outputs.page.markup import Markup, isolated, tag
from orchardcal.outputs.page.spans import merged, span_in_words
from orchardcal.outputs.page.strip import Axis, axis_drawing, axis_of, legend, row_drawing
from orchardcal.outputs.page.visits import Visit, hours, visits
from orchardcal.outputs.page.windows_told import UNPLACED
from orchardcal.outputs.page.work_days_told import work_days_told
from orchardcal.outputs.speech import Speech
from orchardcal.outputs.subscribe import address, subscribe_block
from orchardcal.plan.plan import OVERDUE, Plan, SitePlan
from orchardcal.season import Span
from orchardcal.sentence import Sentence, say

SITES_ON_A_PAGE = 80
NEXT_VISITS = 8
WORK_DAYS_SHOWN = 40
LANE_PX = 11
SHORT_CLOSURE_DAYS = 2  # single holidays are on the site's page


def overview_pages(
    plan: Plan, closed: Mapping[str, Sequence[Closed]], speech: Speech
) -> Iterator[tuple[str, bytes]]:
    """ "index.html", and "overview-2.html" and so on where the sites are too many for one page.

    closed: when each site is closed, by its key.
    """
    starts = range(0, max(1, len(plan.sites)), SITES_ON_A_PAGE)
    axis, lanes = axis_of(plan.sites, plan.as_of), lanes_used(plan.sites)
    for number, start in enumerate(starts):
        sites = plan.sites[start : start + SITES_ON_A_PAGE]
        drawn = _weeks(plan, sites, axis, lanes, closed, speech)
        yield _path(number), _page(plan, sites, number, len(starts), drawn, closed, speech)


def site_href(site: str) -> str:
    return f"sites/{quote(site)}.html"


def _path(number: int) -> str:
    return f"overview-{number + 1}.html" if number else "index.html"


def _page(
    plan: Plan,
    sites: Sequence[SitePlan],
    number: int,
    pages: int,
    drawn: Markup,
    closed: Mapping[str, Sequence[Closed]],
    speech: Speech,
) -> bytes:
    title = speech.sentence(say("{programme}: the season", programme=plan.name))
    top = [
        tag("h1", isolated(plan.name)),
        tag("p", speech.sentence(_size(plan))),
        *_load(plan, speech, number),
        *other_parts(number, [_path(part) for part in range(pages)], speech),
    ]
    main = [
        *_coming(plan, speech, number),
        *_work_days(plan, speech, number),
        drawn,
        _table(sites, closed, speech),
        *(_feeds(plan, speech) if number == 0 else ()),
    ]
    return document(plan, title, top, main, speech, home="index.html")


def _size(plan: Plan) -> Sentence:
    return say(
        "Care of the fruit trees at {count} site, as of {day}.",
        plural="Care of the fruit trees at {count} sites, as of {day}.",
        count=len(plan.sites),
        day=plan.as_of,
    )


def _load(plan: Plan, speech: Speech, number: int) -> list[Markup]:
    if number or not has_load(plan):
        return []
    if plan.crews:
        words = speech.words("Load of the crews, and supplies")
    else:
        words = speech.words("Supplies for the season")
    return [tag("p", tag("a", words, href=load_path()))]


def _coming(plan: Plan, speech: Speech, number: int) -> list[Markup]:
    if number:
        return []
    names = {site.site: site.name for site in plan.sites}
    coming = visits(plan.jobs)
    parts: list[Markup] = []
    late = [visit for visit in coming if any(job.state == OVERDUE for job in visit.jobs)]
    ahead = [visit for visit in coming if visit not in late]
    shown = [*late, *ahead][: max(NEXT_VISITS, len(late))]
    if shown:
        cards = (_visit(visit, names[visit.site], visit in late, speech) for visit in shown)
        parts.append(tag("ol", *cards, class_="coming"))
    else:
        parts.append(tag("p", speech.words("Nothing is left to do in this plan.")))
    without = sum(entry.kind in UNPLACED for site in plan.sites for entry in site.not_placed)
    if without:
        words = say(
            "{count} care found no day; its site's page says why and what would help.",
            plural="{count} cares found no day; their sites' pages say why and what would help.",
            count=without,
        )
        parts.append(tag("p", speech.sentence(words), class_="alert"))
    return [section("next", speech.words("Coming up"), *parts)]


def _work_days(plan: Plan, speech: Speech, number: int) -> list[Markup]:
    if number or not plan.work_days:
        return []
    names = {site.site: site.name for site in plan.sites}
    shown = plan.work_days[:WORK_DAYS_SHOWN]
    told = work_days_told(shown, names, "", speech)
    left = len(plan.work_days) - len(shown)
    if left:
        words = say("{count} more", count=left)
        link = tag("a", speech.sentence(words), href=load_path() + "#work-days")
        told = [*told, tag("p", link)]
    return [section("work-days", speech.words("Volunteer work days"), *told)]


def _visit(visit: Visit, name: str, late: bool, speech: Speech) -> Markup:
    day = tag("time", speech.day(visit.day), datetime=visit.day.isoformat())
    site = tag("a", isolated(name), href=site_href(visit.site))
    jobs = (
        tag(
            "li",
            badge(job.care, speech),
            " ",
            isolated(speech.sentence(job.title)),
            " ",
            tag("span", hours(job, speech), class_="hours"),
        )
        for job in visit.jobs
    )
    overdue = [tag("span", speech.words("overdue"), class_="alert")] if late else []
    return tag("li", tag("h3", day, " ", site), *overdue, tag("ul", *jobs, class_="plain"))


def _weeks(
    plan: Plan,
    sites: Sequence[SitePlan],
    axis: Axis,
    lanes: Sequence[Lane],
    closed: Mapping[str, Sequence[Closed]],
    speech: Speech,
) -> Markup:
    rows: list[Markup] = [tag("div", class_="label"), axis_drawing(axis, speech)]
    for site in sites:
        rows.append(
            tag("div", tag("a", isolated(site.name), href=site_href(site.site)), class_="label")
        )
        rows.append(_row(site, lanes, axis, _closures(closed.get(site.site, ()))))
    named = [(lane.key, speech.value(lane.title)) for lane in lanes]
    caption = tag(
        "figcaption",
        speech.words(
            "Bars: when the work may be done. Dots: planned visits. From top to bottom in each row:"
        ),
        legend(named, speech, plan.as_of),
    )
    chart = tag("figure", caption, tag("div", *rows, class_="weeks sites"))
    return section("season", speech.words("The season at a glance"), chart)


def _row(site: SitePlan, lanes: Sequence[Lane], axis: Axis, closures: Sequence[Span]) -> Markup:
    drawn = [
        (
            lane.key,
            [window for window in site.windows if window.care in lane.cares],
            [job for job in site.jobs if job.care in lane.cares],
        )
        for lane in lanes
    ]
    return row_drawing(axis, drawn, closures, LANE_PX)


def _closures(closed: Sequence[Closed]) -> tuple[Span, ...]:
    """The longer closures, those that touch or overlap put together."""
    spans = merged(one.span for one in closed)
    return tuple(span for span in spans if len(span) > SHORT_CLOSURE_DAYS)


def _table(
    sites: Sequence[SitePlan], closed: Mapping[str, Sequence[Closed]], speech: Speech
) -> Markup:
    lanes = lanes_used(sites)
    title = speech.words("The same as a table")
    columns = [
        speech.words("Site"),
        speech.words("Next visit"),
        *(speech.value(lane.title) for lane in lanes),
        speech.words("Closed"),
    ]
    head = tag("tr", *(tag("th", column, scope="col") for column in columns))
    rows = (_table_row(site, lanes, _closures(closed.get(site.site, ())), speech) for site in sites)
    told = speech.words("Windows (may be done) and visits by site")
    caption = tag("caption", told)
    table = tag("table", caption, tag("thead", head), tag("tbody", *rows), class_="sites")
    return section("table", title, scrolled(told, table))


def _table_row(
    site: SitePlan, lanes: Sequence[Lane], closures: Sequence[Span], speech: Speech
) -> Markup:
    coming = visits(site.jobs)
    name = tag("a", isolated(site.name), href=site_href(site.site))
    cells = [tag("td", speech.day(coming[0].day) if coming else "–")]
    for lane in lanes:
        spans = merged(window.span for window in site.windows if window.care in lane.cares)
        days = sorted({job.day for job in site.jobs if job.care in lane.cares})
        lines = []
        if spans:
            lines.append(tag("div", ", ".join(span_in_words(span, speech) for span in spans)))
        if days:
            on = ", ".join(speech.month_day(day) for day in days)
            lines.append(tag("div", "● ", on, class_="on"))
        cells.append(tag("td", *lines))
    closed = ", ".join(span_in_words(span, speech) for span in closures)
    return tag("tr", tag("th", name, scope="row"), *cells, tag("td", closed))


def _feeds(plan: Plan, speech: Speech) -> list[Markup]:
    volunteers = speech.sentence(say("{programme}: volunteers", programme=plan.name))
    own = speech.words("Each site's page has the calendar of that site alone.")
    return [
        section(
            "subscribe",
            speech.words("Subscribe"),
            subscribe_block(plan.name, address(plan.base_url, f"{STAFF}.ics"), speech),
            subscribe_block(volunteers, address(plan.base_url, f"{VOLUNTEERS}.ics"), speech),
            tag("p", own),
        )
    ]
