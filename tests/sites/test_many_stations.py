"""A file of many stations: each becomes the record that its rows alone would be."""

from __future__ import annotations

from datetime import date, timedelta
from pathlib import Path

import pytest

from orchardcal.errors import Problems
from orchardcal.sites.many_stations import ManyStations, records_of_stations
from orchardcal.sites.record import read_record
from orchardcal.sites.record_joining import record_text

DAYS = [date(2025, 12, 28) + timedelta(days=n) for n in range(8)]
ROWS = {
    name: [f"{day},{low + n},{low + n + 7.5},{n % 3}" for n, day in enumerate(DAYS)]
    for name, low in (("Hill", -6.0), ("Bay, east", 3.0))
}
HEADER = "day,low_c,high_c,rain_mm"


def read(
    folder: Path, text: str, names: dict[str, str] | None = None
) -> tuple[ManyStations | None, str]:
    path = folder / "country.csv"
    path.write_text(text, encoding="utf-8")
    problems = Problems()
    found = records_of_stations(path, "country.csv", names or {}, problems)
    return found, "\n".join(map(str, problems.found))


@pytest.mark.parametrize("mixed", [False, True])
@pytest.mark.parametrize("mark", [",", ";"])
def test_each_station_has_the_record_its_rows_alone_would_be(
    tmp_path: Path, mixed: bool, mark: str
) -> None:
    rows = [f'"{name}",{row}' for name, own in ROWS.items() for row in own]
    if mixed:
        rows = [one for pair in zip(rows[:8], rows[8:], strict=True) for one in pair]
    text = "\n".join([f"station,{HEADER}", *rows])
    if mark == ";":
        text = text.replace(",", ";").replace("Bay; east", "Bay, east")
    found, said = read(tmp_path, text)
    assert said == ""
    assert found is not None
    assert list(found.records) == ["Bay, east", "Hill"]
    for name, own in ROWS.items():
        alone = tmp_path / "alone.csv"
        alone.write_text("\n".join([HEADER, *own]), encoding="utf-8")
        expected = read_record(alone, Problems(), "alone.csv")
        assert expected is not None
        assert record_text(found.records[name]) == record_text(expected)


def test_columns_of_other_names_and_columns_that_are_not_ours(tmp_path: Path) -> None:
    text = "place,date,hPa,tn,tx\nHill,2026-01-01,990,23,50\nHill,2026-01-02,991,14,41\n"
    names = {"station": "place", "day": "date", "low_f": "tn", "high_f": "tx"}
    found, said = read(tmp_path, text, names)
    assert (said, found is not None) == ("", True)
    assert found is not None
    record = found.records["Hill"]
    assert list(record.high_c) == pytest.approx([10.0, 5.0])  # 50 and 41 °F
    assert not record.has_rain


def test_rows_that_end_early_are_read_and_stations_without_temperature_are_named(
    tmp_path: Path,
) -> None:
    text = f"station,{HEADER}\nHill,2026-01-01,1,5\nBuoy,2026-01-01,,,3\n\nHill,2026-01-02,2,6\n"
    found, said = read(tmp_path, text)
    assert said == ""
    assert found is not None
    assert found.without == ("Buoy",)
    assert list(found.records["Hill"].low_c) == [1.0, 2.0]


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("day,low_c,high_c\n2026-01-01,1,5\n", 'country.csv:1: has no column "station"'),
        ("station,low_c,high_c\nHill,1,5\n", 'country.csv:1: has no column "day"'),
        ("station,day,low_c\nHill,2026-01-01,1\n", 'has no column "high_c"'),
        (f"station,{HEADER}\n,2026-01-01,1,5,0\n", "country.csv:2: names no station"),
        (f"station,{HEADER}\nHill,2026-01-01,1,5,0,9\n", "country.csv:2: has 6 cells"),
        (
            f"station,{HEADER}\nBay,2026-01-01,1,5,0\nHill,2026-01-01,9,5,0\n",
            "country.csv, Hill:3: 2026-01-01 has its low 9.0 °C above its high 5.0 °C",
        ),
        (
            f"station,{HEADER}\nBay,2026-01-01,1,5,0\nBay,2026-01-01,1,5,0\n",
            "country.csv, Bay:3: 2026-01-01 stands in line 2 already",
        ),
    ],
)
def test_what_is_wrong_is_told_with_its_line(tmp_path: Path, text: str, said: str) -> None:
    assert said in read(tmp_path, text)[1]


def test_a_name_that_is_no_column_of_ours(tmp_path: Path) -> None:
    _, said = read(tmp_path, f"station,{HEADER}\nHill,2026-01-01,1,5,0\n", {"low": "low_c"})
    assert '--column: "low" is no column of a record' in said
