"""Day lengths and rebuilt hours against other programs and against observed hours."""

from __future__ import annotations

import csv
import gzip
import json
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from pathlib import Path

import numpy as np
import pytest

from orchardcal.climate.chill import chill_portions, half_utah_units, hours_0_to_72
from orchardcal.climate.heat import asymcur_gdh
from orchardcal.climate.hourly import Floats, day_length_h, hourly_c, hourly_weights

TESTS = Path(__file__).resolve().parent.parent
XCLIM = json.loads((TESTS / "computed_elsewhere" / "xclim_0.62.0" / "answers.json").read_text())
FIRST_OF_JANUARY = 184  # northern season day


def _rows(path: Path) -> list[dict[str, str]]:
    with path.open(encoding="utf-8") as lines:
        return list(csv.DictReader(line for line in lines if not line.startswith("#")))


def _season_day(latitude_deg: float, day_of_year: int) -> int:
    """Day 182 of a common year is 1 July."""
    return day_of_year - 1 if latitude_deg < 0 else (day_of_year - 182) % 365


@pytest.mark.parametrize(
    "row",
    _rows(TESTS / "computed_elsewhere" / "chillr_0.77" / "day_length_h.csv"),
    ids=lambda row: f"{row['latitude_deg']}-{row['day_of_year']}",
)
def test_day_length_agrees_with_chillr(row: dict[str, str]) -> None:
    """Recorded to four decimals."""
    latitude_deg = float(row["latitude_deg"])
    ours = day_length_h(latitude_deg)[_season_day(latitude_deg, int(row["day_of_year"]))]
    assert ours == pytest.approx(float(row["day_length_h"]), abs=5.1e-5)


@pytest.mark.parametrize(
    ("latitude", "theirs"), XCLIM["day_length_h_on_1993_06_21"].items(), ids=str
)
def test_day_length_differs_from_xclim_by_the_suns_rim(latitude: str, theirs: float) -> None:
    """xclim leaves out refraction and the sun's disc; 0.8333 degrees at the horizon's slope."""
    latitude_deg = float(latitude)
    ours = day_length_h(latitude_deg)[_season_day(latitude_deg, 172)]
    rim_h = _rim_h(latitude_deg, 23.44, theirs)
    assert ours == pytest.approx(theirs + rim_h, abs=0.02)


def test_day_length_published_allen_1998_example_9() -> None:
    """FAO-56 counts the sun's centre without refraction: ours is longer by just that.

    To 0.06 h: its declination has one term and crosses the equator on 20 September, three days
    early, so that its spring day in the south is 3 min long.
    """
    (row,) = _rows(TESTS / "published" / "allen_1998_example_9.csv")
    latitude_deg = float(row["latitude_deg"])
    printed_h = float(row["sunset_hour_angle_rad"]) * 24 / np.pi
    assert printed_h == pytest.approx(float(row["daylight_h"]), abs=0.05)
    ours = day_length_h(latitude_deg)[_season_day(latitude_deg, int(row["day_of_year"]))]
    assert ours == pytest.approx(printed_h + _rim_h(latitude_deg, 6.9, printed_h), abs=0.06)


def _rim_h(latitude_deg: float, declination_deg: float, length_h: float) -> float:
    """What 0.8333 degrees below the horizon add to a day [h], by the slope of the sun's path."""
    cosines = np.cos(np.radians(latitude_deg)) * np.cos(np.radians(declination_deg))
    return float(2 * 0.8333 / 15 / (cosines * np.sin(np.pi * length_h / 24)))


def test_day_lengths_mirror_between_hemispheres() -> None:
    """1 January is 184 days after 1 July, not a half year: up to 5 days at 3.5 min a day."""
    np.testing.assert_allclose(day_length_h(45.0), day_length_h(-45.0), atol=0.3)


def test_a_steady_curve_follows_linvill_1990() -> None:
    """Low at sunrise, high two hours after noon, sine by day, logarithm by night, no jump.

    Linvill (1990), HortScience 25:14-16; equations evaluated by hand for one day of 12 h at 0 °C
    to 20 °C: sunset temperature 20 sin(12 pi / 16) = 14.1421.
    """
    latitude_deg = 45.0
    length_h = day_length_h(latitude_deg)
    day = int(np.abs(length_h[100:] - 12).argmin()) + 100
    hours = hourly_c(np.zeros(365), np.full(365, 20.0), latitude_deg).reshape(365, 24)[day]
    assert length_h[day] == pytest.approx(12, abs=0.03)
    assert hours[14] == pytest.approx(20, abs=0.01)
    assert hours[10] == pytest.approx(20 * np.sin(np.pi * 4 / 16), abs=0.05)
    assert hours[18] == pytest.approx(20 * np.sin(np.pi * 12 / 16), abs=0.1)
    midnight = 14.1421 * (1 - np.log(6) / np.log(12))
    assert hours[0] == pytest.approx(midnight, abs=0.1)
    assert hours[6] == pytest.approx(0, abs=0.1)


def test_a_steady_equator_day_agrees_with_xclim() -> None:
    """By day alike, but that xclim's day is 12 h and ours 12.1 h.

    By night xclim cools at once, by ln(1 + t); ours after an hour: 0.5 °C warmer over 24 hours.
    """
    theirs = XCLIM["hours_c_between_0_and_20_at_the_equator"]
    ours = hourly_c(np.zeros(365), np.full(365, 20.0), 0.0).reshape(365, 24)[180]
    np.testing.assert_allclose(ours[6:19], theirs[:13], atol=0.4)
    assert ours.mean() - np.mean(theirs) == pytest.approx(0.5, abs=0.1)


@pytest.mark.parametrize("latitude_deg", [-66.0, -34.0, 0.0, 38.5, 50.4, 66.0, 90.0])
def test_hours_stay_between_the_extremes_and_weights_add_up_to_one(latitude_deg: float) -> None:
    weights = hourly_weights(latitude_deg)
    assert weights.shape == (365, 24, 5)
    np.testing.assert_allclose(weights.sum(axis=2), 1, atol=1e-12)
    assert weights.min() > -1e-12
    hours = hourly_c(np.full(365, -3.0), np.full(365, 9.0), latitude_deg).reshape(365, 24)
    assert (hours.max(axis=1) > 8.9).all()
    assert (hours.min(axis=1) < 1.0).all()


def test_edge_days_stand_in_for_the_days_beside_them() -> None:
    low_c, high_c = np.full(365, 20.0), np.full(365, 30.0)
    low_c[[0, -1]], high_c[[0, -1]] = 0.0, 10.0
    hours = hourly_c(low_c, high_c, 45.0).reshape(365, 24)
    assert (hours[0, :15] <= 10).all()  # the evening leads to the next day's low, 20
    assert (hours[-1, 6:] <= 10).all()  # the morning comes from the day before


def test_members_do_not_touch_each_other() -> None:
    low_c = np.random.default_rng(1).normal(4, 5, (2, 3, 365))
    hours = hourly_c(low_c, low_c + 9, 40.0)
    assert hours.shape == (2, 3, 8760)
    np.testing.assert_allclose(
        hours[1, 2], hourly_c(low_c[1, 2], low_c[1, 2] + 9, 40.0), atol=1e-12
    )


def test_unequal_or_short_seasons_are_refused() -> None:
    with pytest.raises(ValueError, match="365"):
        hourly_c(np.zeros(364), np.zeros(364), 45.0)


def _airport_hours_c(code: str) -> Floats:
    """Whole days 2 January to 31 March 2013, standard time; gaps drawn straight."""
    first = datetime(2013, 1, 2, 5, tzinfo=UTC)
    found = {}
    with gzip.open(TESTS / "real" / "hours" / f"{code}.csv.gz", "rt", encoding="utf-8") as lines:
        for row in csv.DictReader(lines):
            hour = (datetime.fromisoformat(row["utc_hour"]) - first) // timedelta(hours=1)
            if row["air_f"]:
                found[hour] = (float(row["air_f"]) - 32) * 5 / 9
    at = sorted(found)
    return np.interp(np.arange(89 * 24), at, [found[hour] for hour in at])


def _greensboro_hours_c() -> Floats:
    path = TESTS / "real" / "hours" / "greensboro.csv.gz"
    with gzip.open(path, "rt", encoding="utf-8") as lines:
        return np.array([float(row["air_c"]) for row in csv.DictReader(lines)])


REAL: dict[str, tuple[float, int, Callable[[], Floats]]] = {
    "ewr": (40.7, FIRST_OF_JANUARY + 1, lambda: _airport_hours_c("ewr")),
    "jfk": (40.6, FIRST_OF_JANUARY + 1, lambda: _airport_hours_c("jfk")),
    "lga": (40.8, FIRST_OF_JANUARY + 1, lambda: _airport_hours_c("lga")),
    "greensboro": (36.1, FIRST_OF_JANUARY, _greensboro_hours_c),
}


@pytest.mark.parametrize("place", REAL)
def test_rebuilt_hours_give_the_chill_and_heat_of_observed_hours(place: str) -> None:
    """Observed hours (real/hours/ORIGIN.md) and hours rebuilt from their own daily extremes.

    Portions within 3 %, chill hours, Utah units and heat within 8 %, single hours 2.3 °C rms: a
    cold front at noon or a warm night is not in two numbers a day.
    """
    latitude_deg, first, observed_hours = REAL[place]
    observed = observed_hours()
    by_day = observed.reshape(-1, 24)
    low_c, high_c = np.zeros(365), np.zeros(365)
    days = slice(first, first + len(by_day))
    low_c[days], high_c[days] = by_day.min(axis=1), by_day.max(axis=1)
    low_c[days.stop], high_c[days.stop] = low_c[days.stop - 1], high_c[days.stop - 1]
    low_c[first - 1], high_c[first - 1] = low_c[first], high_c[first]
    rebuilt = hourly_c(low_c, high_c, latitude_deg).reshape(365, 24)[days].ravel()

    assert np.sqrt(np.mean((rebuilt - observed) ** 2)) < 2.3
    ours, theirs = _sums(rebuilt), _sums(observed)
    assert ours[0] == pytest.approx(theirs[0], rel=0.03)
    assert ours[1:] == pytest.approx(theirs[1:], rel=0.08)


def _sums(air_c: Floats) -> list[float]:
    """Portions, hours from 0 to 7.2 °C, Utah units, ASYMCUR heat."""
    utah, _ = half_utah_units(air_c)
    return [
        float(chill_portions(air_c).sum()),
        float(hours_0_to_72(air_c).sum()),
        float(utah.sum()) / 2,
        float(asymcur_gdh(air_c).sum()),
    ]


def test_portions_and_utah_of_observed_hours_agree_with_xclim() -> None:
    observed = _greensboro_hours_c()
    portions, utah = chill_portions(observed).sum(), half_utah_units(observed)[0].sum() / 2
    assert portions == pytest.approx(XCLIM["portions_of_greensboro_273"], abs=1e-9)
    assert utah == XCLIM["utah_of_greensboro"]
