"""A letter as plain text that is complete by itself, under 78 columns."""

from __future__ import annotations

import re
import textwrap
import unicodedata

from orchardcal.outputs.mail_letter import Block, Letter, Part
from orchardcal.outputs.speech import Speech
from orchardcal.sentence import Sentence, say

COLUMNS = 76  # RFC 5322 2.1.1 asks for no more than 78
RULES = {1: "=", 2: "-"}
# Control characters, and those that turn the direction of what follows (Unicode UAX #9).
_UNSAFE = re.compile("[\u200e\u200f\u202a-\u202e\u2066-\u2069]")


def plain_letter(letter: Letter, speech: Speech) -> str:
    """The letter's lines, each ended by a newline."""
    parts = [_plain_block(block, speech) for block in letter.blocks]
    return "\n\n".join(part for part in parts if part) + "\n"


def one_line(text: str) -> str:
    """Text without line breaks, control characters and turns of direction, spaces joined.

    >>> one_line("A-01\\r\\nBcc: eve@example.org")
    'A-01 Bcc: eve@example.org'
    """
    visible = (
        " " if unicodedata.category(sign) in ("Cc", "Zl", "Zp", "Cs") else sign for sign in text
    )
    return " ".join(_UNSAFE.sub("", "".join(visible)).split())


def spoken(sentence: Sentence, speech: Speech) -> str:
    """A sentence as one clean line."""
    return one_line(speech.sentence(sentence))


def _plain_block(block: Block, speech: Speech) -> str:
    lines: list[str] = []
    if block.heading is not None:
        lines += _heading(spoken(block.heading, speech), block.level)
    for sentence in block.text:
        lines += _wrapped(spoken(sentence, speech))
    for number, sentence in enumerate(block.points, 1):
        mark = f"{number}. " if block.numbered else "- "
        lines += _wrapped(spoken(sentence, speech), mark, " " * len(mark))
    for part in block.parts:
        lines += _part(part, speech)
    return "\n".join(_framed(lines) if block.to_print else lines)


def _part(part: Part, speech: Speech) -> list[str]:
    label = spoken(say("{label}:", label=part.label), speech)
    said = [spoken(sentence, speech) for sentence in part.sentences]
    if not part.numbered:
        return _wrapped(" ".join([label, *said]), "", "  ")
    steps = [_wrapped(text, f"{number}. ", "   ") for number, text in enumerate(said, 1)]
    return [label, *(line for step in steps for line in step)]


def _heading(text: str, level: int) -> list[str]:
    lines = _wrapped(text)
    if level in RULES:
        lines.append(RULES[level] * max(len(line) for line in lines))
    return lines


def _framed(lines: list[str]) -> list[str]:
    edge = "+" + "-" * (COLUMNS - 2) + "+"
    inner = [part for line in lines for part in textwrap.wrap(line, COLUMNS - 4) or [""]]
    return [edge, *(f"| {line.ljust(COLUMNS - 4)} |" for line in inner), edge]


def _wrapped(text: str, first: str = "", others: str = "") -> list[str]:
    return textwrap.wrap(
        text, COLUMNS, initial_indent=first, subsequent_indent=others, break_on_hyphens=False
    )
