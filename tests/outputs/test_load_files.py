"""Load and supplies in the tables, the JSON and the listing, against sums by hand."""

from __future__ import annotations

import csv
import io
import json
import re
from dataclasses import replace

from orchardcal.outputs.listing import listing
from orchardcal.outputs.load_csv import HEADINGS, load_csv
from orchardcal.outputs.plan_csv import plan_csv
from orchardcal.outputs.plan_json import plan_json
from orchardcal.outputs.speech import Speech
from orchardcal.outputs.supplies_csv import supplies_csv
from tests.outputs.invented_load import LOADED
from tests.outputs.invented_plan import PLAN


def rows_of(table: bytes) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(table.decode("utf-8-sig"), newline="")))


def test_a_row_per_crew_and_week() -> None:
    """The week's hours are 3.25 at the trees and 2.25 around them, as in tests/plan."""
    rows = rows_of(load_csv(LOADED))
    assert len(rows) == 2 * 32
    (busy,) = (row for row in rows if row["days_out"] != "0")
    assert list(busy) == list(HEADINGS)
    assert busy == {
        "crew": "Crew North",
        "week_of": "2027-01-11",
        "capacity_hours": "30.0",
        "hours_away": "5.5",
        "work_hours": "3.25",
        "driving_and_arriving_hours": "2.25",
        "days_out": "2",
        "visits": "3",
        "km": "60.0",
    }


def test_a_row_per_site_and_one_for_all() -> None:
    rows = {row.pop("site"): row for row in rows_of(supplies_csv(LOADED, Speech()))}
    assert list(rows) == ["Near School", "Far School", "All sites"]
    assert rows["All sites"] == {
        "paint_mix_l": "0.8",
        "paint_l": "0.4",
        "spray_l": "12.0",
        "alcohol_l": "0.75",
        "pruners": "7",
        "loppers": "4",
        "pruning_saws": "3",
        "brushes": "5",
    }
    assert rows["Far School"]["pruners"] == "4"
    assert "Todos los sitios" in supplies_csv(LOADED, Speech("es")).decode()


def test_names_that_look_like_formulas_are_guarded() -> None:
    """OWASP, CSV Injection: a leading =, +, - or @ must not reach the spreadsheet's parser."""
    crews = tuple(replace(crew, name="=HYPERLINK(1)") for crew in LOADED.crews)
    sites = tuple(replace(site, name="@SUM(A1)") for site in LOADED.sites)
    plan = replace(LOADED, crews=crews, sites=sites)
    assert {row["crew"] for row in rows_of(load_csv(plan))} == {"'=HYPERLINK(1)"}
    assert rows_of(supplies_csv(plan, Speech()))[0]["site"] == "'@SUM(A1)"


def test_without_crews_the_headings_stand_alone() -> None:
    assert load_csv(PLAN).decode("utf-8-sig").splitlines() == [",".join(HEADINGS)]


def test_the_plan_as_json_has_the_crews_and_who_does_each_job() -> None:
    written = json.loads(plan_json(LOADED, Speech()))
    north, idle = written["crews"]
    assert (north["key"], north["name"], north["people"]) == ("north", "Crew North", 2)
    assert [week for week in north["weeks"] if week["visits"]] == [
        {
            "monday": "2027-01-11",
            "capacity_minutes": 1800,
            "work_minutes": 195,
            "driving_and_arriving_minutes": 135,
            "days_out": 2,
            "visits": 3,
            "km": 60.0,
        }
    ]
    assert len(idle["weeks"]) == 32
    crews = {job["uid"]: job["crew"] for site in written["sites"] for job in site["jobs"]}
    assert (crews["near-prune"], crews["near-lead"]) == ("north", "")
    assert json.loads(plan_json(PLAN, Speech()))["crews"] == []


def test_the_table_of_the_plan_ends_with_the_crew() -> None:
    rows = rows_of(plan_csv(LOADED, Speech()))
    assert list(rows[0])[-1] == "crew"
    assert [row["crew"] for row in rows[:4]] == ["north", "north", "north", ""]


def test_the_listing_names_crews_and_ends_with_load_and_supplies() -> None:
    lines = listing(LOADED, Speech()).splitlines()
    (prune,) = (line for line in lines if "11:00-12:00" in line)
    assert prune.endswith("Crew North")
    start = lines.index("Load of the crews:")
    assert [re.split(r"\s{2,}", line.strip()) for line in lines[start + 2 : start + 4]] == [
        ["Crew", "Week of", "Hours away", "Hours it has", "Days out", "Visits", "Distance"],
        ["Crew North", "Mon 11 Jan 2027", "5 h 30 min", "30 h", "2", "3", "60 km"],
    ]
    assert lines[start + 4 : start + 6] == [
        "  Crew North: no work in 31 more weeks.",
        "  Crew Idle: no work.",
    ]
    assert lines[-1] == (
        "Supplies for the season: 0.8 L of white paint mix; 12 L of spray to run-off (oil as the"
        " label says); 0.75 L of 70 % alcohol; on the busiest day 7 pruners, 4 loppers, 3 pruning"
        " saws and 5 brushes."
    )


def test_the_listing_speaks_the_readers_units() -> None:
    """60.0 km are 37.3 mi (NIST SP 811: 1 mi = 1.609 344 km)."""
    assert "37 mi" in listing(LOADED, Speech(units="us"))


def test_without_crews_the_listing_is_as_it_was() -> None:
    told = listing(replace(LOADED, crews=()), Speech())
    assert "Crew" not in told
    assert "Supplies" not in told
