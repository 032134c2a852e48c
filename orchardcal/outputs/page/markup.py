"""HTML and SVG elements in which every text is escaped unless it is markup already."""

from __future__ import annotations

import re
from collections.abc import Iterable
from functools import lru_cache
from html import escape

VOID = {"br", "col", "hr", "img", "link", "meta"}  # HTML Living Standard 13.1.2: no end tag
_BREAKS = re.compile("\r\n|[\r\v\f\x1c-\x1e\x85\u2028\u2029]")
# HTML Living Standard 13.1.4: text holds no surrogates, noncharacters or controls but white space.
_FORBIDDEN = re.compile(
    "[\x00-\x08\x0b\x0e-\x1f\x7f-\x9f\ud800-\udfff\ufdd0-\ufdef"
    + "".join(chr(plane * 0x10000 + end) for plane in range(17) for end in (0xFFFE, 0xFFFF))
    + "]"
)


class Markup(str):
    """Text that is HTML already."""

    __slots__ = ()


def text(words: str) -> Markup:
    """Anything people wrote, as HTML that shows it and cannot do more.

    >>> text("<b>Ada & Co</b>")
    '&lt;b&gt;Ada &amp; Co&lt;/b&gt;'
    """
    return words if isinstance(words, Markup) else _escaped(words)


@lru_cache(maxsize=4096)
def _escaped(words: str) -> Markup:
    """The same of what is no markup yet: pages say most of their words and names many times."""
    return Markup(escape(_FORBIDDEN.sub("", _BREAKS.sub("\n", words)), quote=True))


def tag(name: str, /, *content: str, **attributes: str | float | bool | None) -> Markup:
    """One element with its content.

    Attributes: "_" stands for "-" and one at the end is dropped (`class_`); None and False leave
    the attribute out, True gives it without a value.

    >>> tag("a", "Trees & bark", href="sites/a.html", class_="row", hidden=True)
    '<a href="sites/a.html" class="row" hidden>Trees &amp; bark</a>'
    """
    given = "".join([_attribute(key, value) for key, value in attributes.items()])
    if name in VOID:
        return Markup(f"<{name}{given}>")
    return Markup(f"<{name}{given}>{joined(content)}</{name}>")


def joined(content: Iterable[str], between: str = "") -> Markup:
    """Pieces one after another, each escaped unless it is markup.

    >>> joined(["a<b", Markup("<br>")], " ")
    'a&lt;b <br>'
    """
    return Markup(text(between).join([text(piece) for piece in content]))


def isolated(words: str) -> Markup:
    """A name in a script of its own, which must not turn the text around it (Unicode UAX 9)."""
    return tag("bdi", words)


def hidden(words: str) -> Markup:
    """Words for screen readers alone."""
    return tag("span", words, class_="heard")


def figure(number: float) -> Markup:
    """A coordinate, short: "12.5", "3".

    >>> figure(12.50), figure(3.0)
    ('12.5', '3')
    """
    return Markup(f"{number:.2f}".rstrip("0").rstrip("."))


def _attribute(key: str, value: str | float | bool | None) -> str:
    if value is None or value is False:
        return ""
    name = key.removesuffix("_").replace("_", "-")
    if value is True:
        return f" {name}"
    shown = value if isinstance(value, str) else figure(value)
    return f' {name}="{text(shown)}"'
