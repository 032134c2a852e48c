"""The days of a recurrence rule (RFC 5545, section 3.3.10), worked out by dateutil."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, datetime, time


def days_of_rule(rule: str, first: date, last: date) -> Iterator[date]:
    """Each day of a rule from first, which it counts from, to last; ValueError for a bad rule.

    >>> list(days_of_rule("FREQ=MONTHLY;BYDAY=1FR", date(2027, 1, 10), date(2027, 3, 31)))
    [datetime.date(2027, 2, 5), datetime.date(2027, 3, 5)]
    """
    from dateutil.rrule import rrulestr  # only sites with a rule need it

    for moment in rrulestr(rule, dtstart=datetime.combine(first, time())):
        if moment.date() > last:
            break
        yield moment.date()
