"""Each catalogue has every message of the program and of the rules, with the same values in it."""

from __future__ import annotations

import string
from collections.abc import Iterator
from pathlib import Path

import pytest
from babel.messages.catalog import Catalog, Message
from babel.messages.checkers import num_plurals
from babel.messages.frontend import CommandLineInterface
from babel.messages.pofile import read_po

from orchardcal.outputs.speech import CATALOGUES, Speech, languages
from orchardcal.sentence import Celsius, Hours, Length, Volume, say
from orchardcal.species.reading import read_species

SHIPPED = sorted(set(languages()) - {"en"})


@pytest.fixture(scope="module")
def template(repository: Path, tmp_path_factory: pytest.TempPathFactory) -> Catalog:
    """All messages, as Babel's own command extracts them."""
    path = tmp_path_factory.mktemp("messages") / "orchardcal.pot"
    with pytest.MonkeyPatch.context() as patched:
        patched.chdir(repository)
        CommandLineInterface().run(  # type: ignore[no-untyped-call]
            ["pybabel", "-q", "extract", "-F", ".babel.cfg", "-o", str(path), "."]
        )
    with path.open("rb") as lines:
        return read_po(lines)


def catalogue(language: str) -> Catalog:
    with (CATALOGUES / language / "LC_MESSAGES" / "orchardcal.po").open("rb") as lines:
        return read_po(lines, locale=language)


def test_one_more_language_is_shipped() -> None:
    assert SHIPPED == ["es"]


@pytest.mark.parametrize("language", SHIPPED)
def test_every_message_is_translated_and_no_other(language: str, template: Catalog) -> None:
    translated = catalogue(language)
    wanted = {message.id for message in template if message.id}
    there = {message.id for message in translated if message.id and all(_texts(message))}
    assert sorted(map(str, wanted - there)) == []
    assert sorted(map(str, there - wanted)) == []
    assert not any(message.fuzzy for message in translated if message.id)


@pytest.mark.parametrize("language", SHIPPED)
def test_the_values_in_a_translation_are_those_of_the_message(language: str) -> None:
    wrong = [
        (message.id, text)
        for message in catalogue(language)
        if message.id
        for text in _texts(message)
        if _names(text) != _names(message.id if isinstance(message.id, str) else message.id[1])
    ]
    assert wrong == []


@pytest.mark.parametrize("language", SHIPPED)
def test_every_message_has_the_plural_forms_of_its_language(language: str) -> None:
    """By Babel's own checker, from the Plural-Forms of the catalogue."""
    translated = catalogue(language)
    for message in translated:
        if message.id:
            num_plurals(translated, message)


def test_the_rules_are_in_the_template(template: Catalog) -> None:
    """Read through the program's own reader, so that a key forgotten here would show."""
    said = set()
    for rules in read_species().values():
        said |= {stage.title for stage in rules.stages}
        said |= {step.text for step in rules.steps}
        said |= {caution.text for caution in rules.cautions}
        said |= {text for care in rules.cares for text in (care.why, care.never) if text}
        said |= {"{count} " + rules.title}
    assert len(said) > 150
    assert sorted(text for text in said if text not in template) == []


def test_spanish_says_dates_numbers_and_units_its_own_way() -> None:
    """Unicode CLDR for es: "sáb", "9 ene 2027", a decimal comma; units as the person chose."""
    metric, us = Speech("es", "metric"), Speech("es", "us")
    cold = say("Volunteers stop below {cold} and above {hot}.", cold=Celsius(0), hot=Celsius(32))
    assert metric.sentence(cold).endswith("por debajo de 0 °C y por encima de 32 °C.")
    assert us.sentence(cold).endswith("por debajo de 32 °F y por encima de 89,6 °F.")
    assert metric.value(Length(0.3)) == "30 cm"
    assert us.value(Length(0.3)).startswith("11,8")
    assert metric.value(Volume(0.6)) == "0,6 l"
    assert us.value(Volume(3.785411784)) == "1 gal"
    assert metric.value(Hours(1.25)) == "1 hora 15 min"


def _texts(message: Message) -> tuple[str, ...]:
    return (message.string,) if isinstance(message.string, str) else tuple(message.string)


def _names(text: str) -> set[str]:
    return set(_fields(text))


def _fields(text: str) -> Iterator[str]:
    for _, name, _, _ in string.Formatter().parse(text):
        if name is not None:
            yield name
