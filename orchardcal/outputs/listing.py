"""A plan as a table a person can read in a terminal: jobs by day, then what found no day."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from datetime import date

from orchardcal.care import TITLES
from orchardcal.outputs.speech import Speech
from orchardcal.plan.crew_load import CrewLoad, crew_loads
from orchardcal.plan.plan import DONE, Job, NotPlaced, Plan, SitePlan
from orchardcal.plan.season_supplies import supplies_of
from orchardcal.sentence import Distance, Hours, Listed, Volume
from orchardcal.sites.crew_settings import CrewSettings

WORK_DAY_HEADINGS = ("Site", "Day", "Hours", "Volunteers", "Leaders", "Rain date")
HEADINGS = ("Day", "Hours", "Care", "Trees", "May be done", "Suits", "People")
LOAD_HEADINGS = ("Crew", "Week of", "Hours away", "Hours it has", "Days out", "Visits", "Distance")
UNPLACED = ("no day", "order", "no crew")
KINDS = {
    "no day": "No day found",
    "order": "No day found in order",
    "no crew": "No place found with a crew",
    "no window": "No window",
    "passed": "Time has passed",
    "later": "Waits for a later season",
    "not needed": "Not needed",
    "never": "Not done on these trees",
}


def listing(plan: Plan, speech: Speech) -> str:
    """Every site: its jobs, each care without a day and the nearest change; then the work days.

    Where the programme has crews, each job names its own, and their load and the supplies follow.
    """
    sites = (site_listing(site, plan.crews, speech) for site in plan.sites)
    return "\n\n".join([*sites, listing_end(plan, speech)])


def listing_end(plan: Plan, speech: Speech) -> str:
    """What follows the last site. A plan at a glance will do."""
    total = sum(len(site.jobs) for site in plan.sites)
    without = sum(entry.kind in UNPLACED for s in plan.sites for entry in s.not_placed)
    parts = [
        f"{total} jobs at {len(plan.sites)} sites as of {speech.day(plan.as_of)};"
        f" {without} without a day."
    ]
    if plan.work_days:
        parts.append("\n".join(["Volunteer work days:", "", *_work_days(plan, speech)]))
    if plan.crews:
        parts += [
            "\n".join(["Load of the crews:", "", *_load(plan, speech)]),
            _supplies(plan, speech),
        ]
    return "\n\n".join(parts) + "\n"


def site_listing(site: SitePlan, programme_crews: Sequence[CrewSettings], speech: Speech) -> str:
    """One site."""
    crews = {crew.key: crew.name for crew in programme_crews}
    seasons = " and ".join(str(season) for season in site.seasons)
    head = f"{site.name} ({site.site}), season {seasons}"
    lines = [head, "=" * len(head)]
    lines += [f"  {speech.sentence(note)}" for note in site.notes]
    if site.jobs:
        headings = (*HEADINGS, "Crew") if crews else HEADINGS
        lines += ["", *table([headings, *(_row(job, crews, speech) for job in site.jobs)])]
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


def _load(plan: Plan, speech: Speech) -> Iterable[str]:
    """The weeks in which a crew goes out, and after them how many it does not."""
    loads = crew_loads(plan)
    rows = [row for load in loads for row in _weeks(load, speech)]
    yield from table([LOAD_HEADINGS, *rows])
    for load in loads:
        without = sum(week.trips == 0 for week in load.weeks)
        if without and load.days:
            weeks = "week" if without == 1 else "weeks"
            yield f"  {load.crew.name}: no work in {without} more {weeks}."
        elif not load.days:
            yield f"  {load.crew.name}: no work."


def _weeks(load: CrewLoad, speech: Speech) -> Iterable[tuple[str, ...]]:
    for week in load.weeks:
        if week.trips:
            yield (
                load.crew.name,
                speech.day(week.monday),
                speech.value(Hours(week.away_min / 60)),
                speech.value(Hours(week.capacity_min / 60)),
                str(week.trips),
                str(week.visits),
                speech.value(Distance(week.km)),
            )


def _supplies(plan: Plan, speech: Speech) -> str:
    every = supplies_of(visit for site in plan.sites for visit in site.supplies)
    tools = every.tools
    amounts = (
        (every.paint_mix_l, "white paint mix"),
        (every.spray_l, "spray to run-off (oil as the label says)"),
        (every.alcohol_l, "70 % alcohol"),
    )
    parts = [f"{speech.value(Volume(litres))} of {what}" for litres, what in amounts if litres]
    counts = (
        (tools.pruners, "pruners"),
        (tools.loppers, "loppers"),
        (tools.saws, "pruning saws"),
        (tools.brushes, "brushes"),
    )
    busiest = [f"{count} {what}" for count, what in counts if count]
    if busiest:
        parts.append(f"on the busiest day {speech.value(Listed(tuple(busiest)))}")
    return f"Supplies for the season: {'; '.join(parts) or 'none'}."


def _row(job: Job, crews: Mapping[str, str], speech: Speech) -> tuple[str, ...]:
    return (
        speech.day(job.day),
        "" if job.state == DONE else f"{speech.clock(job.start)}-{speech.clock(job.end)}",
        TITLES[job.care] + ("" if job.state == "planned" else f" [{job.state}]"),
        f"{job.trees}: {', '.join(job.plantings)}",
        _span(job.window.first, job.window.last, speech),
        odds_of(job),
        "" if job.state == DONE else str(job.people),
        *((crews.get(job.crew, ""),) if crews else ()),
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
    deciding = entry.why[-1] if entry.kind in UNPLACED else entry.why[0]
    return head + speech.sentence(deciding)


def table(rows: Sequence[Sequence[str]]) -> Iterable[str]:
    widths = [max(len(row[at]) for row in rows) for at in range(len(rows[0]))]
    for row in rows:
        cells = (cell.ljust(width) for cell, width in zip(row, widths, strict=True))
        yield ("  " + "  ".join(cells)).rstrip()
