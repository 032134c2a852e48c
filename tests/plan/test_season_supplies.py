"""Supplies of a season against sums by hand; what jobs tell people to bring is the same."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from orchardcal.care import (
    DORMANT_OIL_SPRAY,
    DORMANT_PRUNING,
    IN_LEAF_PRUNING,
    OIL_SCOUTING,
    WHITEWASH_PAINTING,
)
from orchardcal.plan.season_supplies import Supplies, Tools, supplies_of
from orchardcal.plan.site_supplies import visit_supplies
from orchardcal.plan.task import Task
from orchardcal.plan.wording import supplies
from orchardcal.season import Season, Span
from orchardcal.sentence import Volume
from tests.invented import planting, shipped
from tests.outputs.invented_load import FAR, NEAR

DAY, LATER = date(2027, 1, 12), date(2027, 2, 2)
TREES = (planting("A1", "apple", trunk_diameter_m=0.10, height_m=3.0),)


def task(care: str) -> Task:
    return Task(care, "", Season(2027, False), TREES, Span(DAY, LATER), DAY, None, ())


def test_the_season_at_one_site() -> None:
    """Two grown trees: a trunk of 0.10 m painted to 0.9 m and half as much again is 0.424 m², at
    4 m² to a litre 0.106 L; 6 L of spray each; a quarter litre of alcohol for each of two visits.
    """
    work = [
        (task(DORMANT_PRUNING), DAY, 5),
        (task(WHITEWASH_PAINTING), DAY, 3),
        (task(IN_LEAF_PRUNING), LATER, 2),
        (task(DORMANT_OIL_SPRAY), LATER, 1),
    ]
    visits = visit_supplies("elm", work)
    assert [(visit.day, visit.crew) for visit in visits] == [(DAY, ""), (LATER, "")]
    season = supplies_of(visits)
    assert season.paint_mix_l == pytest.approx(2 * 0.106, abs=0.001)
    assert season.paint_l == pytest.approx(0.106, abs=0.001)
    assert season.spray_l == 12
    assert season.alcohol_l == 0.5
    assert season.tools == Tools(pruners=5, loppers=3, saws=2, brushes=3)


def test_looking_takes_nothing_to_buy() -> None:
    assert visit_supplies("elm", [(task(OIL_SCOUTING), DAY, 1)]) == ()
    assert supplies_of(()) == Supplies()


def test_a_crew_takes_its_tools_along_and_the_lead_has_others() -> None:
    """On the busiest day the crew has tools for five, the lead for two: seven pruners, three and
    one loppers, two and one saws, five brushes.
    """
    season = supplies_of((*NEAR.supplies, *FAR.supplies))
    assert season.tools == Tools(pruners=7, loppers=4, saws=3, brushes=5)
    assert season.alcohol_l == 0.75
    assert season.paint_mix_l == pytest.approx(0.8)
    assert season.spray_l == 12


def test_two_crews_on_one_day_need_tools_for_both() -> None:
    first = NEAR.supplies[1]
    season = supplies_of((first, replace(first, site="far", crew="south")))
    assert season.tools == Tools(pruners=10, loppers=6, saws=4, brushes=10)


def test_a_job_says_to_bring_what_the_season_counts() -> None:
    """Five people: five pruners, a lopper for two, a saw for three; five brushes."""
    for care, counts in ((DORMANT_PRUNING, [5, 3, 2]), (WHITEWASH_PAINTING, [5])):
        told = supplies(task(care), 5, shipped())
        values = [dict(one.values) for one in told]
        assert [one["count"] for one in values if "count" in one] == counts
    mix = dict(supplies(task(WHITEWASH_PAINTING), 5, shipped())[0].values)["mix"]
    assert mix == Volume(0.21)
