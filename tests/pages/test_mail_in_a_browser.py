"""The HTML of a mail as Chromium shows it, on phone and desktop, light and dark; axe judges."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from typing import Any

import pytest

from orchardcal.outputs.mail_html import html_letter
from orchardcal.outputs.speech import Speech
from tests.outputs.test_mail_message import letter_on

pytestmark = pytest.mark.slow
Looked = Callable[..., list[dict[str, Any]]]


@pytest.fixture(scope="module")
def seen(looked: Looked, tmp_path_factory: pytest.TempPathFactory) -> list[dict[str, Any]]:
    """Two letters: a pruning a week ahead, and a notice to print; one of them in Spanish."""
    folder = tmp_path_factory.mktemp("mails")
    for name, day, language in (("pruning", (2027, 1, 2), "en"), ("notice", (2027, 1, 18), "es")):
        made, _ = letter_on(date(*day))
        (folder / f"{name}.html").write_text(html_letter(made, Speech(language)), encoding="utf-8")
    return looked(*(path.as_uri() for path in sorted(folder.iterdir())))


def test_axe_finds_no_fault(seen: list[dict[str, Any]]) -> None:
    """axe-core's rules for WCAG 2.0 to 2.2, A and AA, and its best practices."""
    judged = [entry for entry in seen if "faults" in entry]
    assert len(judged) >= 4
    assert [(entry["address"], fault) for entry in judged for fault in entry["faults"]] == []


def test_nothing_is_asked_of_any_server(seen: list[dict[str, Any]]) -> None:
    shown = [entry for entry in seen if "faults" in entry]  # elsewhere the script presses Enter
    outside = [url for entry in shown for url in entry["requested"] if url[:5] != "file:"]
    assert outside == []


def test_a_phone_scrolls_down_only(seen: list[dict[str, Any]]) -> None:
    """WCAG 2.2 success criterion 1.4.10, reflow, at 390 CSS pixels."""
    wide = [entry for entry in seen if "scrollWidth" in entry]
    assert wide
    assert [entry for entry in wide if entry["scrollWidth"] > entry["width"]] == []
