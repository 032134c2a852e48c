"""An invented programme of any size, written as a folder: no such site, station or person exists.

Of every ten sites five plan by a station's 30 seasons, one by its last 12, two by monthly normals,
two by freeze dates and chill. Stations, sets of normals and sets of freeze dates are shared by the
sites around them, as in a country; each site has its own name, latitude and mix of trees.
"""

from __future__ import annotations

from datetime import date, timedelta
from pathlib import Path

import numpy as np

from tests.invented import CLIMATES, LATITUDES

STATIONS = 60
DISTRICTS = 300  # sets of normals, and of freeze dates
FIRST_DAY, LAST_DAY = date(1996, 7, 1), date(2026, 11, 20)
SHORT_FROM = date(2014, 7, 1)
TIMEZONE = 'timezone = "Etc/UTC"'
GRADES = "AAAAABCCDD"  # of ten sites one after another
# Latitude, first and last freeze, portions, near which the districts' lie: those of
# tests/climate/test_solver.py's continental, maritime and subtropical place.
FREEZE_DATES = (
    (45.0, date(2026, 10, 15), date(2027, 4, 24), 100),
    (51.0, date(2026, 11, 12), date(2027, 4, 11), 145),
    (32.0, date(2026, 11, 19), date(2027, 3, 7), 69),
)
MIXES = (
    ("apple", "pear_european", "plum_european"),
    ("apple", "sweet_cherry", "sour_cherry", "quince"),
    ("peach_nectarine", "apricot", "almond"),
    ("apple",),
    ("fig", "grape", "pomegranate", "olive"),
    ("pear_asian", "persimmon", "jujube"),
    ("apple", "walnut", "blueberry", "plum_japanese", "grape"),
    ("apple", "pear_european", "peach_nectarine", "sweet_cherry", "mulberry", "fig"),
)
NAMES = ("alder", "birch", "clover", "dale", "elm", "fern", "gorse", "heath", "ivy", "juniper")


def write_programme(folder: Path, sites: int) -> None:
    """Writes a programme of so many sites, the same for the same number."""
    folder.mkdir(parents=True)
    (folder / "programme.toml").write_text(
        'name = "Invented Orchards"\ncoordinator = "ada"\n[people.ada]\nname = "Ada Invented"\n',
        encoding="utf-8",
    )
    random = np.random.default_rng(17)
    stations = min(STATIONS, 1 + sites // 5)
    for station in range(stations):
        _write_station(folder / "stations", station)
    for number in range(sites):
        # names do not follow stations: a country's schools are sorted by name
        key = f"{NAMES[int(random.integers(len(NAMES)))]}-{number:05}"
        grade, station = GRADES[number % 10], int(random.integers(stations))
        district = int(random.integers(min(DISTRICTS, 1 + sites // 10)))
        latitude_deg, climate = _climate(grade, station, district)
        latitude_deg += float(random.uniform(-0.2, 0.2))
        _write_site(folder / key, key, latitude_deg, climate, MIXES[number % len(MIXES)])


def _climate(grade: str, station: int, district: int) -> tuple[float, str]:
    """A place's latitude and the [climate] table of the sites around it."""
    if grade in "AB":
        name = f"{station:03}" + ("-short" if grade == "B" else "")
        return _latitude_deg(station), f'record = "../stations/{name}.csv"'
    if grade == "C":
        kind = list(CLIMATES)[district % len(CLIMATES)]
        normals, warmer = CLIMATES[kind], (district // len(CLIMATES)) * 0.02
        lows, highs = (
            [round(value + warmer, 2) for value in values]
            for values in (normals.low_c, normals.high_c)
        )
        return LATITUDES[kind], f"low_c = {lows}\nhigh_c = {highs}"
    latitude_deg, first, last, portions = FREEZE_DATES[district % len(FREEZE_DATES)]
    shifted = district // len(FREEZE_DATES)
    first += timedelta(days=shifted % 5)
    last += timedelta(days=shifted // 5 % 5)
    portions += shifted // 25
    return latitude_deg, (
        f'first_freeze = "{first:%m-%d}"\nlast_freeze = "{last:%m-%d}"\nchill_portions = {portions}'
    )


def _latitude_deg(station: int) -> float:
    return 34.0 + station % 20


def _write_station(folder: Path, station: int) -> None:
    """Daily lows, highs and rain of a station, 30 seasons and the last 12 of them."""
    folder.mkdir(exist_ok=True)
    random = np.random.default_rng(station)
    days = [FIRST_DAY + timedelta(days=n) for n in range((LAST_DAY - FIRST_DAY).days + 1)]
    season = np.cos(2 * np.pi * (np.array([day.timetuple().tm_yday for day in days]) - 20) / 365.25)
    weather = np.convolve(random.normal(0, 1.6, len(days) + 5), np.ones(6), "valid")
    mean = 14.0 - 0.5 * (_latitude_deg(station) - 40.0) + station / 100
    low_c = mean - 6.0 - 10.0 * season + weather
    high_c = low_c + 5.0 + 3.0 * np.abs(random.normal(0, 1, len(days))) + 3.0 * (1 - season)
    rain_mm = np.where(random.random(len(days)) < 0.3, random.exponential(6.0, len(days)), 0.0)
    rows = [
        f"{day},{low:.1f},{high:.1f},{rain:.1f}"
        for day, low, high, rain in zip(days, low_c, high_c, rain_mm, strict=True)
    ]
    for name, first in ((f"{station:03}", FIRST_DAY), (f"{station:03}-short", SHORT_FROM)):
        text = "\n".join(["day,low_c,high_c,rain_mm", *rows[(first - FIRST_DAY).days :]])
        (folder / f"{name}.csv").write_text(text + "\n", encoding="utf-8")


def _write_site(
    folder: Path, key: str, latitude_deg: float, climate: str, species: tuple[str, ...]
) -> None:
    folder.mkdir()
    (folder / "site.toml").write_text(
        f'name = "School {key}"\nlatitude = {latitude_deg:.4f}\nlongitude = 0.0\n{TIMEZONE}\n'
        '[visits]\nweekdays = "mon-sat"\nhours = "09:00-15:00"\nvolunteers = true\n'
        '[pupils]\nweekdays = "mon-fri"\n[[pupils.term]]\nname = "Year"\n'
        "first = 2026-09-01\nlast = 2027-06-20\n"
        f"[climate]\n{climate}\n",
        encoding="utf-8",
    )
    rows = [
        f"T{place},{one},{2 + place % 2},{2000 + 5 * place % 24}"
        for place, one in enumerate(species)
    ]
    text = "\n".join(["id,species,count,planted", *rows])
    (folder / "trees.csv").write_text(text + "\n", encoding="utf-8")
