"""The table of work days: read back by the csv module, safe in a spreadsheet."""

from __future__ import annotations

import csv
import io
import json
import re
from dataclasses import replace

from orchardcal.outputs.listing import listing
from orchardcal.outputs.plan_json import plan_json
from orchardcal.outputs.speech import Speech
from orchardcal.outputs.work_days_csv import HEADINGS, work_days_csv
from tests.outputs.invented_plan import PLAN, PRUNE_UID
from tests.outputs.invented_work_day import with_work_day

PLANNED = with_work_day(PLAN)


def test_a_row_holds_the_day() -> None:
    text = work_days_csv(PLANNED, Speech()).decode("utf-8-sig")
    (row,) = csv.DictReader(io.StringIO(text, newline=""))
    assert list(row) == list(HEADINGS)
    expected = {
        "site": "Larkfield School",
        "day": "2027-01-09",
        "start": "09:00",
        "end": "11:30",
        "volunteers": "4",
        "leaders": "1",
        "person_hours": "6.0",
        "person_hours_that_fit": "5.5",
        "enough": "no",
        "pinned": "yes",
        "rain_day": "2027-01-16",
        "save_the_date": "2026-11-10",
        "invitation": "2026-12-26",
        "last_call": "2027-01-02",
        "work": "Dormant pruning: 4 apples and 2 pears",
        "bring": "2 loppers",
    }
    assert {key: row[key] for key in expected} == expected


def test_a_name_that_looks_like_a_formula_is_guarded() -> None:
    """OWASP, CSV Injection: a leading =, +, - or @ must not reach the spreadsheet's parser."""
    first, *others = PLANNED.sites
    for name in ("=HYPERLINK(1)", "+1", "-1", "@SUM(A1)"):
        plan = replace(PLANNED, sites=(replace(first, name=name), *others))
        text = work_days_csv(plan, Speech()).decode("utf-8-sig")
        (row,) = csv.DictReader(io.StringIO(text, newline=""))
        assert row["site"] == f"'{name}"


def test_without_work_days_the_headings_stand_alone() -> None:
    text = work_days_csv(PLAN, Speech()).decode("utf-8-sig")
    assert text.splitlines() == [",".join(HEADINGS)]


def test_the_plan_holds_the_day() -> None:
    written = json.loads(plan_json(PLANNED, Speech()))
    (day,) = written["sites"][0]["work_days"]
    assert (day["day"], day["jobs"], day["enough"]) == ("2027-01-09", [PRUNE_UID], False)
    assert [step["start"] for step in day["run_sheet"]] == ["09:00", "09:20"]
    assert written["sites"][1]["work_days"] == []


def test_the_listing_ends_with_the_work_days() -> None:
    lines = listing(PLANNED, Speech()).rstrip().splitlines()
    assert lines[-4] == "Volunteer work days:"
    assert re.split(r"\s{2,}", lines[-1].strip()) == [
        "Larkfield School",
        "Sat 9 Jan 2027",
        "09:00-11:30",
        "4",
        "1",
        "Sat 16 Jan 2027",
    ]
    assert "work days" not in listing(PLAN, Speech())
