"""The colours of the pages have the contrast that WCAG 2.2 asks for, in light and in dark."""

from __future__ import annotations

import re

import pytest

from orchardcal.outputs.page.colours import DARK, DRAWN, LIGHT, TEXT
from orchardcal.outputs.page.frame import STYLE_FILE

BOTH = pytest.mark.parametrize("colours", [LIGHT, DARK], ids=["light", "dark"])


def luminance(colour: str) -> float:
    """WCAG 2.2, definition of relative luminance."""
    channels = [int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5)]
    red, green, blue = (
        channel / 12.92 if channel <= 0.04045 else ((channel + 0.055) / 1.055) ** 2.4
        for channel in channels
    )
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, other: str) -> float:
    """WCAG 2.2, definition of contrast ratio."""
    lighter, darker = sorted((luminance(one), luminance(other)), reverse=True)
    return (lighter + 0.05) / (darker + 0.05)


def test_the_ratio_is_the_published_one() -> None:
    """21:1 is the range's end in WCAG 2.2; #767676 is the known lightest grey that passes on white
    (from memory).
    """
    assert contrast("#000000", "#ffffff") == pytest.approx(21)
    assert contrast("#767676", "#ffffff") == pytest.approx(4.54, abs=0.005)
    assert contrast("#777777", "#ffffff") < 4.5


@BOTH
@pytest.mark.parametrize("pair", TEXT, ids=" on ".join)
def test_text_can_be_read(pair: tuple[str, str], colours: dict[str, str]) -> None:
    """Success criterion 1.4.3, level AA."""
    assert contrast(colours[pair[0]], colours[pair[1]]) >= 4.5


@BOTH
@pytest.mark.parametrize("pair", DRAWN, ids=" on ".join)
def test_drawings_can_be_seen(pair: tuple[str, str], colours: dict[str, str]) -> None:
    """Success criterion 1.4.11, level AA."""
    assert contrast(colours[pair[0]], colours[pair[1]]) >= 3


def test_light_and_dark_name_the_same_colours_and_the_style_no_other() -> None:
    assert set(LIGHT) == set(DARK)
    used = set(re.findall(r"var\(--([a-z0-9-]+)\)", STYLE_FILE.read_text(encoding="utf-8")))
    assert used - {"full", "soft"} == set(LIGHT)
