"""A letter as HTML for a phone: one column, light and dark, nothing loaded from elsewhere."""

from __future__ import annotations

import re
from html import escape
from typing import NamedTuple

from orchardcal.outputs.mail_letter import Block, Letter, Part
from orchardcal.outputs.mail_text import spoken
from orchardcal.outputs.speech import Speech
from orchardcal.sentence import say


class Palette(NamedTuple):
    """text and quiet stand on page and sheet; link on both too; line is only a border."""

    page: str
    sheet: str
    text: str
    quiet: str
    link: str
    line: str


LIGHT = Palette("#f3f1ea", "#ffffff", "#22261f", "#555b50", "#22603a", "#8a8f83")
DARK = Palette("#161914", "#20251e", "#eceee7", "#b3b9ac", "#8fd0a2", "#70776a")
_STYLE = """
:root {{ color-scheme: light dark; }}
body {{ margin: 0; padding: 12px; background: {light.page}; color: {light.text};
  font: 16px/1.38 system-ui, -apple-system, "Segoe UI", Roboto, sans-serif;
  -webkit-text-size-adjust: 100%; overflow-wrap: anywhere; }}
main {{ max-width: 40rem; margin: 0 auto; padding: 4px 16px 16px; background: {light.sheet};
  border: 1px solid {light.line}; border-radius: 8px; }}
h1 {{ font-size: 1.3rem; line-height: 1.3; margin: .8rem 0; }}
h2 {{ font-size: 1.25rem; margin: 1.4rem 0 .4rem; }}
h3 {{ font-size: 1.1rem; margin: 1.1rem 0 .3rem; padding-top: .6rem;
  border-top: 2px solid {light.line}; }}
h4 {{ font-size: 1rem; margin: .9rem 0 .2rem; }}
h5 {{ font-size: .95rem; margin: .7rem 0 .1rem; color: {light.quiet}; }}
p {{ margin: .25rem 0; }}
ul, ol {{ margin: .2rem 0 .4rem; padding-inline-start: 1.4rem; }}
li {{ margin: .08rem 0; }}
a {{ color: {light.link}; }}
.print {{ border: 2px dashed {light.line}; padding: .4rem .8rem; margin: .8rem 0; }}
.print h4 {{ margin-top: .2rem; }}
.card {{ line-height: 1.33; margin: .6rem 0; padding-inline-start: 8px;
  border-inline-start: 3px solid {light.line}; }}
.card h5 {{ font-size: 1rem; margin: 0; color: inherit; }}
.card p {{ margin: .15rem 0; }}
.card ol {{ margin: 0; }}
.card li {{ margin: 0; }}
.card p:last-child span {{ display: block; padding-inline-start: 1.4rem; }}
@media (max-width: 480px) {{
  body {{ padding: 4px; }}
  main {{ padding: 4px 10px 12px; }}
  .card {{ font-size: 15px; line-height: 1.3; }}
  .card p:last-child span {{ display: inline; padding: 0; }}
}}
@media (prefers-color-scheme: dark) {{
  body {{ background: {dark.page}; color: {dark.text}; }}
  main {{ background: {dark.sheet}; border-color: {dark.line}; }}
  h3, .print, .card {{ border-color: {dark.line}; }}
  h5 {{ color: {dark.quiet}; }}
  a {{ color: {dark.link}; }}
}}
@media print {{
  body, main {{ background: #ffffff; color: #000000; border: 0; }}
}}
"""
_LINK = re.compile(r"https?://[^\s<>\"]+")


def html_letter(letter: Letter, speech: Speech) -> str:
    """A whole HTML document."""
    language = escape(speech.language.replace("_", "-"), quote=True)
    title = escape(spoken(letter.subject, speech))
    body = "\n".join(_block(block, speech) for block in letter.blocks)
    return (
        f'<!doctype html>\n<html lang="{language}" dir="{speech.direction}">\n<head>\n'
        '<meta charset="utf-8">\n'
        '<meta name="viewport" content="width=device-width, initial-scale=1">\n'
        '<meta name="color-scheme" content="light dark">\n'
        f"<title>{title}</title>\n<style>{_STYLE.format(light=LIGHT, dark=DARK)}</style>\n"
        f"</head>\n<body>\n<main>\n<h1>{title}</h1>\n{body}\n</main>\n</body>\n</html>\n"
    )


def _block(block: Block, speech: Speech) -> str:
    lines = []
    if block.heading is not None:
        tag = f"h{block.level + 1}"
        lines.append(f"<{tag}>{_said(spoken(block.heading, speech))}</{tag}>")
    lines += [f"<p>{_said(spoken(sentence, speech))}</p>" for sentence in block.text]
    if block.points:
        tag = "ol" if block.numbered else "ul"
        points = [f"<li>{_said(spoken(sentence, speech))}</li>" for sentence in block.points]
        lines += [f"<{tag}>", *points, f"</{tag}>"]
    lines += [_part(part, speech) for part in block.parts]
    text = "\n".join(lines)
    frame = "print" if block.to_print else "card" if block.parts else ""
    return f'<div class="{frame}">\n{text}\n</div>' if frame else text


def _part(part: Part, speech: Speech) -> str:
    label = f"<b>{_said(spoken(say('{label}:', label=part.label), speech))}</b>"
    said = [_said(spoken(sentence, speech)) for sentence in part.sentences]
    if not part.numbered:
        return f"<p>{label} {' '.join(f'<span>{text}</span>' for text in said)}</p>"
    steps = "\n".join(f"<li>{text}</li>" for text in said)
    return f"<p>{label}</p>\n<ol>\n{steps}\n</ol>"


def _said(text: str) -> str:
    """Escaped text in which web addresses can be followed."""
    parts, at = [], 0
    for link in _LINK.finditer(text):
        address = escape(link[0], quote=True)
        parts += [escape(text[at : link.start()]), f'<a href="{address}">{address}</a>']
        at = link.end()
    return "".join([*parts, escape(text[at:])])
