"""A plan as a CSV table for spreadsheets: a row per job, and one per care without a day."""

from __future__ import annotations

import csv
import io

from orchardcal.care import TITLES
from orchardcal.journal.journal_csv import csv_cell
from orchardcal.outputs.speech import Speech
from orchardcal.plan.plan import Plan

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
)


def plan_csv(plan: Plan, speech: Speech) -> bytes:
    """UTF-8 with a byte-order mark, which spreadsheets need; RFC 4180 line ends."""
    written = io.StringIO(newline="")
    writer = csv.writer(written)
    writer.writerow(HEADINGS)
    for site in plan.sites:
        for job in site.jobs:
            cells = (
                site.name,
                TITLES[job.care],
                job.season,
                job.plantings,
                job.trees,
                job.day,
                job.start.isoformat("minutes"),
                job.end.isoformat("minutes"),
                job.window.first,
                job.window.last,
                job.odds,
                job.people,
                job.minutes,
                job.state,
                " ".join(speech.sentence(one) for one in job.why),
            )
            writer.writerow([csv_cell(cell) for cell in cells])
        for entry in site.not_placed:
            window = entry.window
            why = [speech.sentence(one) for one in entry.why]
            why += [speech.sentence(entry.nearest)] if entry.nearest else []
            cells = (
                site.name,
                TITLES[entry.care],
                entry.season,
                entry.plantings,
                None,
                None,
                None,
                None,
                window.first if window else None,
                window.last if window else None,
                None,
                None,
                None,
                entry.kind,
                " ".join(why),
            )
            writer.writerow([csv_cell(cell) for cell in cells])
    return written.getvalue().encode("utf-8-sig")
