"""Every fixed word of the pages comes from the message catalogues."""

from __future__ import annotations

import re
from pathlib import Path
from xml.etree.ElementTree import Element

import pytest
from babel.dates import get_day_names, get_month_names
from babel.messages.catalog import Catalog
from babel.messages.extract import extract_from_dir
from babel.messages.pofile import write_po

from orchardcal.outputs.speech import Speech
from tests.outputs.page.invented_facts import written
from tests.outputs.page.page_tree import all_of, name_of, tree_of

LANGUAGE = "sv"
SAID_TO_READERS = ("aria-label", "alt", "title", "placeholder")
# What people wrote, and signs; the rest must come out of the catalogue.
DATA = (
    "Two Orchards", "Larkfield School", "Kererū Street Kindergarten", "orchard behind the gym",
    "America/Denver", "Pacific/Auckland", "a reason", "a tool", "what follows", "a caution",
    "why not", "a note", "more", "Oil may go on", "Reka", "Winter break", "4 apples", "A1", "B2",
    "https://trees.example/cal/", "apple", "grape", "quince", "central leader",
)  # fmt: skip


@pytest.fixture(scope="module")
def marked(tmp_path_factory: pytest.TempPathFactory, repository: Path) -> Speech:
    """A language in which every message of the program stands in angle brackets."""
    catalogue = Catalog(locale=LANGUAGE)
    method = [("**.py", "orchardcal.outputs.messages:said")]
    found = [
        message
        for folder in ("orchardcal", "tests/outputs")  # the invented plan says things as well
        for _, _, message, _, _ in extract_from_dir(str(repository / folder), method)
    ]
    for message in found:
        plural = isinstance(message, tuple)
        said = tuple(f"⟦{one}⟧" for one in message) if plural else f"⟦{message}⟧"
        catalogue.add(message, said)
    folder = tmp_path_factory.mktemp("locale")
    path = folder / LANGUAGE / "LC_MESSAGES" / "orchardcal.po"
    path.parent.mkdir(parents=True)
    with path.open("wb") as file:
        write_po(file, catalogue)
    return Speech(LANGUAGE, "metric", folder)


def said(root: Element) -> list[str]:
    """Every text a reader meets, seen or heard."""
    texts = []
    for element in root.iter():
        if name_of(element) == "style":
            continue
        texts += [element.text or "", *(child.tail or "" for child in element)]
        texts += [element.get(key) or "" for key in SAID_TO_READERS]
    return [text for text in texts if text.strip()]


def without_messages(text: str) -> str:
    """The text without what came from the catalogue, innermost messages first."""
    while (shorter := re.sub(r"⟦[^⟦⟧]*⟧", "", text)) != text:
        text = shorter
    return text


def test_no_word_is_left_in_english(marked: Speech) -> None:
    dates = {
        *get_month_names("abbreviated", locale=LANGUAGE).values(),
        *get_month_names("abbreviated", "stand-alone", locale=LANGUAGE).values(),
        *get_day_names("abbreviated", locale=LANGUAGE).values(),
        *get_day_names("abbreviated", "stand-alone", locale=LANGUAGE).values(),
    }
    left = set()
    for page in written(speech=marked).values():
        for text in said(tree_of(page)):
            rest = without_messages(text)
            for known in (*sorted(DATA, key=len, reverse=True), *sorted(dates, key=len)[::-1]):
                rest = rest.replace(known, "")
            left |= set(re.findall(r"[^\W\d_]{2,}", rest))
    addresses = {"ics", "html", "staff", "volunteers", "sites", "larkfield", "kereru"}
    units = {"cm", "tim", "min"}
    assert left - addresses - units == set()


def test_a_language_written_from_the_right(tmp_path: Path) -> None:
    """The direction of Arabic by the Unicode CLDR."""
    path = tmp_path / "ar" / "LC_MESSAGES" / "orchardcal.po"
    path.parent.mkdir(parents=True)
    with path.open("wb") as file:
        write_po(file, Catalog(locale="ar"))
    for page in written(speech=Speech("ar", "metric", tmp_path)).values():
        root = tree_of(page)
        assert (root.get("lang"), root.get("dir")) == ("ar", "rtl")
        assert list(all_of(root, "table"))
