"""Sunrise and sunset against skyfield, and the days on which they slip past midnight."""

from __future__ import annotations

import csv
from datetime import date, time, timedelta
from pathlib import Path

import pytest

from orchardcal.climate.daylight import Daylight, daylight

SKYFIELD = Path(__file__).resolve().parent.parent / "computed_elsewhere" / "skyfield_1.55"


def _answers(polar: bool) -> list[dict[str, str]]:
    with (SKYFIELD / "sun_times.csv").open(encoding="ascii") as lines:
        rows = list(csv.DictReader(lines))
    return [row for row in rows if (row["latitude_deg"] == "70.0") == polar]


def _of(row: dict[str, str]) -> Daylight:
    return daylight(float(row["latitude_deg"]), 0.0, "UTC", date.fromisoformat(row["day"]))


def _minutes(clock: time | None) -> float:
    assert clock is not None
    return clock.hour * 60 + clock.minute + clock.second / 60


def test_sun_times_agree_with_skyfield_at_six_latitudes() -> None:
    """1 min to 50 degrees, 2 min to 61: astral's sun is a shorter series than an ephemeris."""
    rows = _answers(polar=False)
    assert len(rows) == 6 * 12
    for row in rows:
        ours, within = _of(row), 1 if abs(float(row["latitude_deg"])) <= 50 else 2
        for mine, theirs in ((ours.sunrise, "sunrise_utc"), (ours.sunset, "sunset_utc")):
            expected = _minutes(time.fromisoformat(row[theirs]))
            assert _minutes(mine) == pytest.approx(expected, abs=within), row


def test_polar_days_agree_with_skyfield_at_70_degrees() -> None:
    """Near the first polar night a minute of altitude is long: 8 min."""
    for row in _answers(polar=True):
        ours = _of(row)
        for mine, theirs in ((ours.sunrise, "sunrise_utc"), (ours.sunset, "sunset_utc")):
            if row[theirs]:
                expected = _minutes(time.fromisoformat(row[theirs]))
                assert _minutes(mine) == pytest.approx(expected, abs=8), row
            else:
                assert mine is None, row
        assert ours.polar_day == (not row["sunrise_utc"] and row["up_at_noon"] == "1"), row


@pytest.mark.parametrize(
    ("latitude_deg", "longitude_deg", "timezone"),
    [
        (34.1, -118.2, "America/Los_Angeles"),
        (37.6, 127.0, "Asia/Seoul"),
        (-36.9, 174.8, "Pacific/Auckland"),
        (-33.9, 151.2, "Australia/Sydney"),
        (-17.5, -149.6, "Pacific/Tahiti"),
    ],
)
def test_far_from_greenwich_the_day_is_the_local_one(
    latitude_deg: float, longitude_deg: float, timezone: str
) -> None:
    """In UTC the sun of these places sets before it rises on every date."""
    for offset in range(365):
        day = date(2027, 1, 1) + timedelta(days=offset)
        light = daylight(latitude_deg, longitude_deg, timezone, day)
        assert light.sunrise is not None
        assert light.sunset is not None
        assert time(4) < light.sunrise < time(8, 30) < time(16) < light.sunset < time(21)


def test_summer_time_moves_the_clock_by_an_hour() -> None:
    """Los Angeles changes clocks on 14 March 2027 (second Sunday, US Energy Policy Act 2005)."""
    before, after = (
        daylight(34.1, -118.2, "America/Los_Angeles", date(2027, 3, day)).sunrise
        for day in (13, 14)
    )
    assert _minutes(after) - _minutes(before) == pytest.approx(59, abs=1)


def test_a_sunset_after_midnight_leaves_the_evening_light() -> None:
    """Reykjavik around midsummer: sunset about 00:03, sunrise about 02:55, no polar day."""
    for day in (17, 18, 19, 24):
        light = daylight(64.13, -21.9, "Atlantic/Reykjavik", date(2027, 6, day))
        assert light.sunset is None
        assert _minutes(light.sunrise) == pytest.approx(175, abs=5)
        assert not light.polar_day


def test_no_light_in_polar_night_and_all_day_in_polar_day() -> None:
    """Longyearbyen, 78 degrees north."""
    arguments = (78.2, 15.6, "Arctic/Longyearbyen")
    assert daylight(*arguments, date(2027, 12, 21)) == Daylight(None, None, polar_day=False)
    assert daylight(*arguments, date(2027, 6, 21)) == Daylight(None, None, polar_day=True)
