"""How much work and how much of what: person-minutes, people, paint, spray."""

from __future__ import annotations

import math
from collections.abc import Iterable

from orchardcal import care as cares
from orchardcal.plan.season_supplies import Tools
from orchardcal.sites.site import Planting
from orchardcal.species.rules import SpeciesRules

SLOT_MIN = 150  # a visit's net work: three hours less briefing and clean-up, trade default
PAINT_MIN = 10  # person-minutes to paint a tree, trade default
SPRAY_MIN, MIX_MIN = 8, 30  # to spray a tree; to mix and clean once, trade default
CHECK_MIN, LOOK_MIN, NOTICE_MIN, CUT_MIN = 5, 5, 15, 15  # per tree; per notice: trade default
TRUNK_M, PAINTED_M = 0.10, 0.90  # where the tree's own are unknown, trade default
LIMB_TOPS = 1.5  # half as much again for the tops of bared limbs, trade default
COVERS_M2_PER_L = 4.0  # one litre of 1:1 mix on bark, trade default
SPRAY_SMALL_L, SPRAY_GROWN_L = 1.5, 6.0  # to run-off, common practice, no source
ALCOHOL_L = 0.25  # of 70 % alcohol, for each visit with pruning; common practice, no source
GROWN_AT = 4  # years in the ground from which a small tree takes a grown one's spray
UNKNOWN_AGE = 10  # a tree without a planting year is taken for a grown one


def age_of(planting: Planting, harvest_year: int) -> int:
    """Years in the ground in that season, 1 the first; a tree of unknown age counts as grown."""
    age = planting.age(harvest_year)
    return UNKNOWN_AGE if age is None else age


def person_minutes(
    care: str,
    plantings: Iterable[Planting],
    rules: dict[str, SpeciesRules],
    harvest_year: int,
    volunteers: bool,
) -> int:
    """Person-minutes of one care for some plantings."""
    total = 0
    for planting in plantings:
        total += planting.count * _minutes_per_tree(
            care, age_of(planting, harvest_year), rules[planting.species], volunteers
        )
    if care == cares.DORMANT_OIL_SPRAY:
        total += MIX_MIN
    if care == cares.SPRAY_NOTICE:
        total = NOTICE_MIN
    return max(total, NOTICE_MIN)


def _minutes_per_tree(care: str, age: int, rules: SpeciesRules, volunteers: bool) -> int:
    if care in (cares.DORMANT_PRUNING, cares.IN_LEAF_PRUNING):
        rows = [row for row in rules.minutes if row.from_age <= age]
        row = max(rows, key=lambda row: row.from_age)
        return row.volunteers if volunteers else row.skilled
    return {
        cares.WHITEWASH_PAINTING: PAINT_MIN,
        cares.DORMANT_OIL_SPRAY: SPRAY_MIN,
        cares.DORMANCY_CHECK: CHECK_MIN,
        cares.OIL_SCOUTING: CHECK_MIN,
        cares.LOOK_AT_CUTS: LOOK_MIN,
        cares.DEFERRED_CUT: CUT_MIN,
    }.get(care, 0)


def people_for(minutes: int, available_min: int) -> int:
    """Hands needed to finish within one visit of at most so many minutes.

    >>> people_for(400, 300)
    3
    """
    return max(1, math.ceil(minutes / min(SLOT_MIN, max(available_min, 30))))


def visit_minutes(minutes: int, people: int) -> int:
    """How long that many people take, in whole quarters of an hour, half an hour at least.

    >>> visit_minutes(400, 3)
    135
    """
    return max(30, math.ceil(minutes / people / 15) * 15)


def crew_clock_minutes(minutes: int, people: int) -> int:
    """How long a crew takes for so many person-minutes, in whole steps of five minutes.

    >>> crew_clock_minutes(400, 3)
    135
    """
    return max(15, math.ceil(minutes / people / 5) * 5)


def paint_mix_l(plantings: Iterable[Planting], coats: int = 1) -> float:
    """Litres of 1:1 paint and water: trunks to 0.9 m or the tree's height, and half as much again.

    One trunk of 0.10 m painted to 0.9 m with one coat takes 0.106 L, half of it paint.
    """
    area_m2 = 0.0
    for planting in plantings:
        diameter_m = planting.trunk_diameter_m or TRUNK_M
        height_m = min(PAINTED_M, planting.height_m or PAINTED_M)
        area_m2 += planting.count * math.pi * diameter_m * height_m * LIMB_TOPS
    return area_m2 * coats / COVERS_M2_PER_L


def spray_l(plantings: Iterable[Planting], harvest_year: int) -> float:
    """Litres of spray to run-off."""
    return sum(
        planting.count
        * (SPRAY_GROWN_L if age_of(planting, harvest_year) >= GROWN_AT else SPRAY_SMALL_L)
        for planting in plantings
    )


def pruning_tools(people: int) -> Tools:
    """A pruner for everyone, a lopper for two, a saw for three: common practice, no source.

    >>> pruning_tools(5)
    Tools(pruners=5, loppers=3, saws=2, brushes=0)
    """
    return Tools(pruners=people, loppers=math.ceil(people / 2), saws=math.ceil(people / 3))


def painting_tools(people: int) -> Tools:
    """A brush for everyone: common practice, no source."""
    return Tools(brushes=people)
