"""The volunteers' work days as a table with a link to each day's page."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from urllib.parse import quote

from orchardcal.outputs.page.frame import scrolled
from orchardcal.outputs.page.markup import Markup, isolated, tag
from orchardcal.outputs.speech import Speech
from orchardcal.plan.work_day import WorkDay
from orchardcal.sentence import say

WORK_DAY_PAGES = "work_days/*-[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9].html"


def work_day_path(work_day: WorkDay) -> str:
    """Where its page lies below the folder of all pages."""
    return f"work_days/{work_day.key}.html"


def work_days_told(
    days: Sequence[WorkDay], names: Mapping[str, str], up: str, speech: Speech
) -> list[Markup]:
    """A table of the days, nothing if there is none.

    names: of the sites by key, shown in a column of their own where there are several. up: the
    way from the page that shows it to the folder of all pages, "" or "../".
    """
    if not days:
        return []
    several = len(names) > 1
    columns = (
        speech.words("Day"),
        *((speech.words("Site"),) if several else ()),
        speech.words("Hours"),
        speech.words("Volunteers"),
        speech.words("Leaders"),
        speech.words("Rain date"),
    )
    rows = []
    for one in days:
        day = tag("time", speech.day(one.day), datetime=one.day.isoformat())
        cells = (
            *((isolated(names[one.site]),) if several else ()),
            hours_told(one, speech),
            str(one.people),
            str(one.leaders),
            speech.day(one.rain_day) if one.rain_day else "–",
        )
        link = tag("a", day, href=up + quote(work_day_path(one)))
        head = tag("th", link, scope="row")
        rows.append(tag("tr", head, *(tag("td", cell) for cell in cells)))
    title = speech.words("Days, people and rain dates")
    caption = tag("caption", title, class_="heard")
    head = tag("thead", tag("tr", *(tag("th", column, scope="col") for column in columns)))
    return [scrolled(title, tag("table", caption, head, tag("tbody", *rows)))]


def hours_told(work_day: WorkDay, speech: Speech) -> str:
    """ "09:30–12:10"."""
    return speech.sentence(say("{start}–{end}", start=work_day.start, end=work_day.end))
