"""Prints how fast a plan becomes feeds beside the icalendar library's own writing of its events.

    python -m tests.benchmarks.writing        (about ten minutes)

20,000 events, then 1,000 feeds of sites: a first run, a run where nothing is kept but nothing
changed, and runs where 2 % changed and the rest rests, as the command `season` does it; planning
is no part of them. The peer is the same feeds by the library alone: the components of the same
texts in a Calendar for each feed, each written by its `to_ical`, which writes an event once for
every feed it is in. Our runs begin with a plan, and so word the events too; the peer is given the
words. Beside it: `to_ical` of those calendars without the building, and of each event but once.

The last rows have the journal with them: what was published is read from it before and written to
it after. All are timed in turn, so that ratios hold within one run whatever else the machine does.
"""

from __future__ import annotations

import gc
import os
import platform
import shutil
import statistics
import sys
import tempfile
import time
from collections import defaultdict
from collections.abc import Callable, Mapping, Sequence
from contextlib import closing
from dataclasses import dataclass, replace
from datetime import timedelta
from importlib.metadata import version
from pathlib import Path
from typing import ParamSpec

from icalendar import Calendar, Event

from orchardcal.commands.gathered import Gathered
from orchardcal.commands.kept_results import KeptResults, packed, unpacked
from orchardcal.commands.laid_aside import LaidAside
from orchardcal.commands.workers import RARELY
from orchardcal.journal.published import EventText, Published
from orchardcal.journal.store import Store
from orchardcal.outputs.event import component_of
from orchardcal.outputs.event_text import event_texts
from orchardcal.outputs.feed import PRODID
from orchardcal.outputs.site_told import FilesTold, SiteTold, Telling, own_feed, site_told
from orchardcal.outputs.speech import Speech
from orchardcal.plan.plan import Job, Plan, SitePlan
from tests.outputs.invented_plan import LARKFIELD, PLAN, PRUNE, WINDOW

P = ParamSpec("P")
RUNS = 5
JOBS, WINDOWS = 8, 4  # of a site: what a site of mixed trees has in a season
SPEECH = Speech()
REVISED = "2026-11-25T00:00:00Z"
ONE_IN = 50  # 2 %
PEER = "icalendar: build and write the feeds"
REBUILT = "first run, keeping nothing"


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
    few_sites = _changed(plan, lambda site, job: site % ONE_IN == 0)
    any_site = _changed(plan, lambda site, job: (site * JOBS + job) % ONE_IN == 0)
    taken: dict[str, list[float]] = {}
    with tempfile.TemporaryDirectory() as folder:
        journal = Path(folder) / "journal.sqlite"
        keys = {site.site: KeptResults(Path(folder)).key("plan", site) for site in plan.sites}
        for run in range(2):  # the first run writes every row, the second finds that they rest
            kept = KeptResults(Path(folder) / f"kept {run}")
            _with_journal(plan, kept, keys, journal)
        with Store.open(journal) as store:
            rows = store.published()
        for run in range(RUNS):
            each = [component_of(text, 0, REVISED) for text in texts]
            calendars = _calendars(texts, each)
            _time(taken, PEER, _by_library, texts)
            _time(taken, "icalendar: to_ical of those feeds", _to_ical, calendars)
            _time(taken, "icalendar: to_ical of each event once", _to_ical, each)
            del calendars, each
            nothing = KeptResults(None)
            _time(taken, REBUILT, _feeds, plan, nothing, keys)
            new = KeptResults(Path(folder) / f"first {run}")
            _time(taken, "first run, keeping what it words", _feeds, plan, new, keys)
            _time(taken, "again, nothing kept", _feeds, plan, nothing, keys, rows)
            _time(taken, "again, nothing changed", _feeds, plan, kept, keys, rows)
            for what, now in (("sites", few_sites), ("jobs, of any site", any_site)):
                after = _keys_after(plan, now, keys, f"{what} {run}")
                _time(taken, f"again, 2 % of {what}", _feeds, now, kept, after, rows)
            unused = Path(folder) / f"new {run}.sqlite"
            new = KeptResults(Path(folder) / f"journal {run}")
            _time(taken, "with the journal: first run", _with_journal, plan, new, keys, unused)
            copy = Path(folder) / f"copy {run}.sqlite"
            shutil.copy(journal, copy)
            after = _keys_after(plan, few_sites, keys, f"journal {run}")
            _time(
                taken, "with the journal: 2 % of sites", _with_journal, few_sites, kept, after, copy
            )
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
    plan: Plan, kept: KeptResults, keys: Mapping[str, str], rows: Sequence[Published] = ()
) -> None:
    """The feeds of a plan whose sites are known by these keys."""
    before: dict[str, list[Published]] = {site.site: [] for site in plan.sites}
    for row in rows:
        before[row.site].append(row)
    with closing(_gathered(plan, kept, keys, before.__getitem__)) as gathered:
        _write(gathered)


def _with_journal(plan: Plan, kept: KeptResults, keys: Mapping[str, str], journal: Path) -> None:
    with (
        Store.open(journal) as store,
        closing(_gathered(plan, kept, keys, store.published)) as gathered,
    ):
        _write(gathered)
        store.publish(gathered.rows, gathered.resting)


def _gathered(
    plan: Plan,
    kept: KeptResults,
    keys: Mapping[str, str],
    published_of: Callable[[str], Sequence[Published]],
) -> Gathered:
    """What is told of each site, from an earlier run where its key is kept."""
    telling = Telling(replace(plan, sites=()), to_files=False)
    gathered = Gathered([site.site for site in plan.sites], (), telling, LaidAside())
    for site in plan.sites:
        before = published_of(site.site)
        content = kept.found_bytes(keys[site.site])
        if content is None:
            told = site_told(site, None, before, telling)
            feed = own_feed(site, before if told.rests else told.rows, telling)
            own = ((feed.path, bytes(feed)),)
            content = packed(replace(told, files=FilesTold("", "", (), own, "")))
            kept.keep_bytes(keys[site.site], content)
        list(gathered.take(unpacked(content, SiteTold), before))
    return gathered


def _write(gathered: Gathered) -> None:
    for _, feed in gathered.feeds():
        for _ in (feed,) if isinstance(feed, bytes) else feed:
            pass


def _by_library(texts: Sequence[EventText]) -> list[bytes]:
    each = [component_of(text, 0, REVISED) for text in texts]
    return _to_ical(_calendars(texts, each))


def _calendars(texts: Sequence[EventText], each: Sequence[Event]) -> list[Calendar]:
    """A calendar for each feed, its frame but the two properties that RFC 5545 3.6 asks for."""
    found: dict[str, Calendar] = defaultdict(Calendar)
    for text, event in zip(texts, each, strict=True):
        for audience in text.audiences:
            found[audience].add_component(event)
    for calendar in found.values():
        calendar.add("prodid", PRODID)
        calendar.add("version", "2.0")
    return list(found.values())


def _to_ical(components: Sequence[Event] | Sequence[Calendar]) -> list[bytes]:
    return [component.to_ical() for component in components]


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
    medians = {row.what: row.median_s for row in rows}
    print(f"{'':38} {'seconds: median (min-max)':>26} {'events/s':>9} {'x peer':>7} {'x first':>8}")
    for row in rows:
        spread = f"{row.median_s:.3f} ({min(row.seconds):.3f}-{max(row.seconds):.3f})"
        speed, peer = events / row.median_s, medians[PEER] / row.median_s
        first = medians[REBUILT] / row.median_s
        print(f"{row.what:38} {spread:>26} {speed:9,.0f} {peer:7.2f} {first:8.1f}")


def _processor() -> str:
    about = Path("/proc/cpuinfo")
    lines = about.read_text().splitlines() if about.is_file() else []
    names = [line.partition(":")[2].strip() for line in lines if line.startswith("model name")]
    return names[0] if names else platform.processor() or platform.machine()


if __name__ == "__main__":
    sys.exit(main())
