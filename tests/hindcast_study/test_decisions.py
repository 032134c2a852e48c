"""Looking at the buds every fortnight, and the errors of the study, by hand on invented cases."""

from __future__ import annotations

import numpy as np
import pytest

from tests.hindcast_study.cases import Cases, Weather
from tests.hindcast_study.decisions import FEBRUARY_FIRST, Planning, judged, looked_at, replanned
from tests.hindcast_study.floors import among_stations, drawn_error
from tests.hindcast_study.parameters import MODELS, SHARES

KIND = ("peach", "bud burst")
SEASONS = 30


def steady_springs(burst: int) -> Weather:
    """Seasons all alike: chill met in autumn, an equal heat a day that opens the buds on a day."""
    portions = np.zeros((SEASONS, 365))
    portions[:, 100] = MODELS["peach"].chill_from
    daylight = np.zeros((SEASONS, 365))
    daylight[:, burst] = MODELS["peach"].heat_need * SHARES[KIND]
    zero = np.zeros((SEASONS, 365))
    return Weather(np.ones(SEASONS, int), np.arange(SEASONS), portions, daylight, zero, zero)


def cases_on(*days: int) -> Cases:
    at = np.arange(len(days))
    return Cases(at, np.array(days, float), np.ones(len(days), int), at, np.ones(len(days), bool))


def test_looking_alone_opens_the_days_of_looking() -> None:
    """1 and 15 February and 1 March are season days 215, 229, 243; 215 itself shows moving buds."""
    cases = cases_on(230, 243, 244, 215)
    found = looked_at(cases, steady_springs(250), KIND, np.ones(4), None)
    assert found.last_open.tolist() == [229, 229, 243, 214]
    assert found.closed.tolist() == [15 - 2, 28 - 2, 29 - 3, 0]
    assert judged(found.last_open, cases).safe == 4


def test_a_look_opens_the_window_again_where_the_plan_is_past() -> None:
    """Seasons all alike: the model says 240 for certain. A tree that opens on 262 is seen closed
    on 243 and 257, each open for the day; one that opens on 236 was sprayed too late."""
    cases, weather = cases_on(262, 236), steady_springs(240)
    planning = Planning(0.05, 0.0)
    assert replanned(cases, weather, KIND, np.ones(2), planning).tolist() == [240, 240]
    found = looked_at(cases, weather, KIND, np.ones(2), planning)
    assert found.last_open.tolist() == [257, 240]
    opened = 240 - FEBRUARY_FIRST + 1 + 2
    assert found.closed.tolist() == [262 - FEBRUARY_FIRST - opened, 0]
    assert judged(found.last_open, cases).safe == 1


def test_an_error_of_the_heat_is_lognormal() -> None:
    """Mean 0 and standard deviation 0.2 of the logarithm, within what 39 steps can show."""
    logs = np.log(Planning(0.05, 0.0, heat_error=0.2).heat_factors)
    assert logs.mean() == pytest.approx(0.0, abs=1e-12)
    assert logs.std() == pytest.approx(0.2, rel=0.02)
    assert Planning(0.05, 6.0).heat_factors.tolist() == [1.0]


def test_errors_shared_by_a_year_and_by_a_station() -> None:
    """Errors alike in a year correlate fully; stations erring alike leave nothing to chance."""
    year, station = np.tile([1, 2], 3), np.repeat([1, 2, 3], 2)
    cases = Cases(np.arange(6), np.zeros(6), station, year, np.ones(6, bool))
    errors = np.tile([3.0, -3.0], 3)
    assert among_stations(errors, cases) == pytest.approx(1.0)
    assert drawn_error(errors, cases) == pytest.approx(0.0, abs=1e-12)
    assert drawn_error(np.repeat([1.0, 5.0, 9.0], 2), cases) > 1.0
