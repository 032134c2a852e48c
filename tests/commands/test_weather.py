"""The weather command: a record made, extended, never silently changed."""

from __future__ import annotations

from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from orchardcal.commands import orchardcal

FIRST = "day,low_c,high_c,rain_mm\n2024-02-27,-3,4,0\n2024-02-28,-2,5,\n"
MADE = "elder-lane/record.csv"


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    (tmp_path / "elder-lane").mkdir()
    (tmp_path / "programme.toml").write_text('name = "Elder Lane"\n', "utf-8")
    (tmp_path / "elder-lane" / "site.toml").write_text(
        '[climate]\nrecord = "record.csv"\n', "utf-8"
    )
    return tmp_path


def _weather(folder: Path, text: str, *options: str) -> Result:
    path = folder / "station.csv"
    path.write_text(text, "utf-8")
    arguments = ["weather", str(folder), "elder-lane", str(path), *options]
    return CliRunner().invoke(orchardcal, arguments)


def test_a_record_is_made(folder: Path) -> None:
    ended = _weather(folder, FIRST)
    assert ended.exit_code == 0, ended.stderr
    assert (folder / MADE).read_text("utf-8") == FIRST
    assert ended.stdout == (
        f"{MADE}: 2 days added, 0 missing values filled; the record is new.\n"
        "It now goes from 2024-02-27 to 2024-02-28, with rain.\n"
    )


def test_a_record_is_extended_and_its_blanks_filled(folder: Path) -> None:
    _weather(folder, FIRST)
    more = "day,low_f,high_f,rain_in\n2024-02-28,28.4,41,0.5\n2024-03-01,32,50,\n2024-03-04,23,,\n"
    ended = _weather(folder, more)
    assert ended.exit_code == 0, ended.stderr
    assert (folder / MADE).read_text("utf-8") == (
        "day,low_c,high_c,rain_mm\n2024-02-27,-3,4,0\n2024-02-28,-2,5,12.7\n2024-03-01,0,10,\n"
        "2024-03-04,-5,,\n"
    )
    assert ended.stdout == (
        f"{MADE}: 2 days added, 1 missing values filled.\n"
        "It now goes from 2024-02-27 to 2024-03-04, with rain.\n"
        "Without a low or a high: 4 days in 2 gaps, the longest 3 days from 2024-03-02.\n"
    )


def test_earlier_days_go_before_and_a_second_run_changes_nothing(folder: Path) -> None:
    _weather(folder, FIRST)
    _weather(folder, "day,low_c,high_c\n2024-02-26,1,2\n2024-02-27,-3,4\n")
    once = (folder / MADE).read_bytes()
    assert once.startswith(b"day,low_c,high_c,rain_mm\n2024-02-26,1,2,\n2024-02-27,-3,4,0\n")
    ended = _weather(folder, "day,low_c,high_c\n2024-02-26,1,2\n2024-02-27,-3,4\n")
    assert "0 days added, 0 missing values filled" in ended.stdout
    assert (folder / MADE).read_bytes() == once


def test_days_that_disagree_are_listed_and_nothing_is_written(folder: Path) -> None:
    rows = [f"2024-01-{day:02},0,10" for day in range(1, 31)]
    _weather(folder, "day,low_c,high_c\n" + "\n".join(rows))
    before = (folder / MADE).read_bytes()
    other = [row.replace(",10", ",11") for row in rows] + ["2024-02-01,0,9"]
    ended = _weather(folder, "day,low_c,high_c\n" + "\n".join(other))
    assert ended.exit_code == 2
    assert ended.stderr.count("has high_c 10, but") == 10
    assert "30 values disagree with" in ended.stderr
    assert "20 are not listed" in ended.stderr
    assert (folder / MADE).read_bytes() == before


def test_values_rounded_to_a_tenth_do_not_disagree(folder: Path) -> None:
    _weather(folder, "day,low_c,high_c\n2024-01-01,0.56,10\n")
    ended = _weather(folder, "day,low_c,high_c\n2024-01-01,0.6,10\n")
    assert ended.exit_code == 0
    assert "2024-01-01,0.56,10" in (folder / MADE).read_text("utf-8")


def test_what_is_left_out_is_counted_by_cause(folder: Path) -> None:
    text = (
        "STATION,DATE,TMAX,TMAX_ATTRIBUTES,TMIN,TMIN_ATTRIBUTES\n"
        'X1,2024-01-01,105,",,W",-9999,\nX1,2024-01-02,905,",X,W",-5,",,W"\n'
    )
    ended = _weather(folder, text)
    assert ended.stdout == (
        f"{MADE}: 2 days of station X1 added, 0 missing values filled; the record is new.\n"
        "It now goes from 2024-01-01 to 2024-01-02, without rain.\n"
        "Without a low or a high: 2 days in 1 gaps, the longest 2 days from 2024-01-01.\n"
        "Left out, flagged by the station network's quality checks: 1 values.\n"
        "Left out, written as -9999 (missing): 1 values.\n"
    )


def test_columns_of_another_layout(folder: Path) -> None:
    options = [f"--column={pair}" for pair in ("day=Date", "low_c=Min T", "high_c=Max T")]
    ended = _weather(folder, "Date,Max T,Min T,Wind\n2024-01-01,9,1,3\n", *options)
    assert ended.exit_code == 0, ended.stderr
    assert (folder / MADE).read_text("utf-8") == "day,low_c,high_c\n2024-01-01,1,9\n"


def test_a_site_without_a_record_is_told_how_to_use_it(folder: Path) -> None:
    (folder / "elder-lane" / "site.toml").write_text("[climate]\nchill_portions = 60\n", "utf-8")
    ended = _weather(folder, FIRST)
    assert ended.stdout.endswith(
        'To plan by it, write record = "record.csv" under [climate] in site.toml.\n'
    )


def test_a_site_that_is_not_there(folder: Path) -> None:
    ended = CliRunner().invoke(orchardcal, ["weather", str(folder), "elder-lan", "x.csv"])
    assert ended.exit_code == 2
    assert "Did you mean elder-lane?" in ended.stderr


def test_a_broken_record_is_not_extended(folder: Path) -> None:
    (folder / MADE).write_text("day,low_c,high_c\n2024-01-01,9,1\n", "utf-8")
    ended = _weather(folder, FIRST)
    assert ended.exit_code == 2
    assert f"{MADE}:2: 2024-01-01 has its low 9.0 °C above its high 1.0 °C" in ended.stderr
