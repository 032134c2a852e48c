"""The volunteers' work days as a CSV table for spreadsheets: a row per day."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Sequence
from datetime import date

from orchardcal.journal.journal_csv import csv_cell
from orchardcal.outputs.speech import Speech
from orchardcal.plan.plan import Plan, SitePlan
from orchardcal.plan.work_day import WorkDay

WorkDayRow = tuple[date, str, str]  # day, site, and the line of the table
HEADINGS = (
    "site",
    "day",
    "start",
    "end",
    "volunteers",
    "leaders",
    "trees",
    "person_hours",
    "person_hours_that_fit",
    "enough",
    "pinned",
    "rain_day",
    "save_the_date",
    "invitation",
    "last_call",
    "work",
    "bring",
    "notes",
)


def work_days_csv(plan: Plan, speech: Speech) -> bytes:
    """UTF-8 with a byte-order mark, as the plan's table; by day, headings alone if there is none.

    Texts that a spreadsheet would take for a formula are guarded.
    """
    return work_days_csv_of(row for site in plan.sites for row in site_work_days(site, speech))


def work_days_csv_of(rows: Iterable[WorkDayRow]) -> bytes:
    """The same from the rows of each site, as site_work_days writes them."""
    return "".join([_line(HEADINGS), *(line for _, _, line in sorted(rows))]).encode("utf-8-sig")


def site_work_days(site: SitePlan, speech: Speech) -> tuple[WorkDayRow, ...]:
    """The row of each of a site's work days."""
    rows = ((one, _row(one, site, speech)) for one in site.work_days)
    return tuple(
        (one.day, site.site, _line([csv_cell(row[heading]) for heading in HEADINGS]))
        for one, row in rows
    )


def _line(cells: Sequence[str]) -> str:
    written = io.StringIO(newline="")
    csv.writer(written).writerow(cells)
    return written.getvalue()


def _row(work_day: WorkDay, site: SitePlan, speech: Speech) -> dict[str, object]:
    titles = {job.uid: job.title for job in site.jobs}
    save_the_date, invitation, last_call = (one.day for one in work_day.announcements)
    told = (*work_day.notes, *([work_day.rain_why] if work_day.rain_why else []))
    return {
        "site": site.name,
        "day": work_day.day,
        "start": work_day.start.isoformat("minutes"),
        "end": work_day.end.isoformat("minutes"),
        "volunteers": work_day.people,
        "leaders": work_day.leaders,
        "trees": work_day.trees,
        "person_hours": round(work_day.minutes / 60, 2),
        "person_hours_that_fit": round(work_day.fit_minutes / 60, 2),
        "enough": "yes" if work_day.enough else "no",
        "pinned": "yes" if work_day.pinned else "no",
        "rain_day": work_day.rain_day,
        "save_the_date": save_the_date,
        "invitation": invitation,
        "last_call": last_call,
        "work": tuple(speech.sentence(titles[uid]) for uid in work_day.jobs),
        "bring": tuple(speech.sentence(one) for one in work_day.tools),
        "notes": " ".join(speech.sentence(one) for one in told),
    }
