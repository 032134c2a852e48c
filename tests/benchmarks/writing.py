"""Prints how fast a plan becomes feeds beside the icalendar library's own writing of its events.

    python -m tests.benchmarks.writing        (about two minutes)

20,000 events, then 1,000 feeds of sites: a first run, a run where nothing is kept but nothing
changed, and runs where 2 % changed and the rest is found by content, as the command `season` does
it. The library's events are built from the same texts; what is timed of it is each event's
`to_ical` alone, and beside it the building. All are timed in turn, so that ratios hold within one
run whatever else the machine does.
"""

from __future__ import annotations

import gc
import os
import platform
import statistics
import sys
import tempfile
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from datetime import timedelta
from importlib.metadata import version
from pathlib import Path
from typing import ParamSpec

from icalendar import Event

from orchardcal.commands.kept_results import KeptResults
from orchardcal.commands.season import RARELY
from orchardcal.commands.speaking_planner import SpeakingPlanner
from orchardcal.journal.published import EventText, Published
from orchardcal.outputs.event import component_of
from orchardcal.outputs.event_text import event_texts
from orchardcal.outputs.feed import feeds, published
from orchardcal.outputs.speech import Speech
from orchardcal.plan.plan import Job, Plan, SitePlan
from tests.outputs.invented_plan import LARKFIELD, PLAN, PRUNE, WINDOW

P = ParamSpec("P")
RUNS = 5
JOBS, WINDOWS = 8, 4  # of a site: what a site of mixed trees has in a season
SPEECH = Speech()
REVISED = "2026-11-25T00:00:00Z"
ONE_IN = 50  # 2 %


class PlansThere(SpeakingPlanner):
    """A planner whose plans are made: what is timed begins where planning ends."""

    def __init__(self, folder: Path, plan: Plan, keys: dict[str, str]) -> None:
        super().__init__(KeptResults(folder), with_facts=True)
        self._plans = {site.site: (keys[site.site], site) for site in plan.sites}


@dataclass(frozen=True)
class Row:
    """One line of the table: seconds of each run, and how many bytes were written."""

    what: str
    seconds: Sequence[float]

    @property
    def median_s(self) -> float:
        return statistics.median(self.seconds)


def main() -> int:
    gc.set_threshold(*RARELY)
    print(f"{_processor()}, {os.cpu_count()} cores, {platform.system()} {platform.release()}")
    print(f"Python {platform.python_version()}, icalendar {version('icalendar')}; {RUNS} runs each")
    for sites, what in ((20_000 // (JOBS + WINDOWS) + 1, "20,000 events"), (998, "1,000 feeds")):
        plan = _plan(sites)
        events = len(plan.jobs) + sum(len(site.windows) for site in plan.sites)
        print(f"\n{what}: {sites} sites, {events} events, {sites + 2} feeds\n")
        _print_table(_timed(plan), events)
    return 0


def _timed(plan: Plan) -> list[Row]:
    """Each way in turn, a few times over."""
    texts = event_texts(plan, SPEECH)
    rows = published(plan, (), SPEECH)
    few_sites = _changed(plan, lambda site, job: site % ONE_IN == 0)
    any_site = _changed(plan, lambda site, job: (site * JOBS + job) % ONE_IN == 0)
    taken: dict[str, list[float]] = {}
    with tempfile.TemporaryDirectory() as folder:
        kept = Path(folder) / "kept"
        keys = {site.site: KeptResults(kept).key("plan", site) for site in plan.sites}
        _feeds(plan, (), PlansThere(kept, plan, keys))
        for run in range(RUNS):
            library = [component_of(text, 0, REVISED) for text in texts]
            _time(taken, "icalendar: to_ical of each", _each_to_ical, library)
            del library
            _time(taken, "icalendar: build and to_ical", _by_library, texts)
            _time(taken, "first run, keeping nothing", _feeds, plan, ())
            new = PlansThere(Path(folder) / f"first {run}", plan, keys)
            _time(taken, "first run, keeping what it words", _feeds, plan, (), new)
            _time(taken, "again, nothing kept", _feeds, plan, rows)
            again = PlansThere(kept, plan, keys)
            _time(taken, "again, nothing changed", _feeds, plan, rows, again)
            for what, now in (("sites", few_sites), ("jobs of any site", any_site)):
                after = PlansThere(kept, now, _keys_after(plan, now, keys, f"{what} {run}"))
                _time(taken, f"again, 2 % of {what} changed", _feeds, now, rows, after)
    return [Row(what, seconds) for what, seconds in taken.items()]


def _time(
    taken: dict[str, list[float]],
    what: str,
    work: Callable[P, object],
    *args: P.args,
    **kw: P.kwargs,
) -> None:
    gc.collect()
    begin = time.perf_counter()
    work(*args, **kw)
    taken.setdefault(what, []).append(time.perf_counter() - begin)


def _feeds(
    plan: Plan, rows: Sequence[Published], planner: SpeakingPlanner | None = None
) -> dict[str, bytes]:
    if planner is None:
        return feeds(plan, published(plan, rows, SPEECH), SPEECH)
    return feeds(plan, published(plan, rows, SPEECH, planner.texts), SPEECH)


def _each_to_ical(library: Sequence[Event]) -> list[bytes]:
    return [event.to_ical() for event in library]


def _by_library(texts: Sequence[EventText]) -> list[bytes]:
    return [component_of(text, 0, REVISED).to_ical() for text in texts]


def _plan(sites: int) -> Plan:
    """Sites alike but for their names: jobs a week apart, each waiting for the one before it."""
    return replace(PLAN, sites=tuple(_site(number) for number in range(sites)))


def _site(number: int) -> SitePlan:
    key = f"site-{number}"
    jobs = tuple(
        replace(
            PRUNE,
            uid=f"{number}-job-{at}",
            site=key,
            day=PRUNE.day + timedelta(weeks=at),
            why=PRUNE.why * 2,
            do=PRUNE.do * 3,
        )
        for at in range(JOBS)
    )
    windows = tuple(replace(WINDOW, uid=f"{number}-window-{at}", site=key) for at in range(WINDOWS))
    return replace(LARKFIELD, site=key, name=f"School {number}", jobs=jobs, windows=windows)


def _changed(plan: Plan, meant: Callable[[int, int], bool]) -> Plan:
    """The plan with jobs of some sites a day later."""

    def moved(job: Job) -> Job:
        return replace(job, day=job.day + timedelta(days=1))

    sites = []
    for number, site in enumerate(plan.sites):
        jobs = tuple(moved(job) if meant(number, at) else job for at, job in enumerate(site.jobs))
        sites.append(site if jobs == site.jobs else replace(site, jobs=jobs))
    return replace(plan, sites=tuple(sites))


def _keys_after(before: Plan, now: Plan, keys: dict[str, str], run: str) -> dict[str, str]:
    """A site whose plan changed has a key that no run has seen."""
    return {
        new.site: keys[new.site] if new is old else f"{run} {new.site}"
        for old, new in zip(before.sites, now.sites, strict=True)
    }


def _print_table(rows: Sequence[Row], events: int) -> None:
    library = rows[0].median_s
    print(f"{'':36} {'seconds: median (min-max)':>26} {'events/s':>9} {'x to_ical':>9}")
    for row in rows:
        spread = f"{row.median_s:.3f} ({min(row.seconds):.3f}-{max(row.seconds):.3f})"
        speed = events / row.median_s
        print(f"{row.what:36} {spread:>26} {speed:9,.0f} {library / row.median_s:9.1f}")


def _processor() -> str:
    about = Path("/proc/cpuinfo")
    lines = about.read_text().splitlines() if about.is_file() else []
    names = [line.partition(":")[2].strip() for line in lines if line.startswith("model name")]
    return names[0] if names else platform.processor() or platform.machine()


if __name__ == "__main__":
    sys.exit(main())
