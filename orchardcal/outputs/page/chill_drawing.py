"""The chill of this season against past ones, with the needs marked, and the tables behind it."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import numpy as np

from orchardcal.outputs.page.facts import Chill, Floats
from orchardcal.outputs.page.frame import folded, scrolled
from orchardcal.outputs.page.markup import Markup, figure, tag
from orchardcal.outputs.page.season_days import RISKS, of_ten, season_day_in_words
from orchardcal.outputs.speech import Speech
from orchardcal.sentence import Listed, Sentence, Words, say

FIRST_DAY, LAST_DAY = 62, 319  # 1 September to 16 May; half a year later in the south
HEIGHT_PX, FOOT_PX, LABEL_PX = 330, 24, 16  # the months stand in the foot
STEP_DAYS, MOST_CURVES = 4, 40
PORTIONS_STEP = 20
STEADY = "non-scaling-stroke"  # lines as thick in any width of the page


def chill_told(chill: Chill, speech: Speech) -> tuple[Markup, ...]:
    """Legend, drawing and tables."""
    table = speech.words("The same as a table")
    title = speech.words("Chill portions by day")
    parts = [
        *(tag("p", speech.sentence(sentence)) for sentence in _in_short(chill)),
        tag("div", _drawing(chill, speech), class_="chart"),
        _legend(chill, speech),
        folded(table, scrolled(title, _by_day(chill, title, speech))),
    ]
    if chill.needs:
        title = speech.words("When the need for chill is met")
        parts.append(scrolled(title, _needs(chill, title, speech)))
    return tuple(parts)


def _in_short(chill: Chill) -> Iterable[Sentence]:
    """What chill is, and how this season's stands against the past ones' on the same day."""
    yield say(
        "Buds count the cool hours of winter, here in chill portions from {day} on; only with"
        " enough of them does warmth open the buds evenly.",
        day=chill.season.day(FIRST_DAY),
    )
    known = len(chill.so_far)
    if known <= FIRST_DAY:
        return
    own = round(float(chill.so_far[-1]))
    below = int((chill.past[:, known - 1] < chill.so_far[-1]).sum())
    yield say(
        "By {day} this season has {own}; of {number} earlier seasons {below} had fewer by then.",
        day=chill.season.day(known - 1),
        own=own,
        number=len(chill.past),
        below=below,
    )


def _drawing(chill: Chill, speech: Speech) -> Markup:
    top = _top(chill)
    parts = [
        *_levels(top),
        *_months(chill, speech),
        _curves(chill, top),
        *_need_lines(chill, top, speech),
    ]
    label = speech.words(
        "Running chill portions of this season and of past ones; the numbers are in the tables"
        " below."
    )
    return tag("svg", *parts, width="100%", height=HEIGHT_PX, role="img", aria_label=label)


def _top(chill: Chill) -> float:
    highest = [float(chill.past.max()), *(need for _, need in chill.needs), 10.0]
    return 1.08 * max(highest)


def _curves(chill: Chill, top: float) -> Markup:
    """The curves in a frame of their own, stretched to the width of the page."""
    known = min(len(chill.so_far), LAST_DAY)
    begin = max(known - 1, FIRST_DAY)
    every = -(-len(chill.past) // MOST_CURVES)
    low, middle, high = (chill.ahead[at] for at in range(3))
    days = range(begin, LAST_DAY + 1)
    band = [*((day, low[day]) for day in days), *((day, high[day]) for day in reversed(days))]
    parts = [
        tag(
            "path",
            d=Markup("".join(_path(_points(c), top) for c in chill.past[::every])),
            class_="past",
            vector_effect=STEADY,
        ),
        tag(
            "path",
            d=Markup(_path(band[::STEP_DAYS], top) + "z"),
            class_="maybe",
            vector_effect=STEADY,
        ),
        tag("path", d=_path(_points(middle, begin), top), class_="ahead", vector_effect=STEADY),
    ]
    if known > FIRST_DAY + 1:
        parts.append(
            tag(
                "path",
                d=_path(_points(chill.so_far[:known]), top),
                class_="now",
                vector_effect=STEADY,
            )
        )
    width = LAST_DAY - FIRST_DAY
    return tag(
        "svg",
        *parts,
        viewBox=f"0 0 {width} {HEIGHT_PX}",
        preserveAspectRatio="none",
        width="100%",
        height=HEIGHT_PX,
    )


def _points(values: Floats, begin: int = FIRST_DAY) -> list[tuple[int, float]]:
    end = min(len(values), LAST_DAY + 1)
    days = [*range(begin, end, STEP_DAYS)]
    if days and days[-1] != end - 1:
        days.append(end - 1)
    return [(day, float(values[day])) for day in days]


def _path(points: Sequence[tuple[int, float]], top: float) -> Markup:
    places = [f"{day - FIRST_DAY} {_y(value, top):.1f}" for day, value in points]
    return Markup("M" + "L".join(places))


def _y(portions: float, top: float) -> float:
    return (HEIGHT_PX - FOOT_PX) * (1 - portions / top)


def _levels(top: float) -> Iterable[Markup]:
    for level in range(PORTIONS_STEP, int(top) + 1, PORTIONS_STEP):
        y = figure(_y(level, top))
        yield tag("line", x1="0", x2="100%", y1=y, y2=y, class_="rule")
        yield tag("text", str(level), x="100%", y=y, dy=-4, dx=-4, class_="level")


def _months(chill: Chill, speech: Speech) -> Iterable[Markup]:
    number = 0
    for season_day in range(FIRST_DAY, LAST_DAY):
        day = chill.season.day(season_day)
        if day.day == 1:
            x = f"{figure(100 * (season_day - FIRST_DAY) / (LAST_DAY - FIRST_DAY))}%"
            yield tag("line", x1=x, x2=x, y1=0, y2="100%", class_="rule")
            key = "month other" if number % 2 else "month"
            yield tag("text", speech.month(day), x=x, y=HEIGHT_PX - 6, dx=4, class_=key)
            number += 1


def _need_lines(chill: Chill, top: float, speech: Speech) -> Iterable[Markup]:
    """A line for each need; its label above, or higher where another label is in the way."""
    free = float(HEIGHT_PX)
    alike: dict[int, list[str]] = {}
    for name, need in chill.needs:
        alike.setdefault(round(need), []).append(name)
    for need in alike:
        y = figure(_y(need, top))
        yield tag("line", x1="0", x2="100%", y1=y, y2=y, class_="need")
    for need, names in sorted(alike.items()):
        trees = Listed(tuple(Words(name) for name in names))
        words = say("{trees} {portions}", trees=trees, portions=need)
        free = min(_y(need, top) - 4, free)
        shown = speech.sentence(words)
        yield tag("text", shown, x=6, y=figure(free), class_="need", paint_order="stroke")
        free -= LABEL_PX


def _legend(chill: Chill, speech: Speech) -> Markup:
    number = len(chill.past)
    seasons = (
        say("{count} past season", plural="{count} past seasons", count=number)
        if chill.observed
        else say("{count} modelled season", plural="{count} modelled seasons", count=number)
    )
    entries = [("past", speech.sentence(seasons))]
    if len(chill.so_far) > FIRST_DAY + 1:
        last = chill.season.day(len(chill.so_far) - 1)
        entries.append(("now", speech.sentence(say("this season up to {day}", day=last))))
        ahead = speech.words("what may follow: the middle, and 8 seasons of 10")
    else:
        ahead = speech.words("the middle season, and 8 seasons of 10")
    entries.append(("ahead", ahead))
    if chill.needs:
        entries.append(("need", speech.words("chill the trees usually need")))
    items = (
        tag(
            "li",
            tag(
                "svg",
                tag("line", x1=0, x2=28, y1=7, y2=7, class_=key),
                width=28,
                height=14,
                aria_hidden="true",
            ),
            words,
        )
        for key, words in entries
    )
    return tag("ul", *items, class_="legend")


def _by_day(chill: Chill, title: str, speech: Speech) -> Markup:
    past = np.quantile(chill.past, RISKS, axis=0)
    columns = [
        speech.words("Day"),
        *(
            speech.sentence(say("{odds} past seasons had at most", odds=of_ten(share, speech)))
            for share in RISKS
        ),
        speech.words("this season had"),
    ]
    rows = []
    for season_day in range(FIRST_DAY, LAST_DAY + 1):
        day = chill.season.day(season_day)
        if day.day not in (1, 16):
            continue
        own = float(chill.so_far[season_day]) if season_day < len(chill.so_far) else None
        cells = [*(speech.value(round(float(row[season_day]))) for row in past)]
        cells.append("–" if own is None else speech.value(round(own)))
        rows.append(_row(speech.month_day(day), cells))
    return _table(title, columns, rows)


def _needs(chill: Chill, title: str, speech: Speech) -> Markup:
    met = {row.name: row.at for row in chill.met}
    columns = [
        speech.words("Of"),
        speech.words("chill portions"),
        *(speech.sentence(say("{odds} seasons by", odds=of_ten(share, speech))) for share in RISKS),
    ]
    rows = []
    for name, need in chill.needs:
        cells = [speech.value(round(need))]
        if name in met:
            cells += [season_day_in_words(day, chill.season, speech) for day in met[name]]
        else:
            cells += ["–"] * len(RISKS)
        rows.append(_row(speech.words(name), cells))
    return _table(title, columns, rows)


def _table(title: str, columns: Sequence[str], rows: Iterable[Markup]) -> Markup:
    head = tag("tr", *(tag("th", column, scope="col") for column in columns))
    body = tag("tbody", *rows)
    return tag("table", tag("caption", title), tag("thead", head), body, class_="dates")


def _row(first: str, cells: Iterable[str]) -> Markup:
    return tag("tr", tag("th", first, scope="row"), *(tag("td", cell) for cell in cells))
