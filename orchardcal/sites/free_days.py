"""Which days a site is closed, and on which of them pupils are about."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, timedelta

from orchardcal.season import Span
from orchardcal.sites.repeating import days_of_rule
from orchardcal.sites.site import Closure, Site


def closed_days(site: Site, span: Span) -> dict[date, str]:
    """Each day of the span without any visit, in order, and why: closures, then public holidays.

    Weekdays outside site.weekdays are not closures.
    """
    names = dict(public_holidays(site.country, site.subdivision, span))
    for closure in reversed(site.closures):
        for stretch in stretches(closure, span):
            names.update(dict.fromkeys(stretch.days(), closure.name))
    return dict(sorted(names.items()))


def pupil_days(site: Site, span: Span) -> frozenset[date]:
    """The days of the span on which pupils are on the ground: term weekdays that are not closed."""
    closed = closed_days(site, span)
    return frozenset(
        day
        for term in site.pupil_terms
        for stretch in stretches(term, span)
        for day in stretch.days()
        if day.weekday() in site.pupil_weekdays and day not in closed
    )


def stretches(closure: Closure, span: Span) -> Iterator[Span]:
    """The parts of the span a closure covers, once for every time it comes round."""
    for whole in _whole_stretches(closure, span):
        part = whole.overlap(span)
        if part is not None:
            yield part


def public_holidays(country: str, subdivision: str, span: Span) -> Iterator[tuple[date, str]]:
    """The public holidays of a country (ISO 3166 code) and its subdivision; none without a country.

    Source: the holidays library (Vacanza), which people keep current country by country.
    """
    if not country:
        return
    import holidays  # slow to load, and not every run needs it

    years = range(span.first.year, span.last.year + 1)
    found = holidays.country_holidays(country, subdiv=subdivision or None, years=years)
    for day in sorted(found):
        if day in span:
            yield day, found[day]


def _whole_stretches(closure: Closure, span: Span) -> Iterator[Span]:
    if closure.rule:
        length = timedelta(days=closure.rule_days - 1)
        last = min(closure.span.last, span.last)
        for day in days_of_rule(closure.rule, closure.span.first, last):
            if day + length >= span.first:
                yield Span(day, day + length)
    elif closure.every_year:
        crosses = closure.span.last.year - closure.span.first.year
        for year in range(span.first.year - 1, span.last.year + 1):
            first = _in_year(closure.span.first, year)
            yield Span(first, _in_year(closure.span.last, year + crosses))
    else:
        yield closure.span


def _in_year(day: date, year: int) -> date:
    """The same month and day in a year; 29 February is the 28th where there is none."""
    if (day.month, day.day) == (2, 29):
        return date(year, 3, 1) - timedelta(days=1)
    return day.replace(year=year)
