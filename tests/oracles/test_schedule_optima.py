"""The schedules our own are judged by, proven again by OR-Tools CP-SAT (PyPI ortools)."""

from __future__ import annotations

from dataclasses import asdict

import pytest

from orchardcal.plan.schedule import Weights
from tests.plan.schedule.instances import city
from tests.plan.schedule.test_known_optima import OPTIMA, PENALTIES, solver_script, unit_tasks

pytestmark = pytest.mark.slow


def test_solver_still_says_so() -> None:
    solver = solver_script()
    for penalties, late in ((PENALTIES, 50), (tuple(80 - one for one in PENALTIES), 30)):
        given_up, _, proven = solver.optimum(unit_tasks(penalties), asdict(Weights()))
        assert (given_up, proven) == (late, True)
    for name in ("25/100", "29/160"):
        seed, load = map(int, name.split("/"))
        found = solver.optimum(city(4, seed, load, crews=1), asdict(Weights()))
        assert found == (OPTIMA[name]["given_up"], OPTIMA[name]["points"], True)
