"""Visits as cards: the day, the jobs one after another, their reasons, steps, tools, cautions."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date

from orchardcal.outputs.page.frame import folded
from orchardcal.outputs.page.lanes import badge
from orchardcal.outputs.page.markup import Markup, isolated, joined, tag
from orchardcal.outputs.speech import Speech
from orchardcal.plan.plan import DONE, OVERDUE, Job
from orchardcal.sentence import Hours, Sentence, say

OPEN_VISITS = 1  # so many cards show their steps at once; the others unfold


@dataclass(frozen=True)
class Visit:
    """One site on one day: the jobs in the order of the day."""

    site: str
    day: date
    jobs: tuple[Job, ...]


def visits(jobs: Iterable[Job]) -> tuple[Visit, ...]:
    """The jobs still to do, gathered by day and site."""
    found: dict[tuple[date, str], list[Job]] = {}
    for job in jobs:
        if job.state != DONE:
            found.setdefault((job.day, job.site), []).append(job)
    return tuple(
        Visit(site, day, tuple(sorted(own, key=lambda job: (job.start, job.uid))))
        for (day, site), own in sorted(found.items())
    )


def visit_card(visit: Visit, number: int, speech: Speech) -> Markup:
    """One visit. number: its place among the visits to come, from 0."""
    heading = tag("h3", tag("time", speech.day(visit.day), datetime=visit.day.isoformat()))
    jobs = (_job(job, number < OPEN_VISITS, speech) for job in visit.jobs)
    return tag("article", heading, *jobs, class_="visit")


def hours(job: Job, speech: Speech) -> str:
    """ "09:30–12:10"."""
    return speech.sentence(say("{start}–{end}", start=job.start, end=job.end))


def told(sentences: Iterable[Sentence], speech: Speech) -> Markup:
    """Sentences as a list."""
    return tag("ul", *(tag("li", speech.sentence(each)) for each in sentences))


def _job(job: Job, unfolded: bool, speech: Speech) -> Markup:
    heading = tag("h4", badge(job.care, speech), " ", isolated(speech.sentence(job.title)))
    parts = [heading, tag("p", joined(_size(job, speech), " · "), class_="size")]
    if job.state == OVERDUE:
        parts.append(tag("p", speech.words("Overdue: do it soon, or record it."), class_="alert"))
    if job.why:
        parts += [tag("h5", speech.words("Why now")), told(job.why, speech)]
    if job.cautions:
        caution = [tag("h5", speech.words("Take care")), told(job.cautions, speech)]
        parts.append(tag("div", *caution, class_="caution"))
    steps = [
        part
        for heading_, sentences in (
            (speech.words("Do"), job.do),
            (speech.words("Bring"), job.bring),
            (speech.words("After"), job.then),
        )
        if sentences
        for part in (tag("h5", heading_), told(sentences, speech))
    ]
    if steps:
        words = speech.words("Steps, tools and what follows")
        parts.append(folded(words, *steps, open_=unfolded))
    return tag("div", *parts, class_="job")


def _size(job: Job, speech: Speech) -> Sequence[str]:
    told_: list[str] = [tag("b", hours(job, speech))]
    told_.append(speech.sentence(say("{count} tree", plural="{count} trees", count=job.trees)))
    told_.append(speech.sentence(say("{count} person", plural="{count} people", count=job.people)))
    told_.append(speech.sentence(say("{work} of work in all", work=Hours(job.minutes / 60))))
    span = say("may be done {first} to {last}", first=job.window.first, last=job.window.last)
    told_.append(speech.sentence(span))
    if job.open_to_volunteers:
        told_.append(speech.words("volunteers welcome"))
    return told_
