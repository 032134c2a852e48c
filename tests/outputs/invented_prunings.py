"""Letters about invented prunings: every shipped species, young and grown, dormant and in leaf."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from datetime import date

from orchardcal.care import DORMANT_PRUNING, IN_LEAF_PRUNING
from orchardcal.outputs.mail_card import card_blocks
from orchardcal.outputs.mail_letter import LEAD, Letter
from orchardcal.plan.plan import Job
from orchardcal.plan.pruning_card import PruningCard, pruning_cards
from orchardcal.plan.task import Task
from orchardcal.plan.wording import cautions, steps, title
from orchardcal.season import Season, Span
from orchardcal.sentence import say
from orchardcal.sites.site import Planting
from tests.invented import planting, shipped
from tests.outputs.invented_plan import PRUNE

CARES = (DORMANT_PRUNING, IN_LEAF_PRUNING)
IDS = tuple(f"A-{number:02}" for number in range(1, 10))
AGES = (1, 3, 5, 8, 20)  # years in the ground, through all the bounds of age in the rules
DAY = date(2027, 1, 9)


def pruning(care: str, plantings: Sequence[Planting]) -> Job:
    """A job as the planner words it."""
    season, span = Season(2027, southern=False), Span(DAY, DAY)
    task = Task(care, "", season, tuple(plantings), span, DAY, None, ())
    return replace(
        PRUNE,
        care=care,
        plantings=task.ids,
        title=title(care, plantings, shipped()),
        do=steps(task, shipped()),
        cautions=cautions(task, shipped()),
    )


def cards(care: str, *plantings: Planting) -> tuple[PruningCard, ...]:
    return pruning_cards(pruning(care, plantings), {one.id: one for one in plantings}, shipped())


def every_group() -> Iterator[tuple[Planting, ...]]:
    """Each species at each age in each of its forms: nine plantings alike, near a power line.

    That is what a card says most about.
    """
    for species, rules in shipped().items():
        for age in AGES:
            for form in (*rules.forms, "unknown"):
                yield tuple(
                    planting(key, species, 2027 - age, form=form, near_power_line=True)
                    for key in IDS
                )


def letter_of_every_card() -> Letter:
    blocks = [card_blocks(cards(care, *group)) for group in every_group() for care in CARES]
    subject = say("Dormant pruning: {trees}", trees="every species")
    return Letter("ada", LEAD, subject, tuple(block for pair in blocks for block in pair), ())
