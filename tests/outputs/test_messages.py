"""Every message of the program reaches the catalogues, and names only values it is given."""

from __future__ import annotations

import ast
import string
from io import BytesIO
from pathlib import Path

import pytest
from babel.messages.extract import extract
from babel.messages.frontend import CommandLineInterface
from babel.messages.pofile import read_po

from orchardcal.care import TITLES

SOURCE = b"""
say("One {day}.", day=day)
say("{count} tree", plural="{count} trees", count=2)
sentence.Words("apple")
speech.words("Why")
say(text)
other("not a message")
TITLES = {KEY: "A care"}
OTHERS = {KEY: "no message"}
"""


def test_the_calls_that_take_a_message_are_known() -> None:
    """Through Babel's own `extract`, which checks the form of what a method yields."""
    found = extract(
        "orchardcal.outputs.messages:said",
        BytesIO(SOURCE),
        keywords={"gettext": None, "ngettext": (1, 2)},
    )
    assert sorted((line, message) for line, message, _, _ in found) == [
        (2, "One {day}."),
        (3, ("{count} tree", "{count} trees")),
        (4, "apple"),
        (5, "Why"),
        (8, "A care"),
    ]


def test_babel_makes_a_catalogue_of_the_whole_package(
    repository: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(repository)
    template = tmp_path / "orchardcal.pot"
    CommandLineInterface().run(  # type: ignore[no-untyped-call]
        ["pybabel", "-q", "extract", "-F", ".babel.cfg", "-o", str(template), "."]
    )
    with template.open("rb") as lines:
        catalogue = read_po(lines)
    for message in (*TITLES.values(), "Cancelled: {title}", "Take care", "Window"):
        assert message in catalogue
    assert "{count} tree." in catalogue
    assert catalogue["{count} tree."].pluralizable


def test_every_message_is_given_the_values_it_names(repository: Path) -> None:
    """Read off the source: a name without its value would fail only when the sentence is said."""
    wrong, seen = [], 0
    for path in sorted((repository / "orchardcal").rglob("*.py")):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if not (isinstance(node, ast.Call) and getattr(node.func, "id", "") == "say"):
                continue
            given = {word.arg for word in node.keywords} - {"plural", "source"}
            texts = [*node.args[:1], *(w.value for w in node.keywords if w.arg == "plural")]
            for text in texts:
                if isinstance(text, ast.Constant) and isinstance(text.value, str):
                    seen += 1
                    if None not in given and not _names(text.value) <= given:
                        wrong.append(f"{path.name}:{node.lineno}: {text.value}")
                if isinstance(text, ast.JoinedStr):
                    wrong.append(f"{path.name}:{node.lineno}: an f-string is in no catalogue")
    assert wrong == []
    assert seen > 20


def _names(text: str) -> set[str]:
    return {name for _, name, _, _ in string.Formatter().parse(text) if name is not None}
