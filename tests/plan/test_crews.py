"""Crews on an invented city's season: every plan checked by the validators, and hand-made cases."""

from __future__ import annotations

import json
import re
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner

from orchardcal.commands import orchardcal
from orchardcal.commands.programme import load
from orchardcal.sites.site import Programme
from tests.invented_city import write_city
from tests.plan.crew_validator import crew_faults
from tests.plan.validator import faults

AS_OF = "2026-11-25"


@dataclass
class City:
    """A programme folder with crews, planned as often as wanted."""

    folder: Path

    def planned(self, *more: str) -> dict[str, Any]:
        """The plan as JSON, after both validators have seen it."""
        result = CliRunner().invoke(
            orchardcal, ["season", str(self.folder), "--as-of", AS_OF, "--json", *more]
        )
        assert result.exit_code == 0, result.output
        plan: dict[str, Any] = json.loads(result.stdout)
        programme = self.programme
        assert crew_faults(plan, programme) == []
        assert faults(plan, {site.key: site for site in programme.sites}) == []
        return plan

    @property
    def programme(self) -> Programme:
        return load(self.folder).programme

    def change(self, file: str, old: str, new: str) -> None:
        path = self.folder / file
        text = path.read_text()
        assert re.search(old, text), file
        path.write_text(re.sub(old, new, text))


@pytest.fixture
def city(tmp_path: Path) -> City:
    write_city(tmp_path / "city", 6)
    return City(tmp_path / "city")


def of_crews(plan: dict[str, Any]) -> list[dict[str, Any]]:
    return [job for site in plan["sites"] for job in site["jobs"] if job["crew"]]


def no_crew(plan: dict[str, Any]) -> list[dict[str, Any]]:
    return [one for site in plan["sites"] for one in site["not_placed"] if one["kind"] == "no crew"]


def days(plan: dict[str, Any]) -> dict[str, str]:
    return {job["uid"]: job["day"] for job in of_crews(plan)}


def test_crews_do_their_work_and_share_trips(city: City) -> None:
    plan = city.planned()
    jobs = of_crews(plan)
    assert {job["care"] for job in jobs} >= {"Dormant pruning", "Whitewash painting"}
    visits = {(job["crew"], job["day"], job["uid"]) for job in jobs}
    out = {(job["crew"], job["day"]) for job in jobs}
    assert len(out) < len(visits)


def test_without_crews_no_job_names_one(tmp_path: Path) -> None:
    write_city(tmp_path / "city", 4, crews=0)
    plan = City(tmp_path / "city").planned()
    assert of_crews(plan) == []
    assert no_crew(plan) == []


def test_planning_again_changes_nothing(city: City, tmp_path: Path) -> None:
    written = []
    for _ in range(2):
        city.planned("--out", str(tmp_path / "out"))
        written.append(
            {path: path.read_bytes() for path in (tmp_path / "out").rglob("*") if path.is_file()}
        )
    assert written[0] == written[1]


def test_more_days_off_move_only_what_they_take(city: City, tmp_path: Path) -> None:
    before = days(city.planned("--out", str(tmp_path / "out")))
    taken = max(before.values(), key=list(before.values()).count)
    city.change("programme.toml", "reach_km", f"days_off = [{taken}]\nreach_km")
    after = days(city.planned("--out", str(tmp_path / "out")))
    moved = {uid for uid, day in before.items() if after.get(uid) != day}
    assert {uid for uid, day in before.items() if day == taken} <= moved
    follow = {job["uid"] for job in of_crews(city.planned()) if job["uid"] in moved}
    assert moved <= follow | {uid for uid, day in before.items() if day == taken}


def test_a_crew_that_cannot_spray_leaves_the_spray_waiting(city: City) -> None:
    city.change("programme.toml", ', "spraying"', "")
    plan = city.planned()
    waiting = [one for one in no_crew(plan) if one["care"] == "Dormant oil spray"]
    assert waiting
    assert {one["why"][-1] for one in waiting} == {
        "No crew that comes here is licensed to spray, which this ground asks for."
    }


def test_tall_trees_wait_for_a_crew_with_ladders(city: City) -> None:
    city.change("programme.toml", ', "ladder"', "")
    tall = {
        (site.key, one.id)
        for site in city.programme.sites
        for one in site.plantings
        if one.height_m is not None and one.height_m > 2.5
    }
    plan = city.planned()
    waiting = {
        (site["key"], tree)
        for site in plan["sites"]
        for one in site["not_placed"]
        if one["kind"] == "no crew" and one["care"] == "Dormant pruning"
        for tree in one["plantings"]
    }
    assert waiting
    assert waiting & tall


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ('weekdays = "mon-fri"', "weekdays = []"),
        ("people = 2", "people = 0"),
        ("hours_a_day = 6", "hours_a_day = 0"),
    ],
    ids=["no days", "no people", "no hours"],
)
def test_a_crew_without_hours_still_leaves_a_plan(city: City, old: str, new: str) -> None:
    city.change("programme.toml", re.escape(old), new)
    plan = city.planned()
    assert of_crews(plan) == []
    assert no_crew(plan)
    assert all(one["why"] for one in no_crew(plan))
    lead = [job["care"] for site in plan["sites"] for job in site["jobs"]]
    assert "Dormancy check" in lead
    told = CliRunner().invoke(orchardcal, ["check", str(city.folder)])
    assert 'crew "Crew 1"' in told.output


def test_what_finds_no_place_says_which_step_left_none_and_what_would_help(city: City) -> None:
    city.change("programme.toml", "hours_a_day = 6", "hours_a_day = 1.25")
    plan = city.planned()
    found = no_crew(plan)
    assert found
    texts = [one["why"][-1] for one in found]
    assert all(
        "No place found with a crew" in text or "no crew has a place" in text for text in texts
    )
    assert not any("impossible" in text for text in texts)
    helped = [one["nearest"] for one in found if one["nearest"]]
    assert any("Crew 1" in text for text in helped)


def test_work_too_large_for_one_day_is_shared_out_over_days(city: City) -> None:
    key = city.programme.sites[0].key
    (city.folder / key / "trees.csv").write_text(
        "id,species,count,planted,form\n"
        + "".join(f"A{place},apple,6,2010,open centre\n" for place in range(8))
    )
    plan = city.planned()
    site = next(one for one in plan["sites"] if one["key"] == key)
    prunings = [job for job in site["jobs"] if job["care"] == "Dormant pruning" and job["crew"]]
    assert len({job["day"] for job in prunings}) > 1
    trees = [tree for job in prunings for tree in job["plantings"]]
    assert sorted(trees) == [f"A{place}" for place in range(8)]


def test_the_plan_is_the_same_on_any_number_of_processes(city: City) -> None:
    assert city.planned("--processes", "1") == city.planned("--processes", "2")


def test_a_crew_comes_to_a_far_site_only_if_it_names_it(city: City) -> None:
    key = city.programme.sites[0].key
    city.change(f"{key}/site.toml", r"longitude = .*", "longitude = -60.0")
    plan = city.planned()
    far = next(one for one in plan["sites"] if one["key"] == key)
    assert [job for job in far["jobs"] if job["crew"]] == []
    assert far["jobs"], "planned by the site itself"
    told = CliRunner().invoke(orchardcal, ["check", str(city.folder)])
    assert key in told.output


def test_a_site_9000_km_from_its_crew_is_asked_about_and_the_rest_planned(city: City) -> None:
    key = next(site.key for site in city.programme.sites if not site.volunteers)
    city.change(f"{key}/site.toml", r"longitude = .*", "longitude = -10.0")
    city.change(f"{key}/site.toml", "America/Los_Angeles", "Europe/Lisbon")
    named = ", ".join(f'"{site.key}"' for site in city.programme.sites)
    city.change("programme.toml", r"reach_km = 12", f"sites = [{named}]")
    plan = city.planned()
    (far,) = (site for site in plan["sites"] if site["key"] == key)
    rest = [site for site in plan["sites"] if site["key"] != key]
    assert [one["kind"] for one in far["not_placed"] if one["kind"] == "no crew"]
    assert any(job["crew"] for site in rest for job in site["jobs"])
    told = CliRunner().invoke(orchardcal, ["check", str(city.folder)])
    assert told.exit_code == 0
    assert re.search(rf"goes to {key}, [89]\d{{3}} km from its home", told.output)


@pytest.mark.slow
@pytest.mark.parametrize("seed", [2, 3, 4])
@pytest.mark.parametrize(("schools", "hours"), [(40, 6.0), (25, 3.0)])
def test_larger_cities_keep_every_rule(
    tmp_path: Path, schools: int, hours: float, seed: int
) -> None:
    write_city(tmp_path / "city", schools, seed=seed, hours_a_day=hours, climate="maritime")
    plan = City(tmp_path / "city").planned()
    assert of_crews(plan)
    assert date.fromisoformat(min(job["day"] for job in of_crews(plan))) > date(2026, 11, 25)
