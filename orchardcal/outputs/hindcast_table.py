"""A hindcast as a table for a terminal, counts with their interval, and as JSON."""

from __future__ import annotations

import json
import math
from collections import defaultdict
from dataclasses import asdict

from orchardcal.care import TITLES
from orchardcal.outputs.listing import table
from orchardcal.windows.hindcast import (
    AT_REST,
    AVERAGES,
    GUIDE,
    IN_TIME,
    SUITED,
    THIS_PLAN,
    WEEK_SUITED,
    DaysLost,
    Hindcast,
    Verdict,
)

HEADINGS = {
    AT_REST: "Leaves were down",
    IN_TIME: "Ended in time",
    SUITED: "Day's weather suited",
    WEEK_SUITED: "A day of the week did",
}
WAYS = (THIS_PLAN, GUIDE, AVERAGES)
NOT_ASKED = "-"
Cells = tuple[str, ...]


def hindcast_tables(found: Hindcast) -> str:
    """A row for each care, way of planning and kind of trees; alike trees share one."""
    first, last = found.years[0], found.years[-1]
    seen = found.observed_buds
    limits = (
        f"Bud dates seen on the trees judged {seen} times; elsewhere the model judged, fed with"
        " the season's true weather."
        if seen
        else "No bud date was seen on these trees: the model judged, fed with the season's true"
        " weather, so its own error is not in these counts."
    )
    head = ("Care", "Trees", "Planned by", *HEADINGS.values(), "Days left out")
    lines = [
        f"{len(found.years)} seasons, {first} to {last}, each planned from the others.",
        limits,
        "Leaf fall is the estimate under the season's true weather. In brackets: the 80 % interval"
        " of such a count, in percent.",
        "Days left out: usable days from leaf fall to the buds' limit outside the plan, median.",
        "",
        *table([head, *_rows(found)]),
    ]
    return "\n".join(lines) + "\n"


def _rows(found: Hindcast) -> list[Cells]:
    verdicts: dict[tuple[str, str, str], dict[str, Verdict]] = defaultdict(dict)
    for one in found.verdicts:
        verdicts[one.trees, one.care, one.way][one.question] = one
    trees: dict[tuple[str, str, Cells], list[str]] = defaultdict(list)
    for lost in found.lost:
        answers = verdicts[lost.trees, lost.care, lost.way]
        cells = (*(_cell(answers.get(question)) for question in HEADINGS), _days(lost))
        trees[lost.care, lost.way, cells].append(lost.trees)
    order = {key: at for at, key in enumerate(TITLES)}
    alike = sorted(
        trees.items(), key=lambda item: (order[item[0][0]], WAYS.index(item[0][1]), item[1])
    )
    return [(TITLES[care], ", ".join(names), way, *cells) for (care, way, cells), names in alike]


def _cell(one: Verdict | None) -> str:
    if one is None:
        return NOT_ASKED
    low, high = one.interval_80
    return f"{one.right} of {one.asked} ({100 * low:.0f}-{100 * high:.0f})"


def _days(one: DaysLost) -> str:
    days = NOT_ASKED if math.isnan(one.median) else f"{one.median:.0f}"
    return f"{days}; no window in {one.without_window}" if one.without_window else days


def hindcast_json(found: Hindcast) -> str:
    """The same counts as one JSON object; a count's 80 % interval beside it."""
    written = {
        "seasons": list(found.years),
        "bud_dates_seen": found.observed_buds,
        "verdicts": [
            {**asdict(one), "interval_80": [round(end, 3) for end in one.interval_80]}
            for one in found.verdicts
        ],
        "days_lost": [
            {**asdict(one), "median": None if math.isnan(one.median) else one.median}
            for one in found.lost
        ],
    }
    return json.dumps(written, indent=1, ensure_ascii=False) + "\n"
