"""Closures, school terms and hours: from site.toml to checked values."""

from __future__ import annotations

import re
from collections.abc import Iterable
from datetime import date, time, timedelta

from orchardcal.season import Span
from orchardcal.sites.repeating import days_of_rule
from orchardcal.sites.site import Closure
from orchardcal.sites.toml_table import TomlTable

RULE_BEGINS = date(2000, 1, 1)  # where a rule without INTERVAL or COUNT names no first day
RULE_ENDS = date(2200, 12, 31)
FIRST_YEARS_DAYS = 8 * 366  # a rule that names no day within them is a mistake
LEAP_YEAR = 2000  # carries month-and-day ranges, 29 February among them
_FREQUENCIES = ("YEARLY", "MONTHLY", "WEEKLY", "DAILY")
_EXAMPLE = (
    'Write first = 2026-12-21 and last = 2027-01-03, or every_year = "12-21 to 01-03", '
    'or rule = "FREQ=MONTHLY;BYDAY=1FR".'
)


def closures(tables: Iterable[TomlTable], kind: str) -> tuple[Closure, ...]:
    """The stretches of days that [[closure]] or [[pupils.term]] tables name."""
    found = []
    for table in tables:
        name = table.text("name", kind, lines=False)
        ways = [way for way in ("rule", "every_year", "first") if way in table]
        if "last" in table and not ways:
            ways = ["first"]
        if not ways:
            table.wrong("", f'{kind} "{name}" has no days', _EXAMPLE)
        elif ways[0] == "rule":
            found.append(_by_rule(table, name))
        elif ways[0] == "every_year":
            found.append(_each_year(table, name))
            if "first" in ways:
                table.wrong("first", f'{kind} "{name}" has both first and every_year', _EXAMPLE)
        else:
            found.append(_once(table, name))
        for key in ("rule", "rule_days", "every_year", "first", "last"):
            table.raw(key)
        if "rule_days" in table and "rule" not in table:
            table.wrong("rule_days", "rule_days stands without a rule", _EXAMPLE)
        table.refuse_unknown_keys()
    return tuple(closure for closure in found if closure is not None)


def hours(table: TomlTable, key: str, default: tuple[time, time]) -> tuple[time, time]:
    """When a visit may begin at the earliest and must have ended, from "08:30-16:00"."""
    value = table.text(key)
    if not value:
        return default
    match = re.fullmatch(r"(\d{1,2}[:.]\d\d)\s*(?:-|–|to)\s*(\d{1,2}[:.]\d\d)", value)
    try:
        if match is None:
            raise ValueError
        opens, closes = (
            time.fromisoformat(part.replace(".", ":").zfill(5)) for part in match.groups()
        )
    except ValueError:
        table.wrong(key, f'{key} is "{value}"', f'Write {key} = "08:30-16:00", 24 hours a day.')
        return default
    if opens >= closes:
        table.wrong(key, f'{key} "{value}" end before they begin', f'Write {key} = "08:30-16:00".')
        return default
    return opens, closes


def month_day(text: str) -> tuple[int, int] | None:
    """Month and day from "04-20", or None; 29 February is allowed.

    >>> month_day("04-20"), month_day("20-04"), month_day("02-29")
    ((4, 20), None, (2, 29))
    """
    match = re.fullmatch(r"(\d{1,2})-(\d{1,2})", text.strip())
    if match is None:
        return None
    try:
        day = date(LEAP_YEAR, int(match[1]), int(match[2]))
    except ValueError:
        return None
    return day.month, day.day


def _once(table: TomlTable, name: str) -> Closure | None:
    first = table.day("first", required="Write first = 2026-12-21.")
    last = table.day("last") or first
    if first is None or last is None:
        return None
    if last < first:
        table.wrong("last", f'"{name}" ends {last} before it begins {first}', "Exchange them.")
        return None
    return Closure(name, Span(first, last))


def _each_year(table: TomlTable, name: str) -> Closure | None:
    text = table.text("every_year")
    ends = [month_day(part) for part in re.split(r"\s+to\s+|\s*[–/]\s*", text)]
    if len(ends) > 2 or any(end is None for end in ends):
        table.wrong(
            "every_year",
            f'every_year is "{text}"',
            'Write every_year = "12-21 to 01-03", month first.',
        )
        return None
    (month, day), (last_month, last_day) = ends[0] or (1, 1), ends[-1] or (1, 1)
    year = LEAP_YEAR + ((last_month, last_day) < (month, day))
    if (last_month, last_day) == (2, 29):
        year = LEAP_YEAR if year == LEAP_YEAR else LEAP_YEAR + 4
    first = date(LEAP_YEAR if year == LEAP_YEAR else year - 1, month, day)
    return Closure(name, Span(first, date(year, last_month, last_day)), every_year=True)


def _by_rule(table: TomlTable, name: str) -> Closure | None:
    written = table.text("rule", lines=False)
    text = re.sub(r"^RRULE:", "", written.upper().replace(" ", ""))
    first, last = table.day("first"), table.day("last") or RULE_ENDS
    rule_days = table.whole("rule_days", 1, 60, 1)
    wrong = _rule_problem(text, first, last)
    if wrong is not None:
        table.wrong("rule", f'rule "{written}" {wrong[0]}', wrong[1])
        return None
    return Closure(name, Span(first or RULE_BEGINS, last), rule=text, rule_days=rule_days)


def _rule_problem(text: str, first: date | None, last: date) -> tuple[str, str] | None:
    """What is wrong with a rule and what to write, or None."""
    frequency = re.search(r"FREQ=([A-Z]+)", text)
    if frequency is None or frequency[1] not in _FREQUENCIES:
        known = ", ".join(_FREQUENCIES)
        return "names no known FREQ", f'One of {known}: rule = "FREQ=MONTHLY;BYDAY=1FR".'
    if re.search(r"INTERVAL=0*(;|$)|UNTIL", text):
        return (
            "holds INTERVAL=0 or UNTIL",
            "Leave INTERVAL out, and write the end as last = 2027-06-30 beside the rule.",
        )
    if first is None and re.search("INTERVAL|COUNT", text):
        return "counts from a day that is not given", "Write first = 2026-09-04 beside it."
    first = first or RULE_BEGINS
    if last < first:
        return f"ends {last} before it begins {first}", "Exchange first and last."
    try:
        soon = min(last, first + timedelta(days=FIRST_YEARS_DAYS))
        first_come = next(days_of_rule(text, first, soon), None)
    except (ValueError, TypeError) as trouble:
        return (
            f"cannot be read ({trouble})",
            "Write it as in RFC 5545, section 3.3.10: FREQ=MONTHLY;BYDAY=1FR is the first Friday "
            "of each month.",
        )
    if first_come is None:
        return (
            "names no day within its first eight years",
            "Check its month and day, and first and last.",
        )
    return None
