"""When to look again: "2 weeks", "1 year", "a season" or a date, as a day."""

from __future__ import annotations

import re
from datetime import date

from dateutil.relativedelta import relativedelta

from orchardcal.errors import Problems, Spot
from orchardcal.journal.entries import plain
from orchardcal.journal.in_words import day_in_words
from orchardcal.season import Season

LONGEST_YEARS = 10
INSTEAD = 'Write "2 weeks", "3 months", "1 year", "a season" or a date as 2027-03-20.'
_RELATIVE = re.compile(r"(?:in )?(\d{1,4}|[a-z]+) (day|week|month|season|year)s?")
_COUNTS = {"a": 1, "an": 1, "one": 1, "next": 1, "two": 2, "three": 3, "four": 4, "six": 6}


def day_until(written: str, day: date, southern: bool, problems: Problems) -> date | None:
    """The day meant, counted from the day of putting off, or None after a problem.

    Months and years keep the day of the month where there is one (31 January and a month is the
    last of February). A season is a season of care: "a season" on is the first day of the next.

    >>> day_until("1 month", date(2027, 1, 31), False, Problems())
    datetime.date(2027, 2, 28)
    """
    try:
        until = _counted(plain(written), day, southern) or date.fromisoformat(written.strip())
    except (ValueError, OverflowError):
        problems.add(Spot("--until"), f'"{written}" is no time to look again', INSTEAD)
        return None
    if until <= day:
        problems.add(
            Spot("--until"),
            f"{day_in_words(until)} is not after {day_in_words(day)}, when it was put off",
            INSTEAD,
        )
        return None
    if until > day + relativedelta(years=LONGEST_YEARS):
        problems.add(
            Spot("--until"),
            f"{day_in_words(until)} is more than {LONGEST_YEARS} years on",
            "Choose a nearer day; the cut can be put off again then.",
        )
        return None
    return until


def _counted(words: str, day: date, southern: bool) -> date | None:
    relative = _RELATIVE.fullmatch(words)
    if not relative:
        return None
    number, unit = relative.groups()
    count = int(number) if number.isdigit() else _COUNTS.get(number)
    if count is None:
        return None
    if unit == "season":
        return Season(Season.containing(day, southern).harvest_year + count, southern).first
    if unit == "day":
        return day + relativedelta(days=count)
    if unit == "week":
        return day + relativedelta(weeks=count)
    return day + (relativedelta(months=count) if unit == "month" else relativedelta(years=count))
