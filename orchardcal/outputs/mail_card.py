"""The cards of a pruning in a letter: each kind of tree on one screen, in full in the calendar."""

from __future__ import annotations

from collections.abc import Sequence

from orchardcal.outputs.mail_letter import Block, Part
from orchardcal.plan.pruning_card import PruningCard
from orchardcal.sentence import say

IN_FULL = say("In short; all steps and cautions in full: in the calendar, reminder.ics.")


def card_blocks(cards: Sequence[PruningCard]) -> tuple[Block, ...]:
    """A block for each card, and where to read it in full."""
    blocks = [_card(card) for card in cards]
    return (*blocks, Block(None, 4, (IN_FULL,))) if blocks else ()


def _card(card: PruningCard) -> Block:
    parts = (
        Part(say("Near a power line"), card.power_line),
        Part(say("This year's cuts"), card.shares),
        Part(say("Order of cuts"), card.order, numbered=True),
        Part(say("Where to cut"), card.place),
        Part(say("When to stop"), card.stop),
        Part(say("Tools and wood"), card.clean),
        Part(say("Take care"), card.cautions),
    )
    said = tuple(part for part in parts if part.sentences)
    return Block(card.trees, 4, parts=said)
