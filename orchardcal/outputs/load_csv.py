"""The crews' load as a CSV table for spreadsheets: a row per crew and week."""

from __future__ import annotations

import csv
import io

from orchardcal.journal.journal_csv import csv_cell
from orchardcal.plan.crew_load import CrewWeek, crew_loads
from orchardcal.plan.plan import Plan

HEADINGS = (
    "crew",
    "week_of",
    "capacity_hours",
    "hours_away",
    "work_hours",
    "driving_and_arriving_hours",
    "days_out",
    "visits",
    "km",
)


def load_csv(plan: Plan) -> bytes:
    """UTF-8 with a byte-order mark, as the plan's table; headings alone without crews.

    Hours are a crew's on the clock. Weeks begin on Monday, those without work among them.
    """
    written = io.StringIO(newline="")
    writer = csv.writer(written)
    writer.writerow(HEADINGS)
    for load in crew_loads(plan):
        for week in load.weeks:
            row = _row(week, load.crew.name)
            writer.writerow([csv_cell(row[heading]) for heading in HEADINGS])
    return written.getvalue().encode("utf-8-sig")


def _row(week: CrewWeek, crew: str) -> dict[str, object]:
    return {
        "crew": crew,
        "week_of": week.monday,
        "capacity_hours": round(week.capacity_min / 60, 2),
        "hours_away": round(week.away_min / 60, 2),
        "work_hours": round(week.work_min / 60, 2),
        "driving_and_arriving_hours": round(week.around_min / 60, 2),
        "days_out": week.trips,
        "visits": week.visits,
        "km": round(week.km, 1),
    }
