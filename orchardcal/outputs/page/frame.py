"""The frame of every page: head, way around, main part, foot; nothing is fetched from anywhere."""

from __future__ import annotations

from base64 import b64encode
from collections.abc import Sequence
from functools import cache
from hashlib import sha256
from pathlib import Path
from urllib.parse import quote

from orchardcal.outputs.page.colours import DARK, LIGHT, custom_properties
from orchardcal.outputs.page.markup import Markup, isolated, joined, tag
from orchardcal.outputs.speech import Speech
from orchardcal.plan.plan import Plan
from orchardcal.sentence import say

STYLE_FILE = Path(__file__).with_name("style.css")
ICON = "data:image/svg+xml," + quote(
    '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 16 16">'
    '<path fill="#1f7d50" d="M8 1c5 3 7 8 0 14C1 9 3 4 8 1z"/></svg>'
)


def document(
    plan: Plan,
    title: str,
    top: Sequence[str],
    main: Sequence[str],
    speech: Speech,
    *,
    home: str,
    sheet: bool = False,
) -> bytes:
    """A whole page.

    top: what stands in the header. home: where the overview is from here. sheet: whether printing
    gives the section of class "sheet" and nothing else.
    """
    head = tag(
        "head",
        tag("meta", charset="utf-8"),
        tag("meta", http_equiv="Content-Security-Policy", content=_policy()),
        tag("meta", name="viewport", content="width=device-width, initial-scale=1"),
        tag("meta", name="color-scheme", content="light dark"),
        tag("meta", name="referrer", content="no-referrer"),
        tag("title", title),
        tag("link", rel="icon", href=ICON),
        tag("style", style_sheet()),
    )
    skip = tag("a", speech.words("Skip to the main part"), href="#main", class_="skip")
    header = tag("header", tag("div", *top, class_="wide"))
    body = tag(
        "body",
        skip,
        header,
        tag("main", *main, id="main", class_="wide", tabindex="-1"),
        _footer(plan, speech, home),
        class_="has-sheet" if sheet else None,
    )
    page = tag(
        "html", head, "\n", body, lang=speech.language.replace("_", "-"), dir=speech.direction
    )
    return f"<!DOCTYPE html>\n{page}\n".encode()


def section(key: str, title: str, *content: str, class_: str | None = None) -> Markup:
    """A part of the page with a heading of the second level, which also names it."""
    heading = tag("h2", title, id=f"{key}-title")
    labelled = f"{key}-title"
    return tag("section", heading, *content, id=key, class_=class_, aria_labelledby=labelled)


def other_parts(number: int, paths: Sequence[str], speech: Speech) -> list[Markup]:
    """The way around a page in several parts; nothing where there is one.

    number: which of the paths the part is that shows it.
    """
    if len(paths) == 1:
        return []
    links = []
    for other, path in enumerate(paths):
        words = say("Part {part} of {parts}", part=other + 1, parts=len(paths))
        current = "page" if other == number else None
        links.append(tag("li", tag("a", speech.sentence(words), href=path, aria_current=current)))
    label = speech.words("Parts of this page")
    return [tag("nav", tag("ul", *links), class_="parts", aria_label=label)]


def scrolled(title: str, table: Markup) -> Markup:
    """A table that may be wider than a phone: scrolled by itself, by keyboard as well."""
    return tag("div", table, class_="scroll", role="region", aria_label=title, tabindex="0")


def folded(title: str, *content: str, open_: bool = False) -> Markup:
    """Content behind a line to open."""
    return tag("details", tag("summary", title), *content, open=open_)


@cache
def style_sheet() -> Markup:
    """The one style sheet, with both sets of colours."""
    light, dark = custom_properties(LIGHT), custom_properties(DARK)
    colours = (
        f":root{{color-scheme:light dark;{light}}}"
        f"@media screen and (prefers-color-scheme:dark){{:root{{{dark}}}}}"
    )
    lines = (line.strip() for line in STYLE_FILE.read_text(encoding="utf-8").splitlines())
    return Markup(colours + "\n" + "\n".join(line for line in lines if line))


@cache
def _policy() -> str:
    """What the page may load: its own style, by digest (CSP Level 3), and inline pictures."""
    digest = b64encode(sha256(style_sheet().encode()).digest()).decode()
    return (
        f"default-src 'none'; style-src 'sha256-{digest}'; img-src data:; base-uri 'none'; "
        "form-action 'none'"
    )


def _footer(plan: Plan, speech: Speech, home: str) -> Markup:
    known = say("Work and weather are known up to {day}.", day=plan.as_of)
    care = speech.words(
        "Dates are odds from past seasons, not promises: look at the trees and at the forecast"
        " before you go. For sprays the label is the law; local rules and licensed practice come"
        " before this page. Near power lines call the utility."
    )
    name = tag("a", isolated(plan.name), href=home)
    return tag(
        "footer",
        tag(
            "div",
            tag("p", joined([name, speech.sentence(known)], " · ")),
            tag("p", care),
            class_="wide",
        ),
    )
