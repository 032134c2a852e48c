"""The demo programme planned on many days: every plan passes the independent validator."""

from __future__ import annotations

import json
import shutil
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner

from orchardcal.commands import orchardcal
from orchardcal.commands.programme import load
from tests.invented import DEMO
from tests.plan.validator import faults


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    copied = tmp_path_factory.mktemp("demo") / "programme"
    shutil.copytree(DEMO, copied, ignore=shutil.ignore_patterns("journal.sqlite*"))
    return copied


def planned(folder: Path, out: Path, as_of: str, *more: str) -> dict[str, Any]:
    """The plan the main command writes."""
    ran = CliRunner().invoke(
        orchardcal, ["season", str(folder), "--out", str(out), "--as-of", as_of, *more]
    )
    assert ran.exit_code == 0, ran.output
    written: dict[str, Any] = json.loads((out / "plan.json").read_text(encoding="utf-8"))
    return written


@pytest.mark.parametrize(
    ("as_of", "season"),
    [
        ("2026-07-01", "2027"),
        ("2026-09-15", "2027"),
        ("2026-11-25", "2027"),
        ("2027-02-20", "2027"),
        ("2027-05-20", ""),
    ],
)
def test_every_plan_keeps_the_rules(folder: Path, tmp_path: Path, as_of: str, season: str) -> None:
    here = tmp_path / "programme"
    shutil.copytree(folder, here)
    more = ("--season", season) if season else ()
    plan = planned(here, tmp_path / "out", as_of, *more)
    sites = {site.key: site for site in load(here).programme.sites}
    assert faults(plan, sites) == []
    assert sum(len(site["jobs"]) for site in plan["sites"]) >= 20


def test_the_validator_sees_faults() -> None:
    """A plan broken on purpose is caught, so that silence above means something."""
    sites = {site.key: site for site in load(DEMO).programme.sites}
    job = {
        "care": "Dormant oil spray",
        "part": "",
        "season": 2027,
        "plantings": ["A-01"],
        "day": "2027-01-06",
        "start": "03:00",
        "end": "02:00",
        "window": {"first": "2027-02-01", "last": "2027-02-20"},
        "state": "planned",
        "why": [],
    }
    plan = {"as_of": "2027-01-10", "sites": [{"key": "cedar-bluff", "jobs": [job]}]}
    told = "\n".join(faults(plan, sites))
    for part in ("outside its window", "in the past", "pupils", "without a reason", "daylight"):
        assert part in told
    assert "without notice" in told


def test_no_care_is_dropped_without_a_word(folder: Path, tmp_path: Path) -> None:
    """Every planting gets a job or a reason for each pruning and oil care of its species."""
    plan = planned(folder, tmp_path / "out", "2026-07-01", "--season", "2027")
    loaded = load(folder)
    for written in plan["sites"]:
        site = loaded.programme.site(written["key"])
        said = {
            (entry["care"], tree)
            for entry in (*written["jobs"], *written["not_placed"])
            for tree in entry["plantings"]
        }
        for tree in site.plantings:
            if tree.near_power_line:
                continue
            for care, title in (
                ("dormant_pruning", "Dormant pruning"),
                ("dormant_oil_spray", "Dormant oil spray"),
            ):
                if loaded.rules[tree.species].care(care) is not None:
                    assert (title, tree.id) in said, (site.key, tree.id, title)


def test_running_twice_gives_the_same_bytes(folder: Path, tmp_path: Path) -> None:
    here = tmp_path / "programme"
    shutil.copytree(folder, here)
    planned(here, tmp_path / "one", "2026-11-25", "--season", "2027")
    planned(here, tmp_path / "two", "2026-11-25", "--season", "2027")
    first = {p.relative_to(tmp_path / "one"): p.read_bytes() for p in files(tmp_path / "one")}
    again = {p.relative_to(tmp_path / "two"): p.read_bytes() for p in files(tmp_path / "two")}
    assert first == again
    assert len([name for name in first if name.suffix == ".ics"]) == 13


def files(folder: Path) -> list[Path]:
    return [path for path in sorted(folder.rglob("*")) if path.is_file()]


def test_without_out_nothing_is_written_or_remembered(folder: Path, tmp_path: Path) -> None:
    here = tmp_path / "programme"
    shutil.copytree(folder, here, ignore=shutil.ignore_patterns("journal.sqlite*"))
    ran = CliRunner().invoke(orchardcal, ["season", str(here), "--as-of", "2026-11-25"])
    assert ran.exit_code == 0
    assert not list(here.glob("journal.sqlite*"))


def test_dates_move_little_from_week_to_week_when_nothing_happens(
    folder: Path, tmp_path: Path
) -> None:
    """A run a week later moves only what was not done in that week, and what follows it."""
    here = tmp_path / "programme"
    shutil.copytree(folder, here)
    first = planned(here, tmp_path / "out", "2026-11-10", "--season", "2027")
    later = planned(here, tmp_path / "out", "2026-11-17", "--season", "2027")
    before = {job["uid"]: job["day"] for site in first["sites"] for job in site["jobs"]}
    after = {job["uid"]: job["day"] for site in later["sites"] for job in site["jobs"]}
    still_ahead = {
        uid for uid, day in before.items() if date.fromisoformat(day) > date(2026, 11, 17)
    }
    kept = [uid for uid in still_ahead if after.get(uid) == before[uid]]
    assert len(kept) / len(still_ahead) > 0.85
