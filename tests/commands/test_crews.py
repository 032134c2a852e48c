"""The command that shows crews, their sites and the rates of exchange."""

from __future__ import annotations

import re
from pathlib import Path

from tests.commands.running import run
from tests.invented_city import write_city


def city(tmp_path: Path, more: str = "") -> Path:
    folder = tmp_path / "city"
    write_city(folder, 6, 2)
    with (folder / "programme.toml").open("a", encoding="utf-8") as programme:
        programme.write(more)
    return folder


def test_each_crew_with_its_home_hours_skills_and_sites(tmp_path: Path) -> None:
    """The way from the home as on a flat map, cos 38° = 0.788: over 12 km it is within
    a few metres of the great circle.
    """
    folder = city(
        tmp_path,
        '[crews.far]\nname = "Crew Far"\nhome = [38.0, -120.0]\npeople = 1\nvisits_a_day = 1\n'
        'hours_a_day = 4.5\nweekdays = ["tue"]\nsites = ["school-00001"]\n'
        'days_off = [2026-12-24, "2026-12-28 to 2027-01-01"]\n',
    )
    said = run("crews", str(folder))
    assert said.code == 0
    first, _, far, *_ = said.out.split("\n\n")
    assert first.splitlines()[:4] == [
        "Crew 1 (c000)",
        "    home 38, -119.94",
        "    2 people, 6 h a day, on Mon, Tue, Wed, Thu, Fri, at most 4 visits a day",
        "    skills: pruning, spraying, ladder",
    ]
    assert "within 12 km of its home" in first
    lines = far.splitlines()
    assert lines[2] == "    1 person, 4 h 30 min a day, on Tue, at most 1 visit a day"
    assert lines[3] == "    skills: pruning, ladder"
    assert lines[4] == "    days off: 2026-12-24, 2026-12-28 to 2027-01-01"
    assert lines[5] == "    goes to 1 of 6 sites, those named in its sites:"
    (km,) = re.findall(r"school-00001 +([\d.]+) km", lines[6])
    text = (folder / "school-00001" / "site.toml").read_text(encoding="utf-8")
    latitude, longitude = (
        float(re.findall(rf"{name} = (\S+)", text)[0]) for name in ("latitude", "longitude")
    )
    north, east = 111.195 * (latitude - 38), 111.195 * 0.788 * (longitude + 120)
    assert abs(float(km) - (north**2 + east**2) ** 0.5) < 0.1


def test_miles_where_chosen(tmp_path: Path) -> None:
    """12 km are 7.5 mi (NIST SP 811: 1 mi = 1.609 344 km)."""
    folder = city(tmp_path)
    programme = folder / "programme.toml"
    programme.write_text('units = "us"\n' + programme.read_text("utf-8"), "utf-8")
    assert "within 7.5 mi of its home" in run("crews", str(folder)).out


def test_the_rates_in_words_and_which_are_set(tmp_path: Path) -> None:
    said = run("crews", str(city(tmp_path, "[rates]\nvisit = 45\nmoved = 0\n"))).out
    lines = [line.strip() for line in said.splitlines()]
    assert "visit      a visit to a place is worth 45  (set in programme.toml)" in lines
    assert "moved      moving a published date is worth 0  (set in programme.toml)" in lines
    assert sum("(set in" in line for line in lines) == 2
    assert "trip       a drive to a group of near places is worth 10" in lines


def test_what_it_says_of_setting_a_rate_can_be_done(tmp_path: Path) -> None:
    folder = city(tmp_path)
    before = run("crews", str(folder)).out
    example = before.split("for instance:\n")[-1]
    with (folder / "programme.toml").open("a", encoding="utf-8") as programme:
        programme.write("\n".join(line.strip() for line in example.splitlines()) + "\n")
    (points,) = re.findall(r"visit = (\d+)", example)
    assert f"a visit to a place is worth {points}  (set in" in run("crews", str(folder)).out


def test_without_crews_it_says_how_to_write_one(tmp_path: Path) -> None:
    write_city(tmp_path / "city", 2, 0)
    said = run("crews", str(tmp_path / "city"))
    assert said.code == 0
    assert said.out.startswith("No crews:")
    assert "[crews.north]" in said.out
    assert "Rates of exchange" in said.out


def test_what_is_odd_is_asked_about(tmp_path: Path) -> None:
    folder = city(
        tmp_path, '[crews.idle]\nname = "Crew Idle"\nhome = [38.0, -119.9]\nweekdays = []\n'
    )
    said = run("crews", str(folder))
    assert said.code == 0
    assert "on no weekday" in said.out
    assert "To look at again, though it is no mistake:" in said.out
    assert 'crew "Crew Idle" works on no day of the week' in said.out


def test_a_broken_folder_is_a_message(tmp_path: Path) -> None:
    folder = city(tmp_path, '[crews.bad]\nname = "Crew Bad"\n')
    said = run("crews", str(folder))
    assert said.code == 2
    assert "home is missing" in said.err
