"""A plan as a CSV table for spreadsheets: a row per job, and one per care without a day."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Iterator, Sequence

from orchardcal.care import TITLES
from orchardcal.journal.journal_csv import csv_cell
from orchardcal.outputs.speech import Speech
from orchardcal.plan.plan import Job, NotPlaced, Plan, SitePlan

HEADINGS = (
    "site",
    "care",
    "season",
    "plantings",
    "trees",
    "day",
    "start",
    "end",
    "window_first",
    "window_last",
    "share_of_seasons_suitable",
    "people",
    "person_minutes",
    "state",
    "reason",
    "crew",
)


def plan_csv(plan: Plan, speech: Speech) -> bytes:
    """UTF-8 with a byte-order mark, which spreadsheets need; RFC 4180 line ends."""
    return b"".join(plan_csv_of(site_rows(site, speech) for site in plan.sites))


def plan_csv_of(sites: Iterable[str]) -> Iterator[bytes]:
    """The same in pieces, from each site's rows as site_rows writes them."""
    yield _lines([HEADINGS]).encode("utf-8-sig")
    for rows in sites:
        yield rows.encode()


def site_rows(site: SitePlan, speech: Speech) -> str:
    """One site's rows."""
    rows = [_job(job, site.name, speech) for job in site.jobs]
    rows += [_not_placed(entry, site.name, speech) for entry in site.not_placed]
    return _lines([csv_cell(row.get(heading)) for heading in HEADINGS] for row in rows)


def _lines(rows: Iterable[Sequence[str]]) -> str:
    written = io.StringIO(newline="")
    csv.writer(written).writerows(rows)
    return written.getvalue()


def _job(job: Job, site: str, speech: Speech) -> dict[str, object]:
    return {
        "site": site,
        "care": TITLES[job.care],
        "season": job.season,
        "plantings": job.plantings,
        "trees": job.trees,
        "day": job.day,
        "start": job.start.isoformat("minutes"),
        "end": job.end.isoformat("minutes"),
        "window_first": job.window.first,
        "window_last": job.window.last,
        "share_of_seasons_suitable": job.odds,
        "people": job.people,
        "person_minutes": job.minutes,
        "state": job.state,
        "reason": " ".join(speech.sentence(one) for one in job.why),
        "crew": job.crew,
    }


def _not_placed(entry: NotPlaced, site: str, speech: Speech) -> dict[str, object]:
    why = [*entry.why, *([entry.nearest] if entry.nearest else [])]
    return {
        "site": site,
        "care": TITLES[entry.care],
        "season": entry.season,
        "plantings": entry.plantings,
        "window_first": entry.window.first if entry.window else None,
        "window_last": entry.window.last if entry.window else None,
        "state": entry.kind,
        "reason": " ".join(speech.sentence(one) for one in why),
    }
