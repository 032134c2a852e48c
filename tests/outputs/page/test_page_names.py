"""Whatever people write in a name shows as they wrote it and changes nothing of the page."""

from __future__ import annotations

from xml.etree.ElementTree import Element

import pytest

from tests.outputs.page.invented_facts import written
from tests.outputs.page.page_tree import all_of, name_of, text_of, tree_of

NASTY = {
    "markup": "<script>alert(1)</script><b onclick='x()'>\"&amp;&lt;",
    "attribute": '" onmouseover="x()" x=\'',
    "end tags": "</title></style></bdi></table></svg></main>",
    "comment": "<!-- --!> ]]> <![CDATA[ <?php",
    "right to left": "حديقة المدرسة ",
    "override": "\u202egnirps\u202c ",
    "emoji": "🍎👩🏽‍🌾 ",
    "format signs": "{name} {} %s %(x)s ",
    "newlines": "one\r\ntwo\u2028three\x85",
    "long": "x" * 600,
}
PLAIN = {path: tree_of(page) for path, page in written().items()}


def shape(root: Element) -> list[tuple[str, tuple[str, ...]]]:
    """Names of elements and attributes in document order."""
    return [(name_of(one), tuple(sorted(map(str, one.keys())))) for one in root.iter()]


def shown(words: str) -> str:
    """As HTML shows it: line breaks are white space."""
    for line_break in ("\r\n", "\u2028", "\x85"):
        words = words.replace(line_break, "\n")
    return words


@pytest.mark.parametrize("words", NASTY.values(), ids=NASTY)
def test_the_page_keeps_its_shape_and_shows_the_words(words: str) -> None:
    """Read by html5lib, as a browser would: a name that became markup would change the tree."""
    for path, page in written(words).items():
        root = tree_of(page)
        assert shape(root) == shape(PLAIN[path])
        text = text_of(root)
        fields = ["Two Orchards", "Larkfield School"]
        if path == "sites/larkfield.html":
            fields += [
                *("orchard behind the gym", "A1", "4 apples", "a reason", "a tool", "a caution"),
                *("what follows", "why not", "more", "a note", "Oil may go on", "Reka"),
                "Winter break",
            ]
        elif path == "sites/kereru.html":
            fields = ["Two Orchards", "Kererū Street Kindergarten"]
        for field in fields:
            assert shown(words) + field in text


def test_what_no_page_may_hold_is_left_out() -> None:
    """HTML Living Standard 13.1.4: no controls, noncharacters or surrogates in text."""
    bad = "\x00\x07\x1b\x7f\x9f\ud800\ufdd0\ufffe\U0001ffff"
    for path, page in written(bad).items():
        root = tree_of(page)
        assert shape(root) == shape(PLAIN[path])
        assert text_of(root) == text_of(PLAIN[path])


def test_names_are_isolated_from_the_text_around_them() -> None:
    """Unicode UAX 9: a name of the other direction in `bdi` leaves its neighbours in place."""
    page = written(NASTY["right to left"])["sites/larkfield.html"]
    isolated = {text_of(one) for one in all_of(tree_of(page), "bdi")}
    for field in ("Two Orchards", "Larkfield School", "A1", "Winter break", "Reka"):
        assert NASTY["right to left"] + field in isolated
