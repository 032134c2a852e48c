"""Pages read by html5lib, a parser after the HTML Living Standard, that takes no error."""

from __future__ import annotations

from collections.abc import Iterator
from xml.etree.ElementTree import Element

import html5lib

XLINK = "{http://www.w3.org/1999/xlink}href"


def tree_of(page: bytes) -> Element:
    """The page's document; raises html5lib's ParseError at the first error of its HTML."""
    parser = html5lib.HTMLParser(strict=True, namespaceHTMLElements=False)
    root: Element = parser.parse(page.decode("utf-8"))
    return root


def name_of(element: Element) -> str:
    """The element's name without its namespace; "" for a comment."""
    return element.tag.rsplit("}", 1)[-1] if isinstance(element.tag, str) else ""


def all_of(root: Element, *names: str) -> Iterator[Element]:
    return (element for element in root.iter() if name_of(element) in names)


def text_of(element: Element) -> str:
    return "".join(element.itertext())


def with_id(root: Element, key: str) -> Element:
    return next(element for element in root.iter() if element.get("id") == key)


def rows_of(table: Element) -> list[list[str]]:
    """The cells of a table's rows as their text."""
    rows = all_of(table, "tr")
    return [[text_of(cell) for cell in row if name_of(cell) in ("th", "td")] for row in rows]
