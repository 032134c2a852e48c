"""Weeks across: a season's windows as bars and its visits as marks, over an axis like a twig."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from orchardcal.outputs.page.markup import Markup, figure, joined, tag
from orchardcal.outputs.page.spans import merged
from orchardcal.outputs.speech import Speech
from orchardcal.plan.plan import DONE, OVERDUE, CareWindow, Job, SitePlan
from orchardcal.season import Span

BACK_DAYS = 92  # done work and windows further back than this are not drawn
AXIS_PX, TWIG_PX = 44, 36
LEAF = "M0 -15c5 3 7 8 0 15c-7 -7 -5 -12 0 -15z"  # a leaf whose stalk stands on the day
MARKS = {DONE: "done", OVERDUE: "late"}


@dataclass(frozen=True)
class Axis:
    """Whole months from left to right; places are percentages of the width."""

    span: Span
    as_of: date

    def x(self, day: date) -> float:
        return 100 * (day - self.span.first).days / len(self.span)

    def months(self) -> Iterator[date]:
        day = self.span.first
        while day <= self.span.last:
            yield day
            day = _next_month(day)

    def mondays(self) -> Iterator[date]:
        return (day for day in self.span.days() if day.weekday() == 0)


def axis_of(sites: Iterable[SitePlan], as_of: date) -> Axis:
    """The months of the as-of day, of every window and of every job, and no more."""
    earliest = as_of - timedelta(days=BACK_DAYS)
    spans = [entry.span for site in sites for entry in site.windows]
    spans += [Span(job.day, job.day) for site in sites for job in site.jobs]
    spans = [*(span for span in spans if span.last >= earliest), Span(as_of, as_of)]
    first = max(min(span.first for span in spans), earliest).replace(day=1)
    last = _next_month(max(span.last for span in spans)) - timedelta(days=1)
    return Axis(Span(first, last), as_of)


def axis_drawing(axis: Axis, speech: Speech, grid: str = "grid") -> Markup:
    """Months and weeks along a twig, a bud at each month and a leaf on the as-of day.

    It also defines the lines that every row repeats, under the id `grid`.
    """
    parts = [_line(axis.x(day), TWIG_PX, TWIG_PX + 5, "week") for day in axis.mondays()]
    parts.append(tag("line", x1="0", x2="100%", y1=TWIG_PX, y2=TWIG_PX, class_="twig"))
    for number, month in enumerate(axis.months()):
        at = _percent(axis.x(month))
        parts.append(tag("circle", cx=at, cy=TWIG_PX, r=3, class_="bud"))
        every = "month" if number % 2 == 0 else "month other"
        parts.append(tag("text", speech.month(month), x=at, y=24, dx=5, class_=every))
        if number == 0 or month.month == 1:
            parts.append(tag("text", str(month.year), x=at, y=10, dx=5, class_="year"))
    lines = [_line(axis.x(month), 0, "100%", "rule") for month in axis.months()]
    if axis.as_of in axis.span:
        leaf = tag("path", d=LEAF, class_="leaf")
        at = _percent(axis.x(axis.as_of))
        parts.append(tag("svg", leaf, x=at, y=TWIG_PX, overflow="visible"))
        lines.append(_line(axis.x(axis.as_of), 0, "100%", "asof"))
    parts.append(tag("defs", tag("g", *lines, id=grid)))
    return tag("svg", *parts, class_="axis", height=AXIS_PX, width="100%", aria_hidden="true")


def row_drawing(
    axis: Axis,
    lanes: Sequence[tuple[str, Sequence[CareWindow], Sequence[Job]]],
    closed: Iterable[Span],
    lane_px: int,
) -> Markup:
    """One row: for each lane (style key, windows, jobs) its bars and marks, one below the other."""
    height = lane_px * len(lanes) + 6
    parts = [bar(axis, span, 0, "100%", "closed") for span in closed if axis.span.overlap(span)]
    parts.append(tag("use", href="#grid"))
    for at, (key, windows, jobs) in enumerate(lanes):
        top = 3 + at * lane_px
        spans = merged(window.span for window in windows)
        drawn = [
            bar(axis, span, top + 2, lane_px - 4, None) for span in spans if axis.span.overlap(span)
        ]
        marks = sorted({(job.day, MARKS.get(job.state, "")) for job in jobs})
        drawn += [
            tag(
                "circle",
                cx=_percent(axis.x(day) + 50 / len(axis.span)),
                cy=figure(top + lane_px / 2),
                r=min(6, lane_px // 2) + (mark == "late"),
                class_=mark or None,
            )
            for day, mark in marks
            if day in axis.span
        ]
        if drawn:
            parts.append(tag("g", *drawn, class_=key))
    return tag("svg", *parts, class_="row", height=height, width="100%", aria_hidden="true")


def legend(entries: Iterable[tuple[str, str]], speech: Speech, as_of: date) -> Markup:
    """What colours and marks mean. entries: style key and name of each lane."""
    lanes = [
        tag("li", _sample(tag("rect", x=1, y=3, width=26, height=8, rx=3), key), name)
        for key, name in entries
    ]
    marks = [
        tag(
            "li",
            _sample(
                tag("circle", cx=14, cy=7, r=6 if mark == "late" else 5, class_=mark or None),
                "plain",
            ),
            words,
        )
        for mark, words in (
            ("", speech.words("visit")),
            ("done", speech.words("done")),
            ("late", speech.words("overdue")),
        )
    ]
    closed = tag(
        "li",
        _sample(tag("rect", x=1, y=0, width=26, height=14, class_="closed"), "plain"),
        speech.words("closed"),
    )
    leaf = tag("svg", tag("path", d=LEAF, class_="leaf"), x=14, y=14, overflow="visible")
    today = tag(
        "li", _sample(leaf, "plain"), joined([speech.words("as of"), " ", speech.day(as_of)])
    )
    return tag("ul", *lanes, *marks, closed, today, class_="legend")


def _sample(drawing: Markup, key: str) -> Markup:
    group = tag("g", drawing, class_=key)
    return tag("svg", group, width=28, height=14, aria_hidden="true")


def bar(axis: Axis, span: Span, top: int, height: int | str, key: str | None) -> Markup:
    """The part of the span that the axis shows, as a bar."""
    shown = axis.span.overlap(span)
    assert shown is not None
    return tag(
        "rect",
        x=_percent(axis.x(shown.first)),
        y=top,
        width=_percent(100 * len(shown) / len(axis.span)),
        height=height,
        rx=None if key else 3,
        class_=key,
    )


def _line(x: float, y1: int, y2: int | str, key: str) -> Markup:
    return tag("line", x1=_percent(x), x2=_percent(x), y1=y1, y2=y2, class_=key)


def _percent(number: float) -> Markup:
    return Markup(f"{figure(number)}%")


def _next_month(day: date) -> date:
    return (day.replace(day=1) + timedelta(days=32)).replace(day=1)
