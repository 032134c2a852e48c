"""The pages as HTML: no error of syntax, an outline, links that lead somewhere, nothing fetched."""

from __future__ import annotations

import itertools
import re
from collections import Counter
from dataclasses import replace
from posixpath import join, normpath
from urllib.parse import unquote
from xml.etree.ElementTree import Element

import pytest

from orchardcal.outputs.page.overview import SITES_ON_A_PAGE, overview_pages
from orchardcal.outputs.page.pages import pages
from orchardcal.outputs.speech import Speech
from tests.outputs.page.invented_facts import many_sites, named, written
from tests.outputs.page.page_tree import XLINK, all_of, name_of, text_of, tree_of

WRITTEN = written()
EACH = pytest.mark.parametrize("path", sorted(WRITTEN))
FEEDS = {"staff.ics", "volunteers.ics", "sites/larkfield.ics", "sites/kereru.ics"}
MOST_BYTES = 300_000
# HTML Living Standard: attributes that make a browser fetch something by itself.
FETCHED_BY = ("src", "srcset", "poster", "data", "background", "action", "formaction", "ping")


@pytest.fixture(scope="module")
def trees() -> dict[str, Element]:
    return {path: tree_of(page) for path, page in WRITTEN.items()}


def test_there_is_an_overview_and_a_page_for_each_site() -> None:
    assert set(WRITTEN) == {"index.html", "sites/larkfield.html", "sites/kereru.html"}


def test_the_same_plan_gives_the_same_bytes() -> None:
    assert written() == WRITTEN


@EACH
def test_no_error_for_a_strict_parser(path: str, trees: dict[str, Element]) -> None:
    """html5lib in strict mode raises at the first parse error of the standard's list."""
    root = trees[path]
    assert root.get("lang") == "en"
    assert root.get("dir") == "ltr"


@EACH
def test_landmarks_and_headings(path: str, trees: dict[str, Element]) -> None:
    """WAI-ARIA Authoring Practices, landmark regions; WCAG 2.2 technique G141 for headings."""
    root = trees[path]
    for landmark in ("header", "main", "footer"):
        assert len(list(all_of(root, landmark))) == 1
    levels = [int(name_of(one)[1]) for one in all_of(root, "h1", "h2", "h3", "h4", "h5")]
    assert levels[0] == 1
    assert levels.count(1) == 1
    assert all(later - earlier <= 1 for earlier, later in itertools.pairwise(levels))
    assert all(text_of(one).strip() for one in all_of(root, "h1", "h2", "h3", "h4", "h5"))


@EACH
def test_tables_have_captions_and_headers(path: str, trees: dict[str, Element]) -> None:
    """WCAG 2.2 techniques H39 and H63."""
    tables = list(all_of(trees[path], "table"))
    assert tables
    for table in tables:
        (caption,) = all_of(table, "caption")
        assert text_of(caption).strip()
        assert all(cell.get("scope") for cell in all_of(table, "th"))
        widths = {
            sum(int(cell.get("colspan", "1")) for cell in row) for row in list(all_of(table, "tr"))
        }
        spanned = any(cell.get("rowspan") for cell in all_of(table, "th"))
        assert len(widths) == 1 or spanned


@EACH
def test_every_drawing_says_what_it_is_or_is_left_out(path: str, trees: dict[str, Element]) -> None:
    """WCAG 2.2 success criterion 1.1.1: a name, or hidden from the reader beside its table."""
    root = trees[path]
    parents = {child: parent for parent in root.iter() for child in parent}
    for drawing in all_of(root, "svg"):
        chain = [drawing]
        while chain[-1] in parents:
            chain.append(parents[chain[-1]])
        assert any(
            one.get("aria-hidden") == "true" or (one.get("role") == "img" and one.get("aria-label"))
            for one in chain
        )


@EACH
def test_ids_are_unique_and_links_lead_somewhere(path: str, trees: dict[str, Element]) -> None:
    root = trees[path]
    ids = Counter(one.get("id") for one in root.iter() if one.get("id"))
    assert {key for key, count in ids.items() if count > 1} == set()
    for element in root.iter():
        for key in ("aria-labelledby", "aria-describedby"):
            assert set((element.get(key) or "").split()) <= set(ids)
        href = element.get("href") or element.get(XLINK)
        if href is None or href.startswith(("data:", "https://trees.example/cal/", "webcal:")):
            continue
        target, _, part = href.partition("#")
        if not target:
            assert part in ids, href
        else:
            here = path.rpartition("/")[0]
            assert normpath(join(here, unquote(target))) in set(WRITTEN) | FEEDS, href


@EACH
def test_nothing_is_fetched_and_nothing_runs(path: str, trees: dict[str, Element]) -> None:
    root = trees[path]
    assert not list(all_of(root, "script", "iframe", "object", "embed", "img", "form", "base"))
    for element in root.iter():
        assert not [key for key in element if str(key).startswith("on")]
        assert not [key for key in FETCHED_BY if element.get(key)]
        assert element.get("style") is None  # the policy lets none in
    (link,) = all_of(root, "link")
    assert (link.get("href") or "").startswith("data:")
    (style,) = all_of(root, "style")
    assert not re.search(r"url\(|@import|expression", text_of(style))


@EACH
def test_small_enough(path: str) -> None:
    assert len(WRITTEN[path]) < MOST_BYTES


def test_many_sites_stay_small_and_each_is_on_one_overview() -> None:
    number = 2 * SITES_ON_A_PAGE + 5
    plan, facts = many_sites(number)
    closed = {key: of_site.closed for key, of_site in facts.items()}
    overviews = dict(overview_pages(plan, closed, Speech()))
    assert sorted(overviews) == ["index.html", "overview-2.html", "overview-3.html"]
    assert max(len(page) for page in overviews.values()) < MOST_BYTES
    shown = Counter(
        row[0].find(".//a").get("href")  # type: ignore[union-attr]
        for page in overviews.values()
        for table in all_of(tree_of(page), "table")
        for row in list(all_of(table, "tr"))[1:]
    )
    assert shown == Counter({f"sites/site-{at:03}.html": 1 for at in range(number)})


def test_a_plan_without_sites_and_one_without_facts() -> None:
    plan, facts = named("")
    empty = dict(pages(replace(plan, sites=()), {}, Speech()))
    assert list(empty) == ["index.html"]
    assert "Nothing is left to do" in text_of(tree_of(empty["index.html"]))
    assert set(dict(pages(plan, {"kereru": facts["kereru"]}, Speech()))) == {
        "index.html",
        "sites/kereru.html",
    }
