"""Day by day: in how many seasons of 10 the weather suits paint or oil, a week to a row."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date, timedelta

from orchardcal.care import DORMANT_OIL_SPRAY, WHITEWASH_PAINTING
from orchardcal.outputs.page.facts import SiteFacts
from orchardcal.outputs.page.frame import scrolled
from orchardcal.outputs.page.markup import Markup, hidden, isolated, tag
from orchardcal.outputs.speech import Speech
from orchardcal.plan.plan import CareWindow, Job, SitePlan
from orchardcal.sentence import say

WEATHER_BOUND = (WHITEWASH_PAINTING, DORMANT_OIL_SPRAY)
WEEK = 7


def grids(site: SitePlan, facts: SiteFacts, speech: Speech) -> tuple[Markup, ...]:
    """A grid for each window of paint or oil, with closures, pupil days and visits marked."""
    shown = [
        window
        for window in site.windows
        if window.care in WEATHER_BOUND and window.day_odds is not None
    ]
    return tuple(_grid(window, site.jobs, facts, speech) for window in shown)


def key_to_marks(speech: Speech) -> Markup:
    """What the marks in the grids mean."""
    marks = (
        ("●", speech.words("planned visit")),
        ("×", speech.words("site closed")),
        ("○", speech.words("pupils on the ground: no spraying")),
    )
    return tag(
        "ul", *(tag("li", tag("b", sign), " ", words) for sign, words in marks), class_="legend"
    )


def _grid(window: CareWindow, jobs: Iterable[Job], facts: SiteFacts, speech: Speech) -> Markup:
    monday = window.span.first - timedelta(days=window.span.first.weekday())
    days_of_work = {
        job.day
        for job in jobs
        if job.care == window.care and set(job.plantings) & set(window.plantings)
    }
    odds = dict(zip(window.span.days(), window.day_odds or (), strict=True))
    head = [tag("th", speech.words("Week of"), scope="col")]
    week = [monday + timedelta(days=at) for at in range(WEEK)]
    head += [tag("th", speech.weekday(day), scope="col") for day in week]
    rows = []
    while monday <= window.span.last:
        days = (monday + timedelta(days=at) for at in range(WEEK))
        cells = (_cell(day, odds.get(day), day in days_of_work, facts, speech) for day in days)
        rows.append(tag("tr", tag("th", speech.month_day(monday), scope="row"), *cells))
        monday += timedelta(days=WEEK)
    title = speech.sentence(window.title)
    caption = tag("caption", isolated(title))
    return scrolled(
        speech.sentence(say("Day by day – {window}", window=title)),
        tag(
            "table",
            caption,
            tag("thead", tag("tr", *head)),
            tag("tbody", *rows),
            class_="days",
        ),
    )


def _cell(
    day: date, share: float | None, planned: bool, facts: SiteFacts, speech: Speech
) -> Markup:
    if share is None:
        return tag("td", class_="out")
    tenths = round(10 * share)
    parts: list[str] = [tag("b", str(tenths))]
    for sign, words, holds in (
        ("●", speech.words("planned visit"), planned),
        ("×", facts.closed_name(day), bool(facts.closed_name(day))),
        ("○", speech.words("pupils"), day in facts.pupil_days),
    ):
        if holds:
            parts += [tag("i", sign, aria_hidden="true"), hidden(f" {words}")]
    return tag("td", *parts, class_=f"odds-{min(4, tenths // 2)}" + (" planned" if planned else ""))
