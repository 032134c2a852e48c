"""The command that splits a file of many stations: files, what is told, what is refused."""

from __future__ import annotations

from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from orchardcal.commands import orchardcal

HEADER = "station,day,low_c,high_c\n"


def run(folder: Path, text: str, *more: str) -> Result:
    file = folder / "country.csv"
    file.write_text(text, encoding="utf-8")
    return CliRunner().invoke(orchardcal, ["stations", str(folder), str(file), *more])


def test_each_station_becomes_a_record_and_later_days_are_added(tmp_path: Path) -> None:
    first = run(tmp_path, HEADER + "Hill Top,2026-01-01,1,5\nBay,2026-01-01,3,8\n")
    assert first.exit_code == 0, first.output
    written = tmp_path / "stations"
    assert sorted(path.name for path in written.iterdir()) == ["bay.csv", "hill-top.csv"]
    assert (written / "bay.csv").read_text() == "day,low_c,high_c\n2026-01-01,3,8\n"
    again = run(tmp_path, HEADER + "Hill Top,2026-01-01,1,5\nBay,2026-01-02,4,9\n")
    assert "bay.csv  1 day added, 2026-01-01 to 2026-01-02, without rain" in again.output
    assert "hill-top.csv  nothing new, 2026-01-01 to 2026-01-01" in again.output
    assert (written / "bay.csv").read_text() == (
        "day,low_c,high_c\n2026-01-01,3,8\n2026-01-02,4,9\n"
    )


@pytest.mark.parametrize(
    ("rows", "said"),
    [
        ("Bay,2026-01-01,2,8\nHill,2026-01-01,0,1\n", "stations/bay.csv: 2026-01-01 has low_c 3"),
        ("Hill,2026-01-01,0,1\nHILL,2026-01-01,0,1\n", "would both be hill.csv"),
    ],
)
def test_nothing_is_written_where_anything_disagrees(tmp_path: Path, rows: str, said: str) -> None:
    run(tmp_path, HEADER + "Bay,2026-01-01,3,8\n")
    refused = run(tmp_path, HEADER + rows)
    assert refused.exit_code == 2
    assert said in refused.output
    assert [path.name for path in (tmp_path / "stations").iterdir()] == ["bay.csv"]
    assert (tmp_path / "stations" / "bay.csv").read_text().endswith("2026-01-01,3,8\n")
