"""Sentences for people: a catalogue message with named values, put into words only at the output.

A sentence keeps its English text, which is also its key in the message catalogues, apart from
the values in it. Dates, temperatures, volumes and lengths stay typed, so that each reader gets
them in their own language and units.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, time
from typing import TypeAlias


@dataclass(frozen=True)
class Celsius:
    """A temperature."""

    value_c: float


@dataclass(frozen=True)
class CelsiusStep:
    """A difference of temperatures."""

    value_c: float


@dataclass(frozen=True)
class Length:
    """A length, said in cm below two metres and in m above (inches, feet where chosen)."""

    value_m: float


@dataclass(frozen=True)
class Distance:
    """A way between places, said in km (miles where chosen)."""

    value_km: float


@dataclass(frozen=True)
class Volume:
    """A volume."""

    value_l: float


@dataclass(frozen=True)
class Rain:
    """A depth of rain."""

    value_mm: float


@dataclass(frozen=True)
class Hours:
    """Working time, said to the quarter hour."""

    value_h: float


@dataclass(frozen=True)
class Words:
    """A catalogue message used as a value: a species, a care, a bud stage."""

    text: str


@dataclass(frozen=True)
class Listed:
    """Several values said as "a, b and c"."""

    items: tuple[Value, ...]


Value: TypeAlias = (
    "str | int | float | date | time | Celsius | CelsiusStep | Length | Distance | Volume | Rain"
    " | Hours | Words | Listed | Sentence"
)


@dataclass(frozen=True)
class Sentence:
    """One sentence: English text with {names}, the values, and where its numbers come from.

    text: the message; with `plural` given, the form for one.
    plural: the form for more than one, chosen by the value called "count".
    source: a key of species/sources.toml, "common practice, no source", "from memory", or "".
    """

    text: str
    values: tuple[tuple[str, Value], ...] = ()
    plural: str = ""
    source: str = ""


def sentence_of(text: str, values: Mapping[str, Value], source: str = "") -> Sentence:
    """A sentence from values gathered beforehand."""
    return Sentence(text, tuple(sorted(values.items(), key=lambda pair: pair[0])), "", source)


def say(text: str, *, plural: str = "", source: str = "", **values: Value) -> Sentence:
    """A sentence from keyword values.

    >>> say("Buds may swell from {day}.", day=date(2027, 2, 14)).values
    (('day', datetime.date(2027, 2, 14)),)
    """
    return Sentence(text, tuple(sorted(values.items(), key=lambda pair: pair[0])), plural, source)
