"""The sheet to print and pin in the shed: the jobs to come, with a box to tick, and cautions."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import timedelta

from orchardcal.care import TITLES
from orchardcal.outputs.page.markup import Markup, isolated, joined, tag
from orchardcal.outputs.page.visits import Visit, hours
from orchardcal.outputs.speech import Speech
from orchardcal.outputs.subscribe import address
from orchardcal.plan.plan import Job, Plan, SitePlan
from orchardcal.sentence import say

SHEET_DAYS = 183  # half a year fits one sheet of paper for a usual school
FIRST_CAUTIONS = 2  # of each job; all of them stand on the page
MOST_CAUTIONS = 10


def sheet(plan: Plan, site: SitePlan, visits: Sequence[Visit], speech: Speech) -> Markup:
    """One section, shown in print alone. visits: those to come, of which half a year is printed."""
    last = plan.as_of + timedelta(days=SHEET_DAYS)
    later = sum(len(visit.jobs) for visit in visits if visit.day > last)
    visits = [visit for visit in visits if visit.day <= last]
    jobs = [job for visit in visits for job in visit.jobs]
    columns = (
        speech.words("Day"),
        speech.words("Hours"),
        speech.words("Work"),
        speech.words("Trees"),
        speech.words("People"),
        speech.words("Done"),
    )
    head = tag("tr", *(tag("th", column, scope="col") for column in columns))
    days = (_day(visit, speech) for visit in visits)
    caption = tag("caption", speech.words("Jobs to come"))
    table = tag("table", caption, tag("thead", head), *days)
    as_of = say("{programme}, as of {day}", programme=plan.name, day=plan.as_of)
    parts = [
        tag("h2", isolated(site.name), id="sheet-title"),
        tag("p", speech.sentence(as_of)),
        table if jobs else tag("p", speech.words("Nothing is to be done in the next six months.")),
    ]
    if later:
        more = say(
            "{count} later job is planned after {day}: print this sheet again by then.",
            plural="{count} later jobs are planned after {day}: print this sheet again by then.",
            count=later,
            day=last,
        )
        parts.append(tag("p", speech.sentence(more)))
    cautions = _cautions(jobs, speech)
    if cautions:
        parts += [tag("h3", speech.words("Take care")), tag("ul", *cautions)]
    page = address(plan.base_url, f"sites/{site.site}.html").https
    if page:
        where = say("Reasons, steps and all cautions: {address}", address=page)
        parts.append(tag("p", speech.sentence(where)))
    return tag("section", *parts, class_="sheet", aria_labelledby="sheet-title")


def _day(visit: Visit, speech: Speech) -> Markup:
    """The jobs of one day as a group of rows that stay on one sheet of paper."""
    day = tag("th", speech.day(visit.day), scope="rowgroup", rowspan=len(visit.jobs))
    rows = []
    for number, job in enumerate(visit.jobs):
        cells = (
            tag("td", hours(job, speech), class_="hours"),
            tag("td", speech.words(TITLES[job.care])),
            tag("td", joined((isolated(planting) for planting in job.plantings), ", ")),
            tag("td", str(job.people)),
            tag("td", "☐", class_="box"),
        )
        rows.append(tag("tr", *((day,) if number == 0 else ()), *cells))
    return tag("tbody", *rows)


def _cautions(jobs: Iterable[Job], speech: Speech) -> list[Markup]:
    first = dict.fromkeys(
        speech.sentence(caution) for job in jobs for caution in job.cautions[:FIRST_CAUTIONS]
    )
    return [tag("li", words) for words in list(first)[:MOST_CAUTIONS]]
