"""Stretches of days in words and put together."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date, timedelta

from orchardcal.outputs.speech import Speech
from orchardcal.season import Span
from orchardcal.sentence import say


def span_in_words(span: Span, speech: Speech) -> str:
    """ "23 Oct – 10 Feb", for tables whose season says the year."""
    first, last = speech.month_day(span.first), speech.month_day(span.last)
    if span.first == span.last:
        return first
    return speech.sentence(say("{first} – {last}", first=first, last=last))


def merged(spans: Iterable[Span], gap_days: int = 0) -> tuple[Span, ...]:
    """The spans put together where they overlap, touch, or lie at most so many days apart."""
    found: list[Span] = []
    for span in sorted(spans):
        reach = found[-1].last + timedelta(days=1 + gap_days) if found else None
        if reach is not None and span.first <= reach:
            found[-1] = Span(found[-1].first, max(found[-1].last, span.last))
        else:
            found.append(span)
    return tuple(found)


def runs(days: Iterable[date], gap_days: int = 0) -> tuple[Span, ...]:
    """Single days as stretches."""
    return merged((Span(day, day) for day in days), gap_days)
