"""A letter before it is a mail: who gets it, a subject, and blocks of sentences."""

from __future__ import annotations

from dataclasses import dataclass

from orchardcal.journal.mail_ledger import MailItem
from orchardcal.journal.published import Published
from orchardcal.sentence import Sentence

LEAD, VOLUNTEERS, DIGEST = "lead", "volunteers", "digest"


@dataclass(frozen=True)
class Part:
    """What a card says under a word of its own: steps in order, or sentences one after another."""

    label: Sentence
    sentences: tuple[Sentence, ...]
    numbered: bool = False


@dataclass(frozen=True)
class Block:
    """A heading with what stands under it: lines of text, then points, then the parts of a card.

    level: 1 for a part of the letter, 2 for a visit, 3 for a job, 4 for a heading in it.
    numbered: the points are steps in order. parts: they make the block a card, which fits one
    screen. to_print: a sheet to cut out and put up.
    """

    heading: Sentence | None = None
    level: int = 1
    text: tuple[Sentence, ...] = ()
    points: tuple[Sentence, ...] = ()
    numbered: bool = False
    parts: tuple[Part, ...] = ()
    to_print: bool = False


@dataclass(frozen=True)
class Letter:
    """person: a key. items: what the ledger keeps of it. rows: the events it carries."""

    person: str
    kind: str
    subject: Sentence
    blocks: tuple[Block, ...]
    items: tuple[MailItem, ...]
    rows: tuple[Published, ...] = ()
