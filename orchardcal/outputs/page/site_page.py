"""The page of one site: where, what comes next and why, windows, trees, climate, the feed."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from orchardcal.care import TITLES
from orchardcal.outputs.event_text import site_audience
from orchardcal.outputs.page.chill_drawing import chill_told
from orchardcal.outputs.page.day_grid import grids, key_to_marks
from orchardcal.outputs.page.facts import SiteFacts
from orchardcal.outputs.page.frame import document, folded, scrolled, section
from orchardcal.outputs.page.freezes_told import freezes_told
from orchardcal.outputs.page.lanes import Lane, lanes_used
from orchardcal.outputs.page.markup import Markup, isolated, joined, tag
from orchardcal.outputs.page.sheet import sheet
from orchardcal.outputs.page.spans import runs, span_in_words
from orchardcal.outputs.page.strip import axis_drawing, axis_of, legend, row_drawing
from orchardcal.outputs.page.trees_told import trees_told
from orchardcal.outputs.page.visits import told, visit_card, visits
from orchardcal.outputs.page.windows_told import not_placed_told, windows_told
from orchardcal.outputs.page.work_days_told import work_days_told
from orchardcal.outputs.speech import Speech
from orchardcal.outputs.subscribe import address, subscribe_block
from orchardcal.plan.plan import DONE, Plan, SitePlan
from orchardcal.season import Season
from orchardcal.sentence import Listed, Words, say

HOME = "../index.html"
CARE_PX = 20
WEEKEND_DAYS = 2  # pupils' weeks are drawn and listed as one stretch


def site_page(plan: Plan, site: SitePlan, facts: SiteFacts, speech: Speech) -> bytes:
    """The whole page. facts: of this site."""
    parts = list(_sections(plan, site, facts, speech))
    links = [
        tag("a", speech.value(title), href=f"#{key}") for key, title, content in parts if content
    ]
    around = tag(
        "nav",
        tag("ul", *(tag("li", link) for link in links)),
        class_="parts",
        aria_label=speech.words("Parts of this page"),
    )
    top = [
        tag("nav", tag("a", isolated(plan.name), href=HOME), aria_label=speech.words("Way back")),
        tag("h1", isolated(site.name)),
        tag("p", joined(_where(site, speech), " · ")),
        around,
    ]
    main = [section(key, speech.value(title), *content) for key, title, content in parts if content]
    main.append(sheet(plan, site, visits(site.jobs), speech))
    title = speech.sentence(say("{site} – {programme}", site=site.name, programme=plan.name))
    return document(plan, title, top, main, speech, home=HOME, sheet=True)


Part = tuple[str, Words, Sequence[str]]


def _sections(plan: Plan, site: SitePlan, facts: SiteFacts, speech: Speech) -> Iterator[Part]:
    """Key, title and content of each section; those without content are left out."""
    yield "season", Words("The season at a glance"), _season(plan, site, facts, speech)
    yield "next", Words("Next visits"), _next_visits(site, speech)
    days_out = work_days_told(site.work_days, {site.site: site.name}, "../", speech)
    yield "work-days", Words("Volunteer work days"), days_out
    unplaced = not_placed_told(site.not_placed, speech)
    yield (
        "windows",
        Words("Windows and why"),
        [windows_told(site.windows, speech)] if site.windows else [],
    )
    yield "no-place", Words("What found no place, and why"), unplaced
    trees = [trees_told(facts.trees, site, speech)] if facts.trees else []
    yield "trees", Words("Trees"), trees
    days = grids(site, facts, speech)
    yield (
        "days",
        Words("Paint and oil, day by day"),
        [*_days_head(speech), tag("div", *days, class_="day-grids")] if days else [],
    )
    yield "chill", Words("Winter chill"), chill_told(facts.chill, speech)
    freezes = freezes_told(facts.freezes, facts.season, plan.as_of, speech)
    yield "freezes", Words("Freezes"), freezes
    yield "closures", Words("Closures and pupils"), _closures(facts, speech)
    feed = address(plan.base_url, f"{site_audience(site.site)}.ics", "../")
    yield "subscribe", Words("Subscribe"), [subscribe_block(site.name, feed, speech)]


def _where(site: SitePlan, speech: Speech) -> Iterator[str]:
    if site.where and site.where != site.name:
        yield isolated(site.where)
    place = say(
        "{latitude}, {longitude}",
        latitude=round(site.latitude_deg, 2),
        longitude=round(site.longitude_deg, 2),
    )
    yield tag("bdi", speech.sentence(place), dir="ltr")
    yield speech.sentence(say("clock times of {timezone}", timezone=site.timezone))


def _season(plan: Plan, site: SitePlan, facts: SiteFacts, speech: Speech) -> list[Markup]:
    axis = axis_of([site], plan.as_of)
    closed = [one.span for one in facts.closed]
    rows: list[str] = [tag("div", class_="label"), axis_drawing(axis, speech)]
    for lane in lanes_used([site]):
        for care in lane.cares:
            windows = [window for window in site.windows if window.care == care]
            jobs = [job for job in site.jobs if job.care == care]
            if windows or jobs:
                rows.append(tag("div", speech.words(TITLES[care]), class_="label"))
                rows.append(row_drawing(axis, [(lane.key, windows, jobs)], closed, CARE_PX))
    used = lanes_used([site])
    named = [(lane.key, speech.value(lane.title)) for lane in used]
    return [
        _who(site, facts, speech),
        tag("figure", tag("div", *rows, class_="weeks"), legend(named, speech, plan.as_of)),
        folded(speech.words("The same as a table"), _season_table(site, used, speech)),
        *([told(site.notes, speech)] if site.notes else []),
    ]


def _who(site: SitePlan, facts: SiteFacts, speech: Speech) -> Markup:
    """Roles, never names: people are found through the coordinator."""
    people = max((job.people for job in site.jobs), default=0)
    lead = say(
        "The site lead leads; no job here needs more than {count} person.",
        plural="The site lead leads; no job here needs more than {count} people.",
        count=people,
    )
    words = [speech.sentence(lead) if people else speech.words("The site lead leads.")]
    if facts.volunteers:
        words.append(speech.words("Volunteers join where a visit says so."))
    if site.pupils_take_part:
        words.append(speech.words("Pupils take part."))
    spans = [Season(year, facts.season.southern).span for year in site.seasons]
    years = Listed(
        tuple(
            say("{year} ({first} to {last})", year=str(year), first=span.first, last=span.last)
            for year, span in zip(site.seasons, spans, strict=True)
        )
    )
    season = speech.sentence(say("Season {years}.", years=years))
    return tag("p", joined([season, *words], " "))


def _season_table(site: SitePlan, used: Sequence[Lane], speech: Speech) -> Markup:
    title = speech.words("Windows and visits")
    head = tag(
        "tr",
        *(
            tag("th", words, scope="col")
            for words in (speech.words("Care"), speech.words("Windows"), speech.words("Visits"))
        ),
    )
    rows = []
    for lane in used:
        for care in lane.cares:
            windows = sorted({one.span for one in site.windows if one.care == care})
            days = sorted({job.day for job in site.jobs if job.care == care})
            if windows or days:
                spans = [span_in_words(span, speech) for span in windows]
                cells = (", ".join(spans), ", ".join(speech.month_day(day) for day in days))
                row = (tag("td", cell or "–") for cell in cells)
                rows.append(tag("tr", tag("th", speech.words(TITLES[care]), scope="row"), *row))
    table = tag("table", tag("caption", title), tag("thead", head), tag("tbody", *rows))
    return scrolled(title, table)


def _next_visits(site: SitePlan, speech: Speech) -> list[Markup]:
    coming = visits(site.jobs)
    finished = [job for job in site.jobs if job.state == DONE]
    parts = [visit_card(visit, number, speech) for number, visit in enumerate(coming)]
    if not parts:
        parts.append(tag("p", speech.words("Nothing is left to do in this plan.")))
    if finished:
        lines = (
            tag("li", joined([speech.day(job.day), isolated(speech.sentence(job.title))], " · "))
            for job in finished
        )
        parts.append(folded(speech.words("Done so far"), tag("ul", *lines)))
    return parts


def _days_head(speech: Speech) -> tuple[Markup, ...]:
    words = speech.words(
        "The number says in how many seasons of 10 the weather of that day suited. Look at the"
        " forecast before you go."
    )
    return tag("p", words), key_to_marks(speech)


def _closures(facts: SiteFacts, speech: Speech) -> list[Markup]:
    rows = [(span_in_words(one.span, speech), one.name) for one in facts.closed]
    weeks = runs(facts.pupil_days, WEEKEND_DAYS)
    pupils = speech.words("Pupils on the ground on school days")
    rows += [(span_in_words(week, speech), pupils) for week in weeks]
    if not rows:
        return []
    title = speech.words("Days without visits, and days with pupils")
    head = tag(
        "tr",
        tag("th", speech.words("From – to"), scope="col"),
        tag("th", speech.words("What"), scope="col"),
    )
    body = (
        tag("tr", tag("th", days, scope="row"), tag("td", isolated(name))) for days, name in rows
    )
    table = tag(
        "table", tag("caption", title, class_="heard"), tag("thead", head), tag("tbody", *body)
    )
    return [folded(title, scrolled(title, table))]
