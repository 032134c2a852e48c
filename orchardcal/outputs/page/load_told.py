"""A crew's weeks as a table: the hours it is away beside those it has, drawn and in words."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import groupby

from orchardcal.outputs.page.frame import scrolled
from orchardcal.outputs.page.markup import Markup, isolated, tag
from orchardcal.outputs.speech import Speech
from orchardcal.plan.crew_load import CrewLoad, CrewWeek
from orchardcal.sentence import Distance, Hours, Sentence, say

BAR_PX, HIGH_PX = 110, 14
NONE = "–"


def legend(speech: Speech) -> Markup:
    """What the parts of a bar mean."""
    samples = (
        ("used", speech.words("work at the trees")),
        ("around", speech.words("driving and arriving")),
        ("room", speech.words("hours the crew has")),
    )
    rows = (
        tag("li", _drawing(28, tag("rect", x=1, y=1, width=26, height=12, class_=key)), words)
        for key, words in samples
    )
    return tag("ul", *rows, class_="legend")


def crew_told(load: CrewLoad, speech: Speech) -> list[Markup]:
    """Who the crew is, and a row for each of its weeks."""
    crew = load.crew
    size = say(
        "{count} person, {hours} a day.",
        plural="{count} people, {hours} a day.",
        count=crew.people,
        hours=Hours(crew.minutes_a_day / 60),
    )
    parts = [tag("p", speech.sentence(size))]
    if not load.days:
        parts.append(tag("p", speech.words("No work is planned for this crew.")))
    if load.weeks:
        parts.append(_table(load, speech))
    return parts


def _table(load: CrewLoad, speech: Speech) -> Markup:
    columns = (
        speech.words("Week of"),
        speech.words("Load"),
        speech.words("Hours away"),
        speech.words("Hours it has"),
        speech.words("Work"),
        speech.words("Driving and arriving"),
        speech.words("Days out"),
        speech.words("Visits"),
        speech.words("Distance"),
    )
    head = tag("thead", tag("tr", *(tag("th", one, scope="col") for one in columns)))
    scale_min = max(max(week.capacity_min, week.away_min) for week in load.weeks) or 1
    rows = _rows(load, scale_min, speech)
    title: Sentence = say("{crew}: week by week", crew=load.crew.name)
    caption = tag("caption", isolated(speech.sentence(title)), class_="heard")
    foot = tag("tfoot", _in_all(load, speech))
    table = tag("table", caption, head, tag("tbody", *rows), foot, class_="load")
    return scrolled(speech.sentence(title), table)


def _rows(load: CrewLoad, scale_min: int, speech: Speech) -> Iterator[Markup]:
    """A row for each week with work; weeks without, one after another, share one."""
    for busy, run in groupby(load.weeks, lambda week: bool(week.away_min)):
        weeks = tuple(run)
        if busy or len(weeks) == 1:
            yield from (_week(week, scale_min, speech) for week in weeks)
            continue
        words = say("{count} weeks from {day}", count=len(weeks), day=weeks[0].monday)
        name = tag("th", speech.sentence(words), scope="row", class_="idle")
        cells = (tag("td", cell) for cell in _amounts(weeks, speech))
        yield tag("tr", name, tag("td"), *cells)


def _week(week: CrewWeek, scale_min: int, speech: Speech) -> Markup:
    day = tag("time", speech.day(week.monday), datetime=week.monday.isoformat())
    cells = (_bar(week, scale_min), *_amounts((week,), speech))
    return tag("tr", tag("th", day, scope="row"), *(tag("td", cell) for cell in cells))


def _in_all(load: CrewLoad, speech: Speech) -> Markup:
    name = tag("th", speech.words("In all"), scope="row")
    return tag("tr", name, tag("td"), *(tag("td", each) for each in _amounts(load.weeks, speech)))


def _amounts(weeks: tuple[CrewWeek, ...], speech: Speech) -> list[str]:
    """The cells beside the bar, summed over the weeks."""
    minutes = (
        sum(week.away_min for week in weeks),
        sum(week.capacity_min for week in weeks),
        sum(week.work_min for week in weeks),
        sum(week.around_min for week in weeks),
    )
    counts = (sum(week.trips for week in weeks), sum(week.visits for week in weeks))
    km = sum(week.km for week in weeks)
    return [
        *(speech.value(Hours(each / 60)) if each else NONE for each in minutes),
        *(speech.value(each) if each else NONE for each in counts),
        speech.value(Distance(km)) if km else NONE,
    ]


def _bar(week: CrewWeek, scale_min: int) -> Markup:
    """Work, then driving and arriving, in the frame of the week's hours."""
    work_px = BAR_PX * week.work_min / scale_min
    around_px = BAR_PX * week.around_min / scale_min
    room_px = BAR_PX * week.capacity_min / scale_min
    parts = [tag("rect", x=1, y=1, width=room_px, height=HIGH_PX - 2, class_="room")]
    if week.away_min:
        high = HIGH_PX - 6
        parts += [
            tag("rect", x=1, y=3, width=work_px, height=high, class_="used"),
            tag("rect", x=1 + work_px, y=3, width=around_px, height=high, class_="around"),
        ]
    return _drawing(BAR_PX + 2, *parts)


def _drawing(wide_px: int, *parts: Markup) -> Markup:
    return tag("svg", *parts, width=wide_px, height=HIGH_PX, class_="load-bar", aria_hidden="true")
