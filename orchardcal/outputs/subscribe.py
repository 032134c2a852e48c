"""How to get a feed into a calendar: its addresses, a code to scan, and the steps in two lines."""

from __future__ import annotations

import re
from dataclasses import dataclass
from urllib.parse import quote

import segno

from orchardcal.outputs.page.markup import Markup, hidden, isolated, tag
from orchardcal.outputs.speech import Speech
from orchardcal.sentence import say

_WEB = re.compile(r"https?://", re.IGNORECASE)
QUIET_MODULES = 4  # the light edge a scanner needs (ISO/IEC 18004)


@dataclass(frozen=True)
class Address:
    """Where a feed is found. https and webcal are "" while nobody has said where it will be put.

    webcal: what most calendar programs take as "subscribe"; a scheme
    registered with IANA.
    beside: the feed as seen from the page.
    """

    https: str
    webcal: str
    beside: str


def address(base_url: str, feed: str, way_up: str = "") -> Address:
    """The addresses of one feed. feed: its path, as "sites/larkfield.ics"; way_up: as "../".

    >>> address("https://trees.example/cal/", "sites/larkfield.ics").webcal
    'webcal://trees.example/cal/sites/larkfield.ics'
    """
    path = quote(feed)
    scheme = _WEB.match(base_url)
    if scheme is None:
        return Address("", "", way_up + path)
    rest = f"{base_url[scheme.end() :].rstrip('/')}/{path}"
    return Address(base_url[: scheme.end()] + rest, f"webcal://{rest}", way_up + path)


def subscribe_block(name: str, feed: Address, speech: Speech) -> Markup:
    """The links, the code and the steps for one feed; the code needs an address on the web."""
    heading = tag("h3", isolated(name))
    if not feed.https:
        return tag(
            "article",
            heading,
            tag("p", tag("a", speech.words("Open the calendar file"), href=feed.beside)),
            tag(
                "p",
                speech.words(
                    "Opened from here it is a copy that stays as it is. To subscribe, put this"
                    " folder on a web server and set base_url in programme.toml."
                ),
                class_="muted",
            ),
            class_="feed",
        )
    subscribe = tag(
        "a",
        speech.words("Subscribe on this device"),
        hidden(f": {name}"),
        href=feed.webcal,
        class_="button",
    )
    shown = tag("a", feed.https, href=feed.https, class_="address", dir="ltr")
    steps = tag(
        "ol",
        tag(
            "li",
            speech.words(
                "On a phone or tablet: press the button or scan the code, then confirm the new"
                " calendar."
            ),
        ),
        tag(
            "li",
            speech.words(
                "In any other calendar: copy the address and paste it where that calendar takes a"
                " new calendar by its address (URL). New dates then come by themselves, often"
                " within hours, sometimes a day later."
            ),
        ),
    )
    words = tag("div", heading, tag("p", subscribe), tag("p", shown), steps)
    return tag("article", words, *_code(name, feed.https, speech), class_="feed")


def _code(name: str, url: str, speech: Speech) -> tuple[Markup, ...]:
    """The address as a QR code, none where it is longer than a code can hold."""
    try:
        code = segno.make(url, error="m", micro=False, boost_error=False)
    except segno.DataOverflowError:
        return ()
    drawing = code.svg_inline(
        scale=4,
        border=QUIET_MODULES,
        dark="#000",
        light="#fff",
        omitsize=True,
        svgclass=None,
        lineclass=None,
    )
    label = speech.sentence(say("QR code of the address of {name}", name=name))
    return (tag("div", Markup(drawing), class_="code", role="img", aria_label=label),)
