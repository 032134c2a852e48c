"""A plan as a table a person can read in a terminal: jobs by day, then what found no day."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date

from orchardcal.care import TITLES
from orchardcal.outputs.speech import Speech
from orchardcal.plan.plan import DONE, Job, NotPlaced, Plan, SitePlan

WORK_DAY_HEADINGS = ("Site", "Day", "Hours", "Volunteers", "Leaders", "Rain date")
HEADINGS = ("Day", "Hours", "Care", "Trees", "May be done", "Suits", "People")
KINDS = {
    "no day": "No day found",
    "order": "No day found in order",
    "no window": "No window",
    "passed": "Time has passed",
    "later": "Waits for a later season",
    "not needed": "Not needed",
    "never": "Not done on these trees",
}


def listing(plan: Plan, speech: Speech) -> str:
    """Every site: its jobs, each care without a day and the nearest change; then the work days."""
    parts = [_site(site, speech) for site in plan.sites]
    total = sum(len(site.jobs) for site in plan.sites)
    without = sum(entry.kind in ("no day", "order") for s in plan.sites for entry in s.not_placed)
    parts.append(
        f"{total} jobs at {len(plan.sites)} sites as of {speech.day(plan.as_of)};"
        f" {without} without a day."
    )
    if plan.work_days:
        parts.append("\n".join(["Volunteer work days:", "", *_work_days(plan, speech)]))
    return "\n\n".join(parts) + "\n"


def _site(site: SitePlan, speech: Speech) -> str:
    seasons = " and ".join(str(season) for season in site.seasons)
    head = f"{site.name} ({site.site}), season {seasons}"
    lines = [head, "=" * len(head)]
    lines += [f"  {speech.sentence(note)}" for note in site.notes]
    if site.jobs:
        lines += ["", *table([HEADINGS, *(_row(job, speech) for job in site.jobs)])]
    for kind, title in KINDS.items():
        entries = [entry for entry in site.not_placed if entry.kind == kind]
        if entries:
            lines += ["", f"  {title}:", *(_entry(entry, speech) for entry in entries)]
    return "\n".join(lines)


def _work_days(plan: Plan, speech: Speech) -> Iterable[str]:
    names = {site.site: site.name for site in plan.sites}
    rows = (
        (
            names[one.site],
            speech.day(one.day),
            f"{speech.clock(one.start)}-{speech.clock(one.end)}",
            str(one.people),
            str(one.leaders),
            "none" if one.rain_day is None else speech.day(one.rain_day),
        )
        for one in plan.work_days
    )
    return table([WORK_DAY_HEADINGS, *rows])


def _row(job: Job, speech: Speech) -> tuple[str, ...]:
    return (
        speech.day(job.day),
        "" if job.state == DONE else f"{speech.clock(job.start)}-{speech.clock(job.end)}",
        TITLES[job.care] + ("" if job.state == "planned" else f" [{job.state}]"),
        f"{job.trees}: {', '.join(job.plantings)}",
        _span(job.window.first, job.window.last, speech),
        odds_of(job),
        "" if job.state == DONE else str(job.people),
    )


def odds_of(job: Job) -> str:
    """ "7 of 10" seasons whose weather suits the day, "" where weather does not decide."""
    return "" if job.odds is None else f"{round(10 * job.odds)} of 10"


def _span(first: date, last: date, speech: Speech) -> str:
    begin = speech.day(first).split(" ", 1)[1]
    end = speech.day(last).split(" ", 1)[1]
    if first.year == last.year:
        begin = begin.rsplit(" ", 1)[0]
    return begin if first == last else f"{begin} - {end}"


def _entry(entry: NotPlaced, speech: Speech) -> str:
    """One line: the care, its trees, and the reason that decides; `why` tells the rest."""
    head = f"    {TITLES[entry.care]}, {', '.join(entry.plantings)}: "
    if entry.nearest is not None:
        return head + speech.sentence(entry.nearest)
    deciding = entry.why[-1] if entry.kind in ("no day", "order") else entry.why[0]
    return head + speech.sentence(deciding)


def table(rows: Sequence[Sequence[str]]) -> Iterable[str]:
    widths = [max(len(row[at]) for row in rows) for at in range(len(rows[0]))]
    for row in rows:
        cells = (cell.ljust(width) for cell, width in zip(row, widths, strict=True))
        yield ("  " + "  ".join(cells)).rstrip()
