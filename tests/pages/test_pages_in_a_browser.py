"""The pages as Chromium shows and prints them, judged by axe-core and the Nu HTML checker."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from tests.clients.programs import missing, ran

pytestmark = pytest.mark.slow
Looked = Callable[..., list[dict[str, Any]]]
SHOWN = (
    "demo/index.html",
    "demo/sites/cedar-bluff.html",
    "demo/sites/red-mesa.html",
    "demo/work_days/huon-reach-2027-06-19.html",
    "invented/index.html",
    "invented/sites/larkfield.html",
)
PAPER_PT = {"A4": (595, 842), "Letter": (612, 792)}  # ISO 216; ANSI/ASME Y14.1 size A


@pytest.fixture(scope="module")
def seen(looked: Looked, demo_pages: Path) -> list[dict[str, Any]]:
    return looked(*((demo_pages / path).as_uri() for path in SHOWN))


def test_axe_finds_no_fault(seen: list[dict[str, Any]]) -> None:
    """axe-core's rules for WCAG 2.0 to 2.2, A and AA, and its best practices, everything open."""
    judged = [entry for entry in seen if "faults" in entry]
    assert len(judged) == 4 * len(SHOWN)
    assert all(entry["rules"] > 30 for entry in judged)
    assert [(entry["address"], fault) for entry in judged for fault in entry["faults"]] == []


def test_nothing_is_asked_of_any_server_and_the_console_is_silent(
    seen: list[dict[str, Any]],
) -> None:
    for entry in seen:
        assert entry["said"] == []
        outside = [
            url for url in entry["requested"] if url != entry["address"] and url[:5] != "data:"
        ]
        assert outside == []


def test_a_phone_scrolls_down_only(seen: list[dict[str, Any]]) -> None:
    """WCAG 2.2 success criterion 1.4.10, reflow, at 390 CSS pixels."""
    for entry in seen:
        if "scrollWidth" in entry:
            assert entry["scrollWidth"] <= entry["width"]


def test_keyboard_alone_and_without_scripts(seen: list[dict[str, Any]]) -> None:
    """The first stop skips to the main part; folded parts open; the style passes the policy."""
    plain = [entry for entry in seen if "firstStop" in entry]
    assert len(plain) == len(SHOWN)
    for entry in plain:
        assert entry["firstStop"] == "Skip to the main part"
        assert entry["after"] == "#main"
        assert entry["styled"] == "0px"
        assert entry.get("unfolds", True)


def test_no_error_for_the_nu_html_checker(
    nu_checker: Callable[[Path], str], demo_pages: Path
) -> None:
    assert nu_checker(demo_pages) == ""


@pytest.mark.parametrize("site", ["cedar-bluff", "huon-reach", "red-mesa"])
def test_a_site_prints_on_one_sheet(
    site: str, looked: Looked, demo_pages: Path, tmp_path: Path
) -> None:
    """A year of one school fits a sheet of either paper, and nothing but the sheet is printed."""
    if shutil.which("pdfinfo") is None or shutil.which("pdftotext") is None:
        missing("pdfinfo and pdftotext are needed (Debian: poppler-utils)")
    looked((demo_pages / "demo" / "sites" / f"{site}.html").as_uri(), pdf=tmp_path)
    for paper, size in PAPER_PT.items():
        told = ran("pdfinfo", tmp_path / f"{paper}.pdf").stdout
        fields = dict(line.split(":", 1) for line in told.splitlines() if ":" in line)
        assert int(fields["Pages"]) == 1
        width, _, height, *_ = fields["Page size"].split()
        assert (float(width), float(height)) == pytest.approx(size, abs=1)
        text = ran("pdftotext", "-layout", tmp_path / f"{paper}.pdf", "-").stdout
        assert "Jobs to come" in text
        assert "Take care" in text
        assert "Why now" not in text


def test_the_code_is_read_by_a_scanner(looked: Looked, demo_pages: Path, tmp_path: Path) -> None:
    """ZBar reads the code off the screen."""
    if shutil.which("zbarimg") is None:
        missing("zbarimg is needed to read QR codes (Debian: zbar-tools)")
    looked((demo_pages / "invented" / "sites" / "larkfield.html").as_uri(), pdf=tmp_path)
    read = ran("zbarimg", "--quiet", "--raw", tmp_path / "code.png").stdout.strip()
    assert read == "https://trees.example/cal/sites/larkfield.ics"
