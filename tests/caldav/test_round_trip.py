"""The whole round: season, tasks on a server, a tick in the field, and the follower's new day."""

from __future__ import annotations

from datetime import date, datetime, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest
from click.testing import CliRunner

from orchardcal.commands import orchardcal
from tests.caldav.servers import Phone, copied_site

pytestmark = [pytest.mark.slow, pytest.mark.filterwarnings("ignore::DeprecationWarning")]
SITE = "cedar-bluff"
PRUNED = datetime(2027, 1, 5, 14, 0, tzinfo=ZoneInfo("America/Denver"))


def test_a_ticked_task_gives_its_follower_a_new_day(
    repository: Path, calendar_server: str, tmp_path: Path
) -> None:
    """Cuts are looked at 30 to 60 days after the pruning: common practice, no source.

    RFC 9253 6.2 (GAP): the follower counts from the end of the first.
    """
    folder = copied_site(repository / "demo_sites", tmp_path / "p", SITE, calendar_server)
    _run("season", folder, "--out", tmp_path / "out", "--season", 2027, "--as-of", "2026-11-25")
    _run("tasks", folder, "--push")
    phone = Phone(calendar_server, SITE)
    try:
        prune, look = _due(phone, "Dormant pruning"), _due(phone, "Look at cuts")
        assert prune > PRUNED.date()
        phone.change(phone.task("Dormancy check"), comment="dormant", status="COMPLETED")
        phone.tick(phone.task("Dormant pruning"), PRUNED)
        today = PRUNED.date() + timedelta(days=1)
        read = _run("tasks", folder, "--pull", "--as-of", today)
        assert "seen dormant" in read
        assert "5 Jan 2027: dormant pruning done" in read
        _run("season", folder, "--out", tmp_path / "out", "--season", 2027, "--as-of", today)
        _run("tasks", folder, "--push", "--as-of", today)
        new_look = _due(phone, "Look at cuts")
        assert timedelta(days=30) <= look - prune <= timedelta(days=60)
        assert new_look < look
        assert timedelta(days=30) <= new_look - PRUNED.date() <= timedelta(days=60)
        done = phone.task("Done: Dormant pruning").icalendar_component
        assert done["STATUS"] == "COMPLETED"
        assert done.decoded("COMPLETED") == PRUNED
        event = phone.event("Look at cuts").icalendar_component
        assert event.decoded("DTSTART").date() == new_look
        assert event["SEQUENCE"] >= 1
        again = _run("tasks", folder, "--pull", "--push", "--as-of", today)
        assert "0 recorded" in again
        assert "0 written" in again
    finally:
        phone.close()


def test_a_visit_moved_in_the_calendar_moves_in_the_plan(
    repository: Path, calendar_server: str, tmp_path: Path
) -> None:
    folder = copied_site(repository / "demo_sites", tmp_path / "p", SITE, calendar_server)
    day = "2026-11-25"
    _run("season", folder, "--out", tmp_path / "out", "--season", 2027, "--as-of", day)
    _run("tasks", folder, "--push")
    phone = Phone(calendar_server, SITE)
    try:
        before = _due(phone, "Oil scouting")
        asked = date(2026, 12, 5)  # a Saturday, one of the site's weekdays
        assert before != asked
        task = phone.task("Oil scouting")
        due = task.icalendar_component.decoded("DUE")
        phone.change(task, due=due + (asked - before))
        _run("tasks", folder, "--pull", "--as-of", day)
        _run("season", folder, "--out", tmp_path / "out", "--season", 2027, "--as-of", day)
        _run("tasks", folder, "--push")
        assert _due(phone, "Oil scouting") == asked
        assert phone.event("Oil scouting").icalendar_component.decoded("DTSTART").date() == asked
    finally:
        phone.close()


def _run(*words: object) -> str:
    ended = CliRunner().invoke(orchardcal, [str(word) for word in words])
    if ended.exception is not None and not isinstance(ended.exception, SystemExit):
        raise ended.exception
    assert ended.exit_code == 0, ended.output
    return str(ended.output)


def _due(phone: Phone, title: str) -> date:
    due: date = phone.task(title).icalendar_component.decoded("DUE").date()
    return due
