"""Sentences put into the reader's language and units.

English needs no library: its words are the keys of the catalogues, and its dates and numbers are
written here. Every other language takes both from Babel, which is loaded only then.
"""

from __future__ import annotations

import gettext
import io
from collections.abc import Sequence
from datetime import date, time
from pathlib import Path
from typing import ClassVar, Literal, Protocol

from orchardcal.errors import OrchardcalError, known
from orchardcal.outputs import measures
from orchardcal.outputs.measures import Said
from orchardcal.sentence import (
    Celsius,
    CelsiusStep,
    Distance,
    Hours,
    Length,
    Listed,
    Rain,
    Sentence,
    Value,
    Volume,
    Words,
)

CATALOGUES = Path(__file__).parent / "locale"  # <language>/LC_MESSAGES/orchardcal.po
UNITS = ("metric", "us")
TEMPERATURES = {"celsius": "°C", "fahrenheit": "°F"}


class UnknownLanguage(OrchardcalError):
    """There is no catalogue of messages in that language."""


class Voice(Protocol):
    """How one language writes numbers, days, clock times, units and lists."""

    @property
    def direction(self) -> str: ...
    def number(self, number: float) -> str: ...
    def day(self, day: date) -> str: ...
    def month_day(self, day: date) -> str: ...
    def month(self, day: date) -> str: ...
    def weekday(self, day: date) -> str: ...
    def clock(self, moment: time) -> str: ...
    def measure(self, said: Said) -> str: ...
    def listed(self, items: Sequence[str]) -> str: ...


class English:
    """English as the catalogues' keys are written, day before month and a 24-hour clock."""

    direction = "ltr"
    weekdays = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
    months = (
        *("Jan", "Feb", "Mar", "Apr", "May", "Jun"),
        *("Jul", "Aug", "Sep", "Oct", "Nov", "Dec"),
    )
    signs: ClassVar = {
        **TEMPERATURES,
        "centimeter": "cm",
        "meter": "m",
        "inch": "in",
        "foot": "ft",
        "kilometer": "km",
        "mile": "mi",
        "milliliter": "mL",
        "liter": "L",
        "fluid-ounce": "fl oz",
        "gallon": "gal",
        "millimeter": "mm",
        "hour": "h",
        "minute": "min",
    }

    def number(self, number: float) -> str:
        whole, _, decimals = f"{number:,.2f}".partition(".")
        decimals = decimals.rstrip("0")
        text = f"{whole}.{decimals}" if decimals else whole
        return "0" if text == "-0" else text

    def day(self, day: date) -> str:
        return f"{self.weekday(day)} {self.month_day(day)} {day.year}"

    def month_day(self, day: date) -> str:
        return f"{day.day} {self.month(day)}"

    def month(self, day: date) -> str:
        return self.months[day.month - 1]

    def weekday(self, day: date) -> str:
        return self.weekdays[day.weekday()]

    def clock(self, moment: time) -> str:
        return moment.strftime("%H:%M")

    def measure(self, said: Said) -> str:
        return f"{self.number(said.number)} {self.signs[said.unit]}"

    def listed(self, items: Sequence[str]) -> str:
        *others, last = items or [""]
        return f"{', '.join(others)} and {last}" if others else last


class BabelVoice:
    """Any other language, by the Unicode CLDR."""

    def __init__(self, language: str) -> None:
        from babel import Locale, dates, lists, numbers, units

        self._locale = Locale.parse(language)
        self._dates, self._lists, self._numbers, self._units = dates, lists, numbers, units
        self.direction = self._locale.text_direction

    def number(self, number: float) -> str:
        return self._numbers.format_decimal(number, "#,##0.##", locale=self._locale)

    def day(self, day: date) -> str:
        return self._dates.format_skeleton("yMMMEd", day, locale=self._locale)

    def month_day(self, day: date) -> str:
        return self._dates.format_skeleton("MMMd", day, locale=self._locale)

    def month(self, day: date) -> str:
        return self._dates.format_date(day, "LLL", locale=self._locale)

    def weekday(self, day: date) -> str:
        return self._dates.format_date(day, "ccc", locale=self._locale)

    def clock(self, moment: time) -> str:
        return self._dates.format_time(moment, "short", locale=self._locale)

    def measure(self, said: Said) -> str:
        if said.unit in TEMPERATURES:  # the CLDR spells some of them out ("st. C")
            return f"{self.number(said.number)} {TEMPERATURES[said.unit]}"
        one_hour = said.unit == "hour" and said.number == 1  # has no short form in some languages
        length: Literal["long", "short"] = "long" if one_hour else "short"
        return self._units.format_unit(
            said.number, said.unit, length, "#,##0.##", locale=self._locale
        )

    def listed(self, items: Sequence[str]) -> str:
        return self._lists.format_list(items, locale=self._locale)


class Speech:
    """Says sentences in one language and one system of units, "metric" or "us"."""

    def __init__(
        self, language: str = "en", units: str = "metric", catalogues: Path = CATALOGUES
    ) -> None:
        if units not in UNITS:
            raise ValueError(f"units must be one of {UNITS}, not {units!r}")
        self.language = language
        self.units = units
        self._us = units == "us"
        self._messages = _messages(language, catalogues)
        self._voice: Voice = English() if _is_english(language) else BabelVoice(language)

    def sentence(self, sentence: Sentence) -> str:
        """The whole sentence; a plural form is chosen by the value called "count"."""
        values = dict(sentence.values)
        if sentence.plural:
            count = values["count"]
            if not isinstance(count, int):
                raise TypeError(f"the count of {sentence.text!r} is no whole number: {count!r}")
            text = self._messages.ngettext(sentence.text, sentence.plural, count)
        else:
            text = self._messages.gettext(sentence.text) if sentence.text else ""
        return text.format_map({name: self.value(value) for name, value in values.items()})

    def words(self, text: str) -> str:
        """A message without values: a heading, a title, a species."""
        return self._messages.gettext(text) if text else ""

    def value(self, value: Value) -> str:
        """One value as it stands inside a sentence."""
        match value:
            case str():
                return value
            case int() | float():
                return self._voice.number(value)
            case date():
                return self._voice.day(value)
            case time():
                return self._voice.clock(value)
            case Sentence():
                return self.sentence(value)
            case Words(text):
                return self.words(text)
            case Listed(items):
                return self._voice.listed([self.value(item) for item in items])
            case Hours():
                return " ".join(self._voice.measure(said) for said in measures.hours(value))
        return self._voice.measure(self._said(value))

    @property
    def direction(self) -> str:
        """How the language is written: "ltr" or "rtl"."""
        return self._voice.direction

    def day(self, day: date) -> str:
        """A day with its weekday: "Sat 9 Jan 2027"."""
        return self._voice.day(day)

    def month_day(self, day: date) -> str:
        """A day of a year that is known: "9 Jan"."""
        return self._voice.month_day(day)

    def month(self, day: date) -> str:
        """The short name of a day's month, standing alone: "Jan"."""
        return self._voice.month(day)

    def weekday(self, day: date) -> str:
        """The short name of a day's weekday, standing alone: "Sat"."""
        return self._voice.weekday(day)

    def clock(self, moment: time) -> str:
        """A clock time: "09:30"."""
        return self._voice.clock(moment)

    def _said(self, value: Celsius | CelsiusStep | Length | Distance | Volume | Rain) -> Said:
        match value:
            case Celsius() | CelsiusStep():
                return measures.temperature(value, self._us)
            case Length():
                return measures.length(value, self._us)
            case Distance():
                return measures.distance(value, self._us)
            case Volume():
                return measures.volume(value, self._us)
        return measures.rain(value, self._us)


def languages(catalogues: Path = CATALOGUES) -> tuple[str, ...]:
    """The languages with a catalogue, English always among them."""
    found = {path.parent.parent.name for path in catalogues.glob("*/LC_MESSAGES/orchardcal.po")}
    return tuple(sorted(found | {"en"}))


def _is_english(language: str) -> bool:
    return language.replace("-", "_").split("_")[0] == "en"


def _messages(language: str, catalogues: Path) -> gettext.NullTranslations:
    if _is_english(language):
        return gettext.NullTranslations()
    path = catalogues / language / "LC_MESSAGES" / "orchardcal.po"
    if not path.is_file():
        what = f"There is no text in the language {language!r}."
        raise UnknownLanguage(f"{what}\n    {known('languages', language, languages(catalogues))}")
    from babel.messages.mofile import write_mo
    from babel.messages.pofile import read_po

    compiled = io.BytesIO()
    with path.open("rb") as lines:
        write_mo(compiled, read_po(lines, locale=language))
    compiled.seek(0)
    return gettext.GNUTranslations(compiled)
