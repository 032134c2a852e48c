"""Freeze odds: a bar for each threshold over the season, and the table of days behind it."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from datetime import date

from orchardcal.outputs.page.frame import scrolled
from orchardcal.outputs.page.markup import Markup, tag
from orchardcal.outputs.page.season_days import of_ten, season_day_in_words
from orchardcal.outputs.page.strip import Axis, axis_drawing, bar
from orchardcal.outputs.speech import Speech
from orchardcal.season import DAYS, Season, Span
from orchardcal.sentence import Celsius, say
from orchardcal.windows.climate_facts import FreezeOdds

GRID = "frost-grid"
ROW_PX = 22
FIRST_SHARES, LAST_SHARES = (0.1, 0.5, 0.9), (0.9, 0.5, 0.1)


def freezes_told(
    freezes: Sequence[FreezeOdds], season: Season, as_of: date, speech: Speech
) -> tuple[Markup, ...]:
    """Drawing and table of the first freeze of autumn and the last of spring."""
    axis = Axis(season.span, as_of)
    rows = []
    for odds in freezes:
        rows.append(tag("div", speech.value(Celsius(odds.threshold_c)), class_="label"))
        rows.append(_row(odds, axis, season))
    drawing = tag(
        "div",
        tag("div", class_="label"),
        axis_drawing(axis, speech, GRID),
        *rows,
        class_="weeks",
    )
    words = tag(
        "p",
        speech.words(
            "Dark: it has frozen in 9 seasons of 10 and will again. Light: in some seasons, not in"
            " others. Blank: fewer than 1 season in 10 freezes then."
        ),
        class_="muted",
    )
    return drawing, words, _table(freezes, season, speech)


def _row(odds: FreezeOdds, axis: Axis, season: Season) -> Markup:
    bars = [bar(axis, span, 3, ROW_PX - 6, key) for key, span in _spans(odds, season)]
    grid = tag("use", href=f"#{GRID}")
    return tag("svg", grid, *bars, class_="row", height=ROW_PX, width="100%", aria_hidden="true")


def _spans(odds: FreezeOdds, season: Season) -> Iterator[tuple[str, Span]]:
    """From 1 season in 10 to 1 in 10 light, and from 9 in 10 to 9 in 10 dark over it."""
    for key, share in (("frost-soft", 0.1), ("frost", 0.9)):
        first, last = odds.first[share], odds.last[share]
        if first is None or last is None or math.isinf(first) or math.isinf(last):
            continue
        begin, end = max(0, round(first)), min(DAYS - 1, round(last))
        if begin <= end:
            yield key, Span(season.day(begin), season.day(end))


def _table(freezes: Sequence[FreezeOdds], season: Season, speech: Speech) -> Markup:
    title = speech.words("Days of the first and the last freeze")
    columns = [
        speech.words("At or below"),
        *(
            speech.sentence(say("First: {odds} seasons by", odds=of_ten(share, speech)))
            for share in FIRST_SHARES
        ),
        *(
            speech.sentence(say("Last: {odds} seasons after", odds=of_ten(share, speech)))
            for share in LAST_SHARES
        ),
        speech.words("Seasons with a freeze"),
    ]
    rows = []
    for odds in freezes:
        days = [odds.first[share] for share in FIRST_SHARES]
        days += [odds.last[share] for share in LAST_SHARES]
        count = say("{with_freeze} of {all}", with_freeze=odds.with_freeze, all=odds.seasons)
        cells = [
            *(season_day_in_words(day, season, speech) for day in days),
            speech.sentence(count),
        ]
        threshold = speech.value(Celsius(odds.threshold_c))
        rows.append(
            tag("tr", tag("th", threshold, scope="row"), *(tag("td", cell) for cell in cells))
        )
    head = tag("tr", *(tag("th", column, scope="col") for column in columns))
    body = tag("tbody", *rows)
    table = tag("table", tag("caption", title), tag("thead", head), body, class_="dates")
    return scrolled(title, table)
