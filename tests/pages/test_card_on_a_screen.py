"""How to prune this tree this year fits on one screen, phone or desktop, in every language."""

from __future__ import annotations

import json
import shutil
from pathlib import Path
from typing import Any

import pytest

from orchardcal.outputs.mail_html import html_letter
from orchardcal.outputs.speech import Speech, languages
from tests.clients.programs import missing, ran
from tests.outputs.invented_prunings import CARES, every_group, letter_of_every_card

pytestmark = pytest.mark.slow
SCREENS = ((1280, 720), (390, 844))  # CSS pixels: a small laptop, a usual phone held upright
SMALLEST_PX = 15  # of letters, and
CLOSEST = 1.3  # of lines to each other, that still read well; common practice, no source


FONT = "Roboto"  # what system-ui means on most phones; a machine's own may be a tenth wider


@pytest.fixture(scope="module")
def measured(npm_tools: Path, tmp_path_factory: pytest.TempPathFactory) -> list[dict[str, Any]]:
    """The card of every species, young and grown, in each form, dormant and in leaf."""
    browser = shutil.which("chromium")
    if browser is None:
        missing("Chromium is not installed (Debian: chromium)")
    if shutil.which("fc-match") is None or FONT not in ran("fc-match", FONT).stdout:
        missing(f"{FONT} is not installed (Debian: fonts-roboto-unhinted, fontconfig)")
    folder, made = tmp_path_factory.mktemp("cards"), letter_of_every_card()
    for language in languages():
        page = html_letter(made, Speech(language))
        assert "system-ui" in page
        as_on_a_phone = page.replace("system-ui", FONT)
        (folder / f"{language}.html").write_text(as_on_a_phone, encoding="utf-8")
    order = {
        "browser": browser,
        "addresses": [path.as_uri() for path in sorted(folder.iterdir())],
        "screens": SCREENS,
        "selector": ".card",
    }
    done = ran("node", npm_tools / "measure.mjs", json.dumps(order), cwd=npm_tools)
    assert done.returncode == 0, done.stderr[-2000:]
    found: list[dict[str, Any]] = json.loads(done.stdout)
    return found


def test_every_card_was_measured(measured: list[dict[str, Any]]) -> None:
    cards = len(list(every_group())) * len(CARES)
    assert len(measured) == cards * len(SCREENS) * len(languages())
    assert all(entry["height"] > 200 for entry in measured)


def test_no_card_is_taller_than_the_screen(measured: list[dict[str, Any]]) -> None:
    assert [one for one in measured if one["height"] > one["screen"][1]] == []


def test_no_card_is_wider_than_its_column(measured: list[dict[str, Any]]) -> None:
    """WCAG 2.2 success criterion 1.4.10, reflow."""
    assert [one for one in measured if one["beyond"] > 0] == []


def test_no_card_is_squeezed_into_its_screen(measured: list[dict[str, Any]]) -> None:
    assert min(one["smallest"] for one in measured) >= SMALLEST_PX
    assert min(one["closest"] for one in measured) >= CLOSEST
