"""The supplies for the season as a table: a row for each site and one for all of them."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from orchardcal.outputs.page.frame import scrolled
from orchardcal.outputs.page.markup import Markup, isolated, tag
from orchardcal.outputs.speech import Speech
from orchardcal.plan.plan import SitePlan
from orchardcal.plan.quantities import ALCOHOL_L
from orchardcal.plan.season_supplies import Supplies, supplies_of
from orchardcal.sentence import Sentence, Volume, say

COMMON = "common practice, no source"
NONE = "–"


def supplies_told(
    sites: Sequence[SitePlan], every: Sequence[SitePlan], speech: Speech
) -> list[Markup]:
    """A table of the sites that need any. every: those the last row counts together."""
    columns = (
        speech.words("Site"),
        speech.words("White paint mix"),
        speech.words("Paint in it"),
        speech.words("Spray to run-off"),
        speech.words("70 % alcohol"),
        speech.words("Pruners"),
        speech.words("Loppers"),
        speech.words("Pruning saws"),
        speech.words("Brushes"),
    )
    head = tag("thead", tag("tr", *(tag("th", one, scope="col") for one in columns)))
    rows = [
        _row(isolated(site.name), supplies_of(site.supplies), speech)
        for site in sites
        if site.supplies
    ]
    in_all = supplies_of(visit for site in every for visit in site.supplies)
    foot = tag("tfoot", _row(speech.words("All sites"), in_all, speech))
    title = speech.words("Paint, spray, alcohol and tools by site")
    table = tag("table", tag("caption", title, class_="heard"), head, tag("tbody", *rows), foot)
    notes = (tag("li", speech.sentence(note)) for note in _notes())
    return [scrolled(title, table), tag("ul", *notes)]


def _row(name: str, supplies: Supplies, speech: Speech) -> Markup:
    litres = (supplies.paint_mix_l, supplies.paint_l, supplies.spray_l, supplies.alcohol_l)
    tools = supplies.tools
    counts = (tools.pruners, tools.loppers, tools.saws, tools.brushes)
    cells = (
        *(speech.value(Volume(each)) if each else NONE for each in litres),
        *(speech.value(each) if each else NONE for each in counts),
    )
    return tag("tr", tag("th", name, scope="row"), *(tag("td", cell) for cell in cells))


def _notes() -> Iterable[Sentence]:
    yield say(
        "Tools are those of the busiest day; a crew takes its own along from site to site.",
        source=COMMON,
    )
    yield say(
        "How much oil goes into the spray is what the label says for the crop and the stage; who"
        " mixes it follows the label and local rules.",
    )
    yield say(
        "Alcohol: {volume} for each visit with pruning. It burns: keep it from flames and heat.",
        volume=Volume(ALCOHOL_L),
        source=COMMON,
    )
