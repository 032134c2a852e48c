"""Which cut put off a command is about."""

from __future__ import annotations

from collections.abc import Sequence

from orchardcal.care import DEFERRED_CUT
from orchardcal.errors import Problems, Spot
from orchardcal.journal.cuts import DeferredCut, put_off
from orchardcal.journal.in_words import day_in_words, printable, trees_in_words
from orchardcal.journal.store import Store

LISTED_CUTS = 10


def open_cuts(store: Store, site: str, plantings: Sequence[str]) -> list[DeferredCut]:
    return [
        cut
        for cut in put_off(store.entries(site))
        if cut.open and cut.site == site and cut.planting in plantings
    ]


def cut_meant(
    store: Store, site: str, care: str, plantings: tuple[str, ...], named: bool, cut: str
) -> tuple[str, tuple[str, ...]]:
    """The id of the cut that work decides ("" if it decides none) and the tree it is at.

    named: the trees were named one by one. A tree with several cuts put off needs --cut.
    """
    if care != DEFERRED_CUT and not cut:
        return "", plantings
    choices = open_cuts(store, site, plantings)
    fitting = [one for one in choices if one.reference.startswith(cut)] if cut else choices
    if len(fitting) == 1:
        return fitting[0].reference, (fitting[0].planting,)
    problems = Problems()
    where = trees_in_words(plantings) if named else site
    if not fitting:
        what = f"{where}: no cut put off is open" + (f' with the id "{cut}"' if cut else "")
        instead = listed_cuts(choices) or f"Look in: orchardcal journal --site {site}"
    else:
        what = f"{where}: {len(fitting)} cuts put off are open"
        instead = "Say which with --cut ID. " + listed_cuts(fitting)
    problems.add(Spot("--cut" if cut else "--tree"), what, instead)
    problems.raise_if_any()
    return "", plantings


def listed_cuts(cuts: Sequence[DeferredCut]) -> str:
    """The open cuts in one line, the first ten of them."""
    said = [
        f"{cut.reference} at {cut.planting}, put off {day_in_words(cut.first_put_off)}"
        + (f" (“{printable(' '.join(cut.note.split()))}”)" if cut.note else "")
        for cut in cuts[:LISTED_CUTS]
    ]
    more = f"; and {len(cuts) - LISTED_CUTS} more" if len(cuts) > LISTED_CUTS else ""
    return f"Open: {'; '.join(said)}{more}." if said else ""
