"""Windows and what found no place, each with its reasons."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from orchardcal.care import TITLES
from orchardcal.outputs.page.frame import folded
from orchardcal.outputs.page.lanes import badge
from orchardcal.outputs.page.markup import Markup, isolated, tag
from orchardcal.outputs.page.visits import told
from orchardcal.outputs.speech import Speech
from orchardcal.plan.plan import CareWindow, NotPlaced
from orchardcal.sentence import Listed, Sentence, Words, say

KINDS: tuple[tuple[str, Words], ...] = (
    ("no day", Words("No day found")),
    ("order", Words("No day found in order")),
    ("no crew", Words("No place found with a crew")),
    ("no window", Words("No window")),
    ("passed", Words("Time has passed")),
    ("later", Words("Waits for a later season")),
    ("never", Words("Not done on these trees")),
)
UNPLACED = ("no day", "order", "no crew")  # work that is due and has no day: someone must decide


def windows_told(windows: Sequence[CareWindow], speech: Speech) -> Markup:
    """Every window: the care and its trees, from when to when, and why."""
    return tag("ul", *(_window(window, speech) for window in windows), class_="plain")


def not_placed_told(entries: Sequence[NotPlaced], speech: Speech) -> tuple[Markup, ...]:
    """What found no place, by kind: the care, the trees, the reasons, the nearest change."""
    parts = []
    for kind, title in KINDS:
        own = [entry for entry in entries if entry.kind == kind]
        if own:
            shown = (_entry(entry, speech) for entry in own)
            parts += [tag("h3", speech.value(title)), tag("ul", *shown, class_="plain")]
    return tuple(parts)


def _window(window: CareWindow, speech: Speech) -> Markup:
    span = say("{first} to {last}", first=window.span.first, last=window.span.last)
    title = tag("h3", badge(window.care, speech), " ", isolated(speech.sentence(window.title)))
    why = folded(speech.words("Why then"), told(window.why, speech)) if window.why else ""
    return tag("li", title, tag("p", tag("b", speech.sentence(span))), *_given(why))


def _entry(entry: NotPlaced, speech: Speech) -> Markup:
    trees = Listed(entry.plantings)
    title = say("{care}: {trees}", care=Words(TITLES[entry.care]), trees=trees)
    parts = [tag("p", badge(entry.care, speech), " ", tag("b", isolated(speech.sentence(title))))]
    if entry.nearest is not None:
        parts.append(tag("p", speech.sentence(entry.nearest), class_="nearest"))
    if entry.why:
        parts.append(_reasons(entry.why, speech))
    return tag("li", *parts)


def _reasons(sentences: Sequence[Sentence], speech: Speech) -> Markup:
    """One reason stands as it is, more unfold."""
    if len(sentences) == 1:
        return tag("p", speech.sentence(sentences[0]))
    return folded(speech.words("Why"), told(sentences, speech))


def _given(part: str) -> Iterable[str]:
    return (part,) if part else ()
