"""Asking for another day, and what the next plan makes of it."""

from __future__ import annotations

import json
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import pytest

from orchardcal.commands import recording
from tests.commands.running import Said, run
from tests.invented_city import write_city

AS_OF = date(2026, 11, 25)


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setattr(recording, "today", lambda: AS_OF)
    write_city(tmp_path / "city", 3)
    planned(tmp_path / "city")
    return tmp_path / "city"


def planned(folder: Path) -> dict[str, Any]:
    said = run(
        "season", str(folder), "--out", str(folder.parent / "out"), "--as-of", str(AS_OF), "--json"
    )
    assert said.code == 0, said.err
    plan: dict[str, Any] = json.loads(said.out)
    return plan


def crew_job(plan: dict[str, Any]) -> tuple[str, dict[str, Any]]:
    """The first pruning of a crew, with its site."""
    return next(
        (site["key"], job)
        for site in plan["sites"]
        for job in site["jobs"]
        if job["crew"] and job["care"] == "Dormant pruning"
    )


def asked(folder: Path, *arguments: str) -> Said:
    return run("move", *arguments, "--folder", str(folder))


def test_the_next_plan_has_the_day_asked_for_and_says_it_moved(folder: Path) -> None:
    site, job = crew_job(planned(folder))
    day = date.fromisoformat(job["day"])
    wanted = day + timedelta(days=1 if day.weekday() < 4 else -1)
    trees = [part for tree in job["plantings"] for part in ("--tree", tree)]
    said = asked(folder, site, "dormant pruning", "--to", str(wanted), *trees)
    assert said.code == 0, said.err
    again = next(one for one in planned(folder)["sites"] if one["key"] == site)
    by_uid = {one["uid"]: one for one in again["jobs"]}
    assert by_uid[job["uid"]]["day"] == str(wanted)
    assert by_uid[job["uid"]]["crew"] == job["crew"]


def test_the_work_must_be_planned_and_the_day_ahead(folder: Path) -> None:
    site, _ = crew_job(planned(folder))
    for arguments, told in (
        ((site, "dormant pruning", "--to", str(AS_OF)), "not ahead"),
        ((site, "mowing", "--to", "2027-01-16"), "no care"),
        ((site, "deferred cut", "--to", "2027-01-16"), "is planned there"),
        (("nowhere", "dormant pruning", "--to", "2027-01-16"), "no site"),
        ((site, "dormant pruning", "--to", "2027-01-16", "--tree", "Z9"), "no tree"),
        ((site, "whitewash painting", "--to", "2027-01-16", "--round", "third"), "no round"),
    ):
        said = asked(folder, *arguments)
        assert said.code == 2, arguments
        assert told in said.err, said.err
        assert said.out == ""
