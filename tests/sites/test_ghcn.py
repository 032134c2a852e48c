"""GHCN-Daily station files, by the layout NOAA prints for them.

Source of the layout: NOAA NCEI, GHCN-Daily readme.txt, section III: ID 1-11, YEAR 12-15,
MONTH 16-17, ELEMENT 18-21, VALUE1 22-26, MFLAG1 27, QFLAG1 28, SFLAG1 29, and so on to day 31;
tenths of °C and mm; -9999 missing. The station and its values are invented.
"""

from __future__ import annotations

from datetime import date
from math import isnan
from pathlib import Path

import pytest

from orchardcal.errors import Problems
from orchardcal.sites.ghcn import ABSENT, CROSSED, FLAGGED, StationDays
from orchardcal.sites.stations import station_days

STATION = "XX000000001"


def _dly(element: str, values: dict[int, str], year: int = 2024, month: int = 2) -> str:
    """A line of the fixed-width form; values are "value flags", as "-35 G" with flags in place."""
    days = []
    for day in range(1, 32):
        value, _, flags = values.get(day, "-9999").partition(" ")
        days.append(f"{value:>5}{flags:3}")
    return f"{STATION}{year}{month:02}{element}{''.join(days)}"


def _read(tmp_path: Path, text: str, **names: str) -> tuple[StationDays | None, Problems]:
    path = tmp_path / "station.txt"
    path.write_text(text, "utf-8")
    problems = Problems()
    return station_days(path, "station.txt", names, problems), problems


def test_tenths_flags_and_29_february_of_the_fixed_width_form(tmp_path: Path) -> None:
    text = "\n".join(
        [
            _dly("TMAX", {27: "105   S", 28: "44   S", 29: "150   S"}),
            _dly("TMIN", {27: "-35   S", 28: "30  GS", 29: "-6   S"}),
            _dly("PRCP", {27: "0 T S", 28: "127   S", 29: "3   S"}),
            _dly("SNOW", {27: "99   S"}),
        ]
    )
    text = text.replace("   S", "  S").replace("  GS", " GS")
    found, problems = _read(tmp_path, text + "\n")
    assert not problems
    assert found is not None
    record = found.record
    assert (found.station, record.first_day, record.last_day) == (
        STATION,
        date(2024, 2, 27),
        date(2024, 2, 29),
    )
    assert list(record.high_c) == pytest.approx([10.5, 4.4, 15.0])
    assert (record.low_c[0], record.low_c[2]) == pytest.approx((-3.5, -0.6))
    assert isnan(record.low_c[1])
    assert list(record.rain_mm) == pytest.approx([0.0, 12.7, 0.3])
    assert dict(found.left_out) == {FLAGGED: 1, ABSENT: 3 * 26}  # February 2024 has 29 days


def test_columns_are_where_the_readme_says(tmp_path: Path) -> None:
    """readme.txt, section III: day 31 has its value in columns 262-266, its quality flag in 268."""
    line = _dly("TMAX", {31: "321 "}, month=1)
    assert len(line) == 269
    assert line[261:266] == "  321"
    text = "\n".join([line, _dly("TMIN", {31: "12"}, month=1)])
    good, _ = _read(tmp_path, text)
    assert good is not None
    assert (good.record.first_day, good.record.high_c[0]) == (date(2024, 1, 31), 32.1)
    flagged, problems = _read(tmp_path, text.replace(line, line[:267] + "X" + line[268:]))
    assert flagged is None
    assert "holds no usable TMAX" in str(problems.found[0])


def test_a_low_above_its_high_is_left_out_and_counted(tmp_path: Path) -> None:
    text = _dly("TMAX", {1: "10", 2: "90"}) + "\n" + _dly("TMIN", {1: "20", 2: "20"})
    found, _ = _read(tmp_path, text)
    assert found is not None
    assert dict(found.left_out)[CROSSED] == 2
    assert found.record.first_day == date(2024, 2, 2)


def test_the_per_station_csv_gives_the_same(tmp_path: Path) -> None:
    """Columns as in NCEI's per-station files: attributes are measurement,quality,source."""
    text = (
        '"STATION","DATE","NAME","PRCP","PRCP_ATTRIBUTES","TMAX","TMAX_ATTRIBUTES","TMIN",'
        '"TMIN_ATTRIBUTES"\n'
        f'"{STATION}","2024-02-28","SOMEWHERE, XX US","    0","T,,W","  105",",,W","  -35",",,W"\n'
        f'"{STATION}","2024-02-29","SOMEWHERE, XX US","  127",",,W","   44",",I,W","   -6",",,W"\n'
    )
    found, problems = _read(tmp_path, text)
    assert not problems
    assert found is not None
    assert dict(found.left_out) == {FLAGGED: 1}
    assert list(found.record.low_c) == pytest.approx([-3.5, -0.6])
    assert found.record.high_c[0] == pytest.approx(10.5)
    assert isnan(found.record.high_c[1])
    assert list(found.record.rain_mm) == pytest.approx([0, 12.7])


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("DATE,TMAX,TMIN\n2024-01-01,45.5,30\n", 'TMAX is "45.5", not a whole number of tenths'),
        ("DATE,TMAX\n2024-01-01,45\n", "has no column TMIN"),
        ("when,max,min\n2024-01-01,4,3\n", "has the columns when, max, min"),
        (_dly("TMAX", {1: "10"}).replace("   10", "  1O "), 'TMAX of day 1 is "1O"'),
        (_dly("TMAX", {1: "10"}) + "\nnot a line\n", 'begins with "not a line"'),
        (
            _dly("TMAX", {1: "10"}) + "\n" + _dly("TMIN", {1: "1"}).replace(STATION, "XX000000002"),
            "holds 2 stations: XX000000001, XX000000002",
        ),
        (
            _dly("TMAX", {1: "10"}) + "\n" + _dly("TMAX", {1: "11"}),
            "TMAX of 2024-02-01 stands twice",
        ),
    ],
)
def test_what_is_wrong_with_a_station_file_is_told(tmp_path: Path, text: str, said: str) -> None:
    found, problems = _read(tmp_path, text)
    assert found is None
    assert said in "\n".join(map(str, problems.found))


def test_whole_degrees_in_a_station_csv_are_asked_about(tmp_path: Path) -> None:
    rows = [f"2023-{month:02}-{day:02},88,60" for month in range(1, 13) for day in range(1, 29)]
    found, problems = _read(tmp_path, "DATE,TMAX,TMIN\n" + "\n".join(rows))
    assert found is None
    assert "in tenths of °C that is 8.8 °C" in str(problems.found[0])


def test_columns_of_another_name(tmp_path: Path) -> None:
    text = "date,precipitation,temp_max,temp_min,wind\n2012/01/01,0.0,12.8,5.0,4.7\n"
    found, problems = _read(
        tmp_path, text, day="date", low_c="temp_min", high_c="temp_max", rain_mm="precipitation"
    )
    assert not problems
    assert found is not None
    record = found.record
    assert (record.low_c[0], record.high_c[0], record.rain_mm[0]) == (5.0, 12.8, 0.0)
    _, problems = _read(tmp_path, text, day="date", low_c="temp_mn", high_c="temp_max")
    assert "Did you mean temp_min?" in str(problems.found[0])
