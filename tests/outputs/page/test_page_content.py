"""What the pages say and draw is what the plan and the facts hold, worked out another way."""

from __future__ import annotations

import calendar
import re
from datetime import date, timedelta

import numpy as np
import pytest

from orchardcal.outputs.page.chill_drawing import FIRST_DAY, LAST_DAY
from orchardcal.outputs.speech import Speech
from tests.outputs.invented_plan import WINDOW
from tests.outputs.page.invented_facts import KNOWN_DAYS, NORTH, SCHOOL_DAYS, chill, named, written
from tests.outputs.page.page_tree import all_of, rows_of, text_of, tree_of, with_id

WRITTEN = written()
SITE = tree_of(WRITTEN["sites/larkfield.html"])
INDEX = tree_of(WRITTEN["index.html"])


def days_between(first: date, last: date) -> int:
    return last.toordinal() - first.toordinal()


def test_marks_stand_on_their_days() -> None:
    """The axis runs over whole months, 1 September to the end of January, one day a step."""
    first, after = date(2026, 11, 1), date(2027, 2, 1)
    season = with_id(SITE, "season")
    pruning = next(
        group for group in all_of(season, "g") if group.get("class") == "prune" and len(group) > 1
    )
    centres = [float((one.get("cx") or "").rstrip("%")) for one in all_of(pruning, "circle")]
    expected = [
        100 * (days_between(first, day) + 0.5) / days_between(first, after)
        for day in (date(2026, 11, 2), date(2026, 11, 20), date(2027, 1, 9))
    ]
    assert centres == pytest.approx(expected, abs=0.01)
    assert [one.get("class") for one in all_of(pruning, "circle")] == ["done", "late", None]
    spraying = [group for group in all_of(season, "g") if group.get("class") == "spray"]
    (bar,) = (one for group in spraying[:1] for one in all_of(group, "rect"))
    assert float((bar.get("x") or "").rstrip("%")) == pytest.approx(
        100 * days_between(first, date(2027, 1, 18)) / days_between(first, after), abs=0.01
    )
    assert float((bar.get("width") or "").rstrip("%")) == pytest.approx(
        100 * 5 / days_between(first, after), abs=0.01
    )


def test_the_table_behind_the_overview_says_what_is_drawn() -> None:
    head, larkfield, kereru = rows_of(with_id(INDEX, "table"))
    assert head == ["Site", "Next visit", "Prune", "Paint", "Spray", "Closed"]
    assert larkfield == [
        "Larkfield School",
        "Fri 20 Nov 2026",
        "● 2 Nov, 20 Nov, 9 Jan",
        "● 16 Jan",
        "18 Jan – 22 Jan● 23 Jan",
        "19 Dec – 3 Jan",
    ]
    assert kereru[1:3] == ["Sat 10 Jul 2027", "● 10 Jul"]


def test_day_by_day_odds_stand_under_their_weekdays() -> None:
    """Weekdays by Python's calendar; odds as seasons in ten."""
    (table,) = all_of(with_id(SITE, "days"), "table")
    head, *weeks = rows_of(table)
    assert head[1:] == list(calendar.day_abbr)
    (week,) = weeks
    assert week[0] == "18 Jan"
    cells = [re.match(r"\d+", cell) for cell in week[1:]]
    assert [cell and int(cell[0]) for cell in cells] == [4, 4, 8, 8, 9, None, None]
    for offset, cell in enumerate(week[1:6]):
        day = WINDOW.span.first + timedelta(days=offset)
        assert ("○" in cell) == (day in SCHOOL_DAYS)
    assert calendar.day_abbr[WINDOW.span.first.weekday()] == "Mon"


def test_the_curves_are_the_seasons() -> None:
    """The paths turned back into portions."""
    facts = chill(NORTH, KNOWN_DAYS)
    drawing = next(one for one in all_of(with_id(SITE, "chill"), "svg") if one.get("viewBox"))
    paths = {one.get("class"): one.get("d") or "" for one in all_of(drawing, "path")}
    level = next(one for one in all_of(with_id(SITE, "chill"), "text") if one.text == "100")
    per_portion = (306 - float(level.get("y") or 0)) / 100  # 306 px from the foot to the top

    def points(path: str) -> list[tuple[float, float]]:
        found = re.findall(r"([\d.]+) ([\d.]+)", path)
        return [(float(x) + FIRST_DAY, (306 - float(y)) / per_portion) for x, y in found]

    assert paths["past"].count("M") == 3
    for drawn, season in zip(paths["past"].split("M")[1:], facts.past, strict=True):
        for day, portions in points(drawn):
            assert portions == pytest.approx(season[int(day)], abs=0.1)
        assert points(drawn)[-1][0] == LAST_DAY
    own = points(paths["now"])
    assert own[-1][0] == KNOWN_DAYS - 1
    assert own[-1][1] == pytest.approx(facts.so_far[-1], abs=0.1)
    assert points(paths["ahead"])[0][0] == KNOWN_DAYS - 1


def test_this_season_is_ranked_among_the_past_ones() -> None:
    facts = chill(NORTH, KNOWN_DAYS)
    fewer = sum(season[KNOWN_DAYS - 1] < facts.so_far[-1] for season in facts.past)
    assert fewer == 2
    day = date(2026, 7, 1) + timedelta(days=KNOWN_DAYS - 1)
    words = f"By {Speech().day(day)} this season has 43; of 3 earlier seasons 2 had fewer by then."
    assert words in text_of(with_id(SITE, "chill"))


def test_the_tables_behind_the_chill_drawing() -> None:
    by_day, needs = (rows_of(table) for table in all_of(with_id(SITE, "chill"), "table"))
    facts = chill(NORTH, KNOWN_DAYS)
    months = {row[0]: row[1:] for row in by_day[1:]}
    at = days_between(date(2026, 7, 1), date(2026, 11, 16))
    middle = float(np.median(facts.past[:, at]))
    assert months["16 Nov"][1] == str(round(middle))
    assert months["16 Nov"][3] == str(round(facts.so_far[at]))
    assert months["1 Dec"][3] == "–"
    assert ["apple", "60", "8 Dec", "27 Jan", "never"] in needs


def test_freeze_days_are_said_as_dates() -> None:
    """Season day 85 is 24 September: 1 July and 85 days more."""
    (table,) = all_of(with_id(SITE, "freezes"), "table")
    _, first, never = rows_of(table)
    day = [date(2026, 7, 1) + timedelta(days=at) for at in (85, 100, 112, 275, 292, 310)]
    assert first == ["-2.2 °C", *(f"{one.day} {one:%b}" for one in day), "30 of 30"]
    assert never == ["-9 °C", *["never"] * 6, "0 of 30"]


def test_each_tree_has_its_jobs_and_its_own_line() -> None:
    (table,) = all_of(with_id(SITE, "trees"), "table")
    _, first, second = rows_of(table)
    assert first[0].startswith("A14 apples, Reka, year 3 in the ground, central leader")
    assert "Sat 9 Jan 2027: Dormant pruningA1 4 apples, form unknown." in first[1]
    assert "B2 4 apples" not in first[1]
    assert "age unknown" in second[0]
    assert "Near a power line" in second[0]


def test_the_sheet_holds_every_job_still_to_do() -> None:
    plan, _ = named("")
    (sheet,) = (one for one in all_of(SITE, "section") if one.get("class") == "sheet")
    text = text_of(sheet)
    (table,) = all_of(sheet, "table")
    to_do = [job for job in plan.sites[0].jobs if job.state != "done"]
    assert len(rows_of(table)) == 1 + len(to_do)
    for job in to_do:
        assert Speech().day(job.day) in text
    assert "Mon 2 Nov 2026" not in text  # done already
    assert "a caution" in text


def test_the_sheet_says_what_comes_after_half_a_year() -> None:
    """The southern site's one job is on 10 July, more than 183 days after 25 November."""
    page = tree_of(WRITTEN["sites/kereru.html"])
    (sheet,) = (one for one in all_of(page, "section") if one.get("class") == "sheet")
    last = Speech().day(date(2026, 11, 25) + timedelta(days=183))
    assert f"1 later job is planned after {last}" in text_of(sheet)
    assert not list(all_of(sheet, "table"))


def test_the_reasons_of_a_visit_are_shown() -> None:
    text = text_of(with_id(SITE, "next"))
    for words in (
        *("Why now", "Leaves were down by Sun 20 Dec 2026 in 27 of 30 winters.", "Do", "Bring"),
        *("After", "Take care", "a caution", "a tool", "what follows", "Overdue", "Done so far"),
    ):
        assert words in text


def test_temperatures_follow_the_units() -> None:
    """28 °F is -2.2 °C: Snyder and de Melo-Abreu (2005), FAO, and every thermometer."""
    page = tree_of(written(speech=Speech("en", "us"))["sites/larkfield.html"])
    assert "28 °F" in text_of(with_id(page, "freezes"))
    assert "°C" not in text_of(page)


def test_no_person_is_named() -> None:
    for page in WRITTEN.values():
        for key in (b"ada", b"moana"):
            assert not re.search(rb"\b" + key + rb"\b", page)
