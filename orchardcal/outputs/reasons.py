"""One job, window or unplaced care as a chain of reasons, for a terminal."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from orchardcal.care import TITLES
from orchardcal.outputs.speech import Speech
from orchardcal.plan.plan import CareWindow, Job, NotPlaced, SitePlan
from orchardcal.sentence import Sentence
from orchardcal.species.sources import parts_of


def reasons(site: SitePlan, care: str, tree: str, sources: dict[str, str], speech: Speech) -> str:
    """What the plan says of a care, a tree, or all of a site, each date with its reasons.

    care, tree: "" for all. sources: source key -> full reference. "" if nothing fits.
    """
    fits = [
        *(_job(job, speech, sources) for job in site.jobs if _fits(job, care, tree)),
        *(_window(one, speech, sources) for one in site.windows if _fits(one, care, tree)),
        *(_not_placed(one, speech, sources) for one in site.not_placed if _fits(one, care, tree)),
    ]
    return "\n\n".join("\n".join(lines) for lines in fits) + ("\n" if fits else "")


def _fits(entry: Job | CareWindow | NotPlaced, care: str, tree: str) -> bool:
    return care in ("", entry.care) and (not tree or tree in entry.plantings)


def _job(job: Job, speech: Speech, sources: dict[str, str]) -> list[str]:
    return [
        f"{speech.day(job.day)} {speech.clock(job.start)}-{speech.clock(job.end)}"
        f"  {speech.sentence(job.title)}  [{job.state}]",
        f"  trees    {', '.join(job.plantings)}",
        f"  between  {speech.day(job.window.first)} and {speech.day(job.window.last)}",
        *_chain(job.why, speech, sources),
    ]


def _window(window: CareWindow, speech: Speech, sources: dict[str, str]) -> list[str]:
    return [
        f"Window   {speech.sentence(window.title)}",
        f"  trees    {', '.join(window.plantings)}",
        f"  between  {speech.day(window.span.first)} and {speech.day(window.span.last)}",
        *_chain(window.why, speech, sources),
    ]


def _not_placed(entry: NotPlaced, speech: Speech, sources: dict[str, str]) -> list[str]:
    why: Sequence[Sentence] = entry.why
    nearest = [f"  nearest  {speech.sentence(entry.nearest)}"] if entry.nearest else []
    return [
        f"{TITLES[entry.care]}: {entry.kind}",
        f"  trees    {', '.join(entry.plantings)}",
        *_chain(why, speech, sources),
        *nearest,
    ]


def _chain(sentences: Iterable[Sentence], speech: Speech, sources: dict[str, str]) -> Iterable[str]:
    for number, sentence in enumerate(sentences, 1):
        yield f"  {number:>3}. {speech.sentence(sentence)}"
        if sentence.source:
            for source in parts_of(sentence.source):
                yield f"       source: {sources.get(source, source)}"
