"""The page of a work day: strict HTML, nothing people wrote becomes markup, a row per person."""

from __future__ import annotations

import itertools
from collections import Counter
from xml.etree.ElementTree import Element

import pytest

from orchardcal.outputs.page.pages import pages
from orchardcal.outputs.page.work_day_page import SPARE_ROWS
from orchardcal.outputs.speech import Speech
from tests.outputs.invented_work_day import WORK_DAY, with_work_day
from tests.outputs.page.invented_facts import named
from tests.outputs.page.page_tree import all_of, name_of, rows_of, text_of, tree_of, with_id

PATH = "work_days/larkfield-2027-01-09.html"
MARKUP = '<script>alert("x")</script><b a=\'">&amp;'


def written(words: str = "", language: str = "en") -> dict[str, bytes]:
    plan, facts = named(words)
    return dict(pages(with_work_day(plan, words), facts, Speech(language)))


@pytest.fixture(scope="module")
def root() -> Element:
    return tree_of(written()[PATH])


def test_landmarks_headings_and_tables(root: Element) -> None:
    """WAI-ARIA Authoring Practices, landmark regions; WCAG 2.2 techniques G141, H39 and H63."""
    for landmark in ("header", "main", "footer", "h1"):
        assert len(list(all_of(root, landmark))) == 1
    levels = [int(name_of(one)[1]) for one in all_of(root, "h1", "h2", "h3", "h4", "h5")]
    assert all(later - earlier <= 1 for earlier, later in itertools.pairwise(levels))
    for table in all_of(root, "table"):
        (caption,) = all_of(table, "caption")
        assert text_of(caption).strip()
        assert all(cell.get("scope") for cell in all_of(table, "th"))
        assert len({len(list(row)) for row in all_of(table, "tr")}) == 1
    ids = Counter(one.get("id") for one in root.iter() if one.get("id"))
    assert set(ids.values()) == {1}
    assert not list(all_of(root, "script", "img", "iframe"))


def test_it_says_who_where_and_when(root: Element) -> None:
    facts = dict(rows_of(next(all_of(with_id(root, "when"), "table"))))
    assert facts["Day"] == "Sat 9 Jan 2027"
    assert facts["Rain date"] == "Sat 16 Jan 2027"
    assert facts["Save the date"].startswith("was due by Tue 10 Nov 2026")
    assert facts["Invitation"] == "by Sat 26 Dec 2026"
    assert "orchard behind the gym" in facts["Where"]
    assert rows_of(next(all_of(with_id(root, "run-sheet"), "table")))[1][0] == "09:00–09:20"
    assert "local emergency number" in text_of(with_id(root, "safety"))
    assert "2 loppers" in text_of(with_id(root, "bring"))


def test_the_sign_in_sheet_has_a_row_for_everyone(root: Element) -> None:
    head, *rows = rows_of(next(all_of(with_id(root, "sign-in"), "table")))
    assert len(head) == 7
    assert len(rows) == WORK_DAY.people + WORK_DAY.leaders + SPARE_ROWS
    assert all(cell == "" for row in rows for cell in row[1:])


def test_names_with_markup_stay_text() -> None:
    made = written(MARKUP)
    page = made[PATH]
    tree = tree_of(page)
    assert b"<script" not in page
    assert not list(all_of(tree, "script"))
    assert MARKUP in text_of(next(all_of(tree, "h1")))
    for part in ("when", "safety", "bring", "lesson"):
        assert MARKUP in text_of(with_id(tree, part))


@pytest.mark.parametrize(
    ("path", "href"), [("index.html", PATH), ("sites/larkfield.html", f"../{PATH}")]
)
def test_the_overview_and_the_site_link_to_it(path: str, href: str) -> None:
    made = written()
    (link,) = (one for one in all_of(with_id(tree_of(made[path]), "work-days"), "a"))
    assert link.get("href") == href
    back = {one.get("href") for one in all_of(tree_of(made[PATH]), "a")}
    assert {"../index.html", "../sites/larkfield.html"} <= back


def test_it_is_said_in_spanish() -> None:
    page = written(language="es")[PATH].decode()
    for words in ("Hoja de registro", "Charla de seguridad", "Último aviso", 'lang="es"'):
        assert words in page
    for words in ("Sign-in", "Rain date", "Run sheet"):
        assert words not in page
