"""The HTML part: nothing from elsewhere, no markup from people, contrast by WCAG 2.2."""

from __future__ import annotations

import re
from datetime import date
from html.parser import HTMLParser
from itertools import pairwise, product

import pytest

from orchardcal.outputs.mail_html import DARK, LIGHT, Palette, html_letter
from tests.outputs.test_mail_message import ENGLISH, letter_on

VOID = {"meta", "br", "hr"}


class Outline(HTMLParser):
    """Tags in order, with their attributes; complains of a tag closed out of turn."""

    def __init__(self) -> None:
        super().__init__()
        self.open: list[str] = []
        self.tags: list[tuple[str, dict[str, str | None]]] = []
        self.wrong: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append((tag, dict(attrs)))
        if tag not in VOID:
            self.open.append(tag)

    def handle_endtag(self, tag: str) -> None:
        if not self.open or self.open.pop() != tag:
            self.wrong.append(tag)


@pytest.fixture(scope="module")
def page() -> str:
    return html_letter(letter_on(date(2027, 1, 2))[0], ENGLISH)


@pytest.fixture(scope="module")
def outline(page: str) -> Outline:
    found = Outline()
    found.feed(page)
    return found


def test_every_tag_is_closed_in_turn(outline: Outline) -> None:
    assert (outline.wrong, outline.open) == ([], [])
    assert len(outline.tags) > 20


def test_nothing_is_loaded_from_elsewhere(page: str, outline: Outline) -> None:
    loading = {"img", "script", "link", "iframe", "object", "embed", "video", "audio", "source"}
    assert {tag for tag, _ in outline.tags} & loading == set()
    assert re.findall(r"url\(|@import|src=|background=|expression\(", page) == []
    links = [attrs["href"] for tag, attrs in outline.tags if tag == "a"]
    assert links == ["https://trees.example/cal/sites/larkfield.ics"]


def test_headings_go_down_one_step_at_a_time(outline: Outline) -> None:
    """WCAG 2.2, 1.3.1 by technique H42; the first is the subject."""
    levels = [int(tag[1]) for tag, _ in outline.tags if re.fullmatch(r"h[1-6]", tag)]
    assert levels[0] == 1
    assert levels.count(1) == 1
    assert all(after - before <= 1 for before, after in pairwise(levels))


def test_a_phone_shows_it_in_its_own_width_and_colours(page: str) -> None:
    assert '<meta name="viewport" content="width=device-width, initial-scale=1">' in page
    assert '<meta name="color-scheme" content="light dark">' in page
    assert '<html lang="en" dir="ltr">' in page


@pytest.mark.parametrize("palette", [LIGHT, DARK], ids=["light", "dark"])
def test_text_stands_out(palette: Palette) -> None:
    """WCAG 2.2, 1.4.3 (AA): 4.5 to 1 for text; 1.4.11: 3 to 1 for a border that means something."""
    for front, ground in product(
        (palette.text, palette.quiet, palette.link), (palette.page, palette.sheet)
    ):
        assert contrast(front, ground) >= 4.5
    assert contrast(palette.line, palette.sheet) >= 3


def test_the_contrast_is_computed_as_published() -> None:
    """Black on white is 21 to 1; #777777 on white fails AA at 4.48 to 1 (W3C, G18; from memory)."""
    assert contrast("#000000", "#ffffff") == pytest.approx(21)
    assert contrast("#777777", "#ffffff") == pytest.approx(4.48, abs=0.005)


def contrast(one: str, other: str) -> float:
    """The contrast ratio of WCAG 2.2: (lighter + 0.05) / (darker + 0.05)."""
    lighter, darker = sorted((luminance(one), luminance(other)), reverse=True)
    return (lighter + 0.05) / (darker + 0.05)


def luminance(colour: str) -> float:
    """Relative luminance by WCAG 2.2 (sRGB)."""
    channels = [int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5)]
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in channels]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]
