"""Blocks of a letter about work: a visit with its jobs, days to keep free, what changed."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from orchardcal.care import DORMANCY_CHECK, LOOK_AT_CUTS, OIL_SCOUTING, SPRAY_NOTICE, TITLES
from orchardcal.outputs.mail_card import card_blocks
from orchardcal.outputs.mail_due import FELL_AWAY, Due
from orchardcal.outputs.mail_letter import Block
from orchardcal.outputs.mail_notice import notice, sprayings_announced
from orchardcal.plan.plan import Job, SitePlan
from orchardcal.plan.pruning_card import PruningCard
from orchardcal.sentence import Hours, Sentence, Words, say
from orchardcal.sites.site import SprayRule

TO_ANSWER = {
    DORMANCY_CHECK: say(
        "Answer this mail with one word for what you saw: dormant, nearly, growing or not sure."
    ),
    OIL_SCOUTING: say(
        "Answer this mail with what you found: scale, mite eggs, aphid eggs, or no pests."
    ),
    LOOK_AT_CUTS: say("Answer this mail if a cut shows gum, dark bark, cracks or insects."),
}

MOST_REASONS = 4  # the rest stands in the calendar's event


Cards = Mapping[str, tuple[PruningCard, ...]]


def visit(
    jobs: Sequence[Job],
    site: SitePlan,
    rule: SprayRule,
    contact: str,
    cards: Cards,
    *,
    volunteers: bool,
) -> tuple[Block, ...]:
    """One visit: its jobs in turn, then once for all of them what to take care of and to bring.

    cards: those of the prunings by UID; what they say in short is not said in full as well.
    """
    first, last = min(job.start for job in jobs), max(job.end for job in jobs)
    people = max(job.people for job in jobs)
    work_h = sum(job.minutes for job in jobs) / 60
    size = [say("{count} person.", plural="{count} people.", count=people)]
    if not volunteers:
        size.append(say("{work} of work in all.", work=Hours(work_h)))
    head = Block(
        say(
            "{day}, {start} to {end}: {site}",
            day=jobs[0].day,
            start=first,
            end=last,
            site=site.name,
        ),
        2,
        ((say("Where: {where}", where=site.where),) if site.where else ()) + (_joined(size),),
    )
    blocks = [head]
    for job in jobs:
        blocks += _job(job, site, rule, contact, cards.get(job.uid, ()), volunteers=volunteers)
    blocks += [
        *_once("Take care", [_not_on(cards.get(job.uid, ()), job.cautions) for job in jobs]),
        *_once("Bring", [job.bring for job in jobs]),
        *_once("After", [job.then for job in jobs]),
    ]
    return tuple(blocks)


def _job(
    job: Job,
    site: SitePlan,
    rule: SprayRule,
    contact: str,
    cards: tuple[PruningCard, ...],
    *,
    volunteers: bool,
) -> list[Block]:
    lines, steps = _lines_and_steps(_not_on(cards, job.do))
    hours = say("{start} to {end}", start=job.start, end=job.end)
    blocks = [Block(job.title, 3, (hours,))]
    if job.why and not volunteers:
        blocks.append(Block(say("Why now"), 4, points=_reasons(job)))
    if lines or steps:
        blocks.append(Block(say("Do"), 4, text=lines, points=steps, numbered=True))
    blocks += card_blocks(cards)
    if job.care in TO_ANSWER:
        blocks.append(Block(None, 4, (TO_ANSWER[job.care],)))
    if job.care == SPRAY_NOTICE:
        for spraying in sprayings_announced(job, site.jobs):
            blocks.append(notice(spraying, site, rule, contact))
    return blocks


def _reasons(job: Job) -> tuple[Sentence, ...]:
    """The reasons that still matter: the window is open by then, so not why it opened."""
    told = [sentence for sentence in job.why if "opens" not in dict(sentence.values)]
    if len(told) <= MOST_REASONS:
        return tuple(told)
    half = MOST_REASONS // 2
    return (*told[:half], *told[-half:])


def _not_on(cards: tuple[PruningCard, ...], said: tuple[Sentence, ...]) -> tuple[Sentence, ...]:
    """The sentences that no card says."""
    return tuple(one for one in said if not any(one in card.in_full for card in cards))


def _lines_and_steps(
    do: tuple[Sentence, ...],
) -> tuple[tuple[Sentence, ...], tuple[Sentence, ...]]:
    """What is said of single trees and cuts, then the steps in order, which hold no values."""
    with_values = [at for at, sentence in enumerate(do) if sentence.values]
    cut = with_values[-1] + 1 if with_values else 0
    return do[:cut], do[cut:]


def _once(heading: str, parts: Sequence[tuple[Sentence, ...]]) -> list[Block]:
    points = tuple(dict.fromkeys(sentence for part in parts for sentence in part))
    return [Block(HEADINGS[heading], 3, points=points)] if points else []


HEADINGS = {
    "Bring": say("Bring"),
    "After": say("After"),
    "Take care": say("Take care"),
}


def _joined(sentences: Sequence[Sentence]) -> Sentence:
    if len(sentences) == 1:
        return sentences[0]
    return say("{one} {other}", one=sentences[0], other=sentences[1])


def day_to_keep(job: Job, site: SitePlan) -> Sentence:
    """A line for a day that is still weeks away."""
    return say(
        "{day}, {start} to {end}, {site}: {work}",
        day=job.day,
        start=job.start,
        end=job.end,
        site=site.name,
        work=job.title,
    )


def changed(one: Due, names: Mapping[str, str]) -> Sentence:
    """A line for a date that moved or fell away, with the reason its new day has."""
    care, site = Words(TITLES[one.care]), names.get(one.site, one.site)
    if one.kind == FELL_AWAY or one.day is None:
        told = one.old_day or (one.row.first if one.row is not None else None)
        assert told is not None
        return say("{site}, {care} on {old}: no longer planned.", site=site, care=care, old=told)
    assert one.old_day is not None
    moved = say(
        "{site}, {care}: moved from {old} to {new}.",
        site=site,
        care=care,
        old=one.old_day,
        new=one.day,
    )
    if one.job is not None and one.job.moved is not None:
        return say("{change} Why: {reason}.", change=moved, reason=one.job.moved)
    if one.job is not None and one.job.why:
        return say("{change} {reason}", change=moved, reason=one.job.why[-1])
    return moved


def not_ticked(one: Due, names: Mapping[str, str]) -> Sentence:
    """A line for work nobody has ticked off."""
    care, site = Words(TITLES[one.care]), names.get(one.site, one.site)
    assert one.day is not None
    missed = one.job.missed if one.job is not None else None
    if missed is not None and missed != one.day:
        return say(
            "{site}, {care}: it was planned for {old} and is now set for {new}.",
            site=site,
            care=care,
            old=missed,
            new=one.day,
        )
    return say("{site}, {care}, {day}", site=site, care=care, day=one.day)
