"""The letter to a site lead, and the one to a group of volunteers."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import groupby

from orchardcal.care import TITLES
from orchardcal.outputs.event_text import site_url
from orchardcal.outputs.mail_due import AHEAD, FELL_AWAY, MOVED, NOT_TICKED, Due
from orchardcal.outputs.mail_letter import LEAD, VOLUNTEERS, Block, Letter
from orchardcal.outputs.mail_visit import changed, day_to_keep, not_ticked, visit
from orchardcal.plan.plan import Job, Plan, SitePlan
from orchardcal.plan.pruning_card import PruningCard
from orchardcal.sentence import Listed, Sentence, Words, say
from orchardcal.sites.site import SprayRule


@dataclass(frozen=True)
class Setting:
    """What a letter needs beside what is due. contact: the name of whom an answer reaches.

    cards: how to prune, by the UID of the job.
    """

    plan: Plan
    rules: Mapping[str, SprayRule]
    contact: str
    cards: Mapping[str, tuple[PruningCard, ...]]

    def site(self, key: str) -> SitePlan:
        return next(site for site in self.plan.sites if site.site == key)

    @property
    def names(self) -> dict[str, str]:
        return {site.site: site.name for site in self.plan.sites}


def letter(
    person: str, name: str, kind: str, found: Sequence[Due], setting: Setting
) -> Letter | None:
    """The letter that tells one person all of it, or None if there is nothing to say."""
    if not found:
        return None
    ahead = [one for one in found if one.kind in (AHEAD, NOT_TICKED)]
    soon = _jobs(one for one in ahead if not one.save_the_date)
    later = _jobs(one for one in ahead if one.save_the_date)
    blocks = [Block(text=(say("Hello {name},", name=name),)), Block(text=(_opening(kind),))]
    blocks += _changes(found, setting)
    blocks += _overdue(found, setting)
    blocks += _visits(soon, setting, volunteers=kind == VOLUNTEERS)
    if later:
        lines = tuple(day_to_keep(job, setting.site(job.site)) for job in _in_order(later))
        blocks.append(Block(say("Days to keep free"), points=lines))
    blocks.append(_closing(kind, found, setting))
    rows = {one.row.uid: one.row for one in found if one.row is not None and one.row.shown}
    return Letter(
        person=person,
        kind=kind,
        subject=_subject(found, soon, later, setting),
        blocks=tuple(blocks),
        items=tuple(sorted(one.item for one in found)),
        rows=tuple(sorted(rows.values(), key=lambda row: (row.first, row.site, row.uid))),
    )


def _opening(kind: str) -> Sentence:
    if kind == VOLUNTEERS:
        return say("here is what comes next in the orchards you help with.")
    return say("here is what comes next in the orchards you look after.")


def _changes(found: Sequence[Due], setting: Setting) -> list[Block]:
    lines = [changed(one, setting.names) for one in found if one.kind in (MOVED, FELL_AWAY)]
    return [Block(say("Changed since your last mail"), points=tuple(lines))] if lines else []


def _overdue(found: Sequence[Due], setting: Setting) -> list[Block]:
    lines = [not_ticked(one, setting.names) for one in found if one.kind == NOT_TICKED]
    if not lines:
        return []
    ask = say("Nobody has ticked these off. If one is done, answer this mail with the day.")
    return [Block(say("Not ticked off"), text=(ask,), points=tuple(lines))]


def _visits(jobs: Sequence[Job], setting: Setting, *, volunteers: bool) -> list[Block]:
    blocks: list[Block] = []
    for (_, key), group in groupby(_in_order(jobs), key=lambda job: (job.day, job.site)):
        site = setting.site(key)
        rule = setting.rules.get(key, SprayRule())
        blocks += visit(
            list(group), site, rule, setting.contact, setting.cards, volunteers=volunteers
        )
    return [Block(say("Coming up")), *blocks] if blocks else []


def _closing(kind: str, found: Sequence[Due], setting: Setting) -> Block:
    lines = []
    if any(one.row is not None for one in found):
        lines.append(say("The dates are in reminder.ics: open it to put them in your calendar."))
    if kind == LEAD:
        for key in dict.fromkeys(one.site for one in found):
            url = site_url(setting.plan, key)
            if url:
                name = setting.names.get(key, key)
                lines.append(say("All dates of {site}: {url}", site=name, url=url))
    if setting.contact:
        lines.append(say("Your answer to this mail reaches {name}.", name=setting.contact))
    lines.append(say("To get no more of these mails, answer with the word unsubscribe."))
    return Block(say("Good to know"), text=tuple(lines))


def _subject(
    found: Sequence[Due], soon: Sequence[Job], later: Sequence[Job], setting: Setting
) -> Sentence:
    jobs = _in_order(soon) or _in_order(later)
    if jobs:
        first = jobs[0]
        same = [job for job in jobs if (job.day, job.site) == (first.day, first.site)]
        titles = tuple(Words(TITLES[care]) for care in dict.fromkeys(job.care for job in same))
        subject = say(
            "{day}, {site}: {cares}",
            day=first.day,
            site=setting.site(first.site).name,
            cares=Listed(titles),
        )
        more = len({(job.day, job.site) for job in (*soon, *later)}) - 1
        if more:
            return say(
                "{subject} (and {count} more day)",
                plural="{subject} (and {count} more days)",
                subject=subject,
                count=more,
            )
        return subject
    sites = Listed(tuple(dict.fromkeys(setting.names.get(one.site, one.site) for one in found)))
    if any(one.kind == NOT_TICKED for one in found):
        return say("{sites}: work not ticked off", sites=sites)
    return say("{sites}: dates have changed", sites=sites)


def _jobs(found: Iterable[Due]) -> list[Job]:
    """The jobs of what is due, each once."""
    return list({one.job.uid: one.job for one in found if one.job is not None}.values())


def _in_order(jobs: Sequence[Job]) -> list[Job]:
    return sorted(jobs, key=lambda job: (job.day, job.site, job.start, job.uid))
