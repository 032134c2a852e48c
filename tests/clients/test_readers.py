"""Feeds read by programs of others: libical, ical.js, calcurse."""

from __future__ import annotations

import json
from dataclasses import replace
from datetime import UTC, date, datetime, time, timedelta
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

import pytest

from orchardcal.outputs.feed import feeds, published
from orchardcal.outputs.speech import Speech
from orchardcal.plan.plan import Plan
from orchardcal.sentence import say
from tests.clients.programs import missing, ran
from tests.outputs.invented_plan import (
    AS_OF,
    KERERU,
    LARKFIELD,
    PAINT,
    PLAN,
    PRUNE,
    SPRAY_UID,
    WINDOW_UID,
    with_job,
    without_job,
)

pytestmark = pytest.mark.slow
SPEECH = Speech()
ODD_TEXT = 'C:\\Notes\\new; a, b\n"q" <b> 🌳👩🏽\u200d🌾 עץ תפוח'
ZONES = ["Europe/London", "America/New_York", "Australia/Hobart", "Pacific/Auckland", "Asia/Tokyo"]
UNUSUAL = ["America/Santiago", "Africa/Cairo", "Asia/Jerusalem"]


def written(plan: Plan, folder: Path) -> dict[str, Path]:
    """The feeds of a plan as files."""
    return _saved(feeds(plan, published(plan, (), SPEECH), SPEECH), folder)


def revised_feeds(folder: Path) -> dict[str, Path]:
    """The feeds after a move and a cancellation."""
    rows = published(PLAN, (), SPEECH)
    moved = with_job(PLAN, replace(PAINT, day=date(2027, 1, 17)))
    later = replace(without_job(moved, SPRAY_UID), as_of=AS_OF + timedelta(days=3))
    return _saved(feeds(later, published(later, rows, SPEECH), SPEECH), folder)


def a_year_of_mornings(timezone: str) -> Plan:
    """One job a week at 09:00 through 2027 in one zone."""
    jobs = tuple(
        replace(
            PRUNE,
            uid=f"{PRUNE.uid}-{week}",
            day=date(2027, 1, 3) + timedelta(weeks=week),
            start=time(9),
            end=time(10),
        )
        for week in range(52)
    )
    return replace(PLAN, sites=(replace(LARKFIELD, timezone=timezone, jobs=jobs, windows=()),))


def _saved(feeds_by_path: dict[str, bytes], folder: Path) -> dict[str, Path]:
    paths = {}
    for name, feed in feeds_by_path.items():
        paths[name] = folder / name.replace("/", "-")
        paths[name].write_bytes(feed)
    return paths


def listed_by_ical_js(ical_js: Path, feed: Path) -> list[dict[str, Any]]:
    said = ran("node", "list_events.mjs", feed, cwd=ical_js)
    assert said.returncode == 0, said.stderr
    events: list[dict[str, Any]] = json.loads(said.stdout)
    return events


def test_libical_rejects_nothing(libical_check: Path, tmp_path: Path) -> None:
    """Its restriction tables are those of RFC 5545 section 3.6 and RFC 5546."""
    odd = with_job(PLAN, replace(PRUNE, do=(say("{note}", note=ODD_TEXT),)))
    empty = replace(PLAN, sites=(replace(KERERU, jobs=()),))
    plans = [PLAN, odd, empty, *(a_year_of_mornings(zone) for zone in ZONES + UNUSUAL)]
    for number, plan in enumerate(plans):
        folder = tmp_path / str(number)
        folder.mkdir()
        for path in written(plan, folder).values():
            checked = ran(libical_check, path)
            assert checked.returncode == 0, checked.stdout
    for path in revised_feeds(tmp_path).values():
        checked = ran(libical_check, path)
        assert checked.returncode == 0, checked.stdout


@pytest.mark.parametrize(
    ("right", "wrong"),
    [
        ("RELATED-TO;GAP=PT4H", "RELATED-TO;VALUE=UID;GAP=PT4H"),
        ("GEO:44.021234;-103.4", "GEO:behind the gym"),
        ("CALSCALE:GREGORIAN", "CALSCALE:GREGORIAN\r\nMETHOD:PUBLISH"),
    ],
)
def test_libical_would_reject_a_wrong_feed(
    libical_check: Path, tmp_path: Path, right: str, wrong: str
) -> None:
    path = written(PLAN, tmp_path)["staff.ics"]
    feed = path.read_bytes()
    assert right.encode() in feed
    path.write_bytes(feed.replace(right.encode(), wrong.encode()))
    assert ran(libical_check, path).returncode == 1


@pytest.mark.parametrize("timezone", ZONES + UNUSUAL)
def test_ical_js_has_every_morning_at_nine(ical_js: Path, tmp_path: Path, timezone: str) -> None:
    plan = a_year_of_mornings(timezone)
    events = listed_by_ical_js(ical_js, written(plan, tmp_path)["staff.ics"])
    starts = [
        datetime.combine(job.day, job.start, ZoneInfo(timezone)).astimezone(UTC)
        for job in plan.jobs
    ]
    assert [datetime.fromisoformat(event["start"]) for event in events] == starts
    assert len(starts) == 52


def test_ical_js_reads_text_and_revisions(ical_js: Path, tmp_path: Path) -> None:
    odd = with_job(PLAN, replace(PRUNE, do=(say("{note}", note=ODD_TEXT),)))
    (first, *others) = listed_by_ical_js(ical_js, written(odd, tmp_path)["staff.ics"])
    assert f"Do\n- {ODD_TEXT}\n" in first["description"]
    assert {event["uid"]: event["start"] for event in others}[WINDOW_UID] == "2027-01-18"
    events = listed_by_ical_js(ical_js, revised_feeds(tmp_path)["staff.ics"])
    by_uid = {event["uid"]: event for event in events}
    assert by_uid[PAINT.uid]["start"] == "2027-01-17T17:00:00.000Z"  # 10:00 in Denver
    assert (by_uid[SPRAY_UID]["status"], by_uid[SPRAY_UID]["sequence"]) == ("CANCELLED", 1)


def test_calcurse_imports_every_event(calcurse: str, tmp_path: Path) -> None:
    """calcurse shows local times of its own zone: it is given the site's."""
    feed = written(PLAN, tmp_path)["sites/larkfield.ics"]
    folder = tmp_path / "calcurse"
    folder.mkdir()
    surroundings = {"TZ": "America/Denver", "HOME": str(tmp_path), "LANG": "C.UTF-8"}
    imported = ran(calcurse, "-D", folder, "-i", feed, env=surroundings)
    assert imported.returncode == 0, imported.stderr
    said = ran(
        *(calcurse, "-D", folder, "-Q", "--from", "01/01/2027", "--to", "02/28/2027"),
        env=surroundings,
    ).stdout
    if "Dormant pruning" not in said and "locale" in said:
        missing("calcurse has no UTF-8 locale here")
    assert said.count("09:30 -> 12:10") == 1
    assert said.count("10:00 -> 11:00") == 2
    assert said.count("Oil may go on") == 5  # 18 to 22 January, a line each
