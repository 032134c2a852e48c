"""The letter to the coordinator: what went out, who was passed over, what is open."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from orchardcal.care import TITLES
from orchardcal.journal.mail_ledger import REFUSED, SENT, UNKNOWN, MailItem, MailRow
from orchardcal.outputs.mail_due import Due
from orchardcal.outputs.mail_letter import DIGEST, Block, Letter
from orchardcal.outputs.mail_visit import not_ticked
from orchardcal.plan.plan import NotPlaced, Plan
from orchardcal.sentence import Listed, Sentence, Words, say

WITHOUT = {  # the kinds of what has no day about which someone could do something
    "no window": "the climate or the rules leave no time for it.",
    "passed": "its time is over.",
    "no day": "no day of its time is free.",
    "order": "no day keeps its distance from the work before it.",
    "no crew": "no crew has a place for it.",
}
LONG_OVER_DAYS = 30  # after that it is no news
UNSUBSCRIBED, NO_ADDRESS = "unsubscribed", "no address"


@dataclass(frozen=True)
class PassedOver:
    """Someone with a letter due who gets no mail, and why."""

    person: str
    name: str
    why: str
    subject: str
    items: tuple[MailItem, ...]


@dataclass(frozen=True)
class Facts:
    """What a digest tells. mails: the ledger's rows, in a preview those that would go out."""

    plan: Plan
    mails: Sequence[MailRow]
    passed_over: Sequence[PassedOver]
    open_work: Sequence[Due]
    names: Mapping[str, str]  # of people by key
    coordinator: str


@dataclass(frozen=True)
class _Line:
    """One fact: a line, and the items that make it new."""

    said: Sentence
    items: tuple[MailItem, ...]


def digest(facts: Facts) -> Letter | None:
    """The coordinator's letter, or None if each of its facts has been told before."""
    told = _told(facts)
    parts = [
        (say("What went out"), _new(_went(facts), told)),
        (say("Got no mail"), _passed_over(facts.passed_over)),
        (say("Nobody has ticked off or answered"), _open_work(facts)),
        (say("Without a day"), _not_placed(facts)),
        (say("Perhaps not arrived"), _new(_in_state(facts, UNKNOWN), told)),
        (say("Refused by the mail server"), _new(_in_state(facts, REFUSED), told)),
    ]
    items = {item for _, lines in parts for line in lines for item in line.items}
    fresh = sorted(item for item in items if item.key not in told)
    if not fresh:
        return None
    name = facts.names.get(facts.coordinator, facts.coordinator)
    blocks = [Block(text=(say("Hello {name},", name=name),)), Block(text=(_opening(facts),))]
    blocks += [
        Block(heading, points=tuple(line.said for line in lines))
        for heading, lines in parts
        if lines
    ]
    count = len(parts[0][1])
    subject = say(
        "{programme}: {count} reminder sent",
        plural="{programme}: {count} reminders sent",
        programme=facts.plan.name,
        count=count,
    )
    if not count:
        subject = say("{programme}: open work", programme=facts.plan.name)
    return Letter(facts.coordinator, DIGEST, subject, tuple(blocks), tuple(fresh))


def _opening(facts: Facts) -> Sentence:
    return say("this is how the reminders stand on {day}.", day=facts.plan.as_of)


def _told(facts: Facts) -> set[str]:
    return {
        item.key
        for row in facts.mails
        if row.mail.kind == DIGEST and row.state in (SENT, UNKNOWN)
        for item in row.mail.items
    }


def _new(lines: Iterable[_Line], told: set[str]) -> list[_Line]:
    return [line for line in lines if not {item.key for item in line.items} <= told]


def _went(facts: Facts) -> list[_Line]:
    return [
        _Line(
            say("{name}: {subject}", name=_name(facts, row), subject=row.mail.subject),
            (MailItem(f"went:{row.mail.key}"),),
        )
        for row in facts.mails
        if row.state == SENT and row.mail.kind != DIGEST
    ]


def _in_state(facts: Facts, state: str) -> list[_Line]:
    return [
        _Line(
            say(
                "{name}: {subject} ({answer})",
                name=_name(facts, row),
                subject=row.mail.subject,
                answer=row.answer,
            ),
            (MailItem(f"{state}:{row.mail.key}"),),
        )
        for row in facts.mails
        if row.state == state
    ]


def _name(facts: Facts, row: MailRow) -> str:
    return facts.names.get(row.mail.person, row.mail.person)


def _passed_over(found: Iterable[PassedOver]) -> list[_Line]:
    lines = []
    for one in found:
        text = (
            say("{name} wants no mail; tell them: {subject}", name=one.name, subject=one.subject)
            if one.why == UNSUBSCRIBED
            else say("{name} has no address: {subject}", name=one.name, subject=one.subject)
        )
        items = tuple(MailItem(f"passed over:{one.person}:{item.key}") for item in one.items)
        lines.append(_Line(text, items))
    return lines


def _open_work(facts: Facts) -> list[_Line]:
    sites = {site.site: site.name for site in facts.plan.sites}
    return [
        _Line(not_ticked(one, sites), (MailItem(f"open:{one.item.key}"),))
        for one in facts.open_work
    ]


def _not_placed(facts: Facts) -> list[_Line]:
    lines = []
    for site in facts.plan.sites:
        for entry in site.not_placed:
            if entry.kind in WITHOUT and not _long_over(entry, facts.plan.as_of):
                trees = ",".join(entry.plantings)
                key = f"without a day:{site.site}:{entry.care}:{entry.season}:{entry.kind}:{trees}"
                lines.append(_Line(_without_day(entry, site.name), (MailItem(key),)))
    return lines


def _long_over(entry: NotPlaced, as_of: date) -> bool:
    return entry.window is not None and as_of - entry.window.last > timedelta(days=LONG_OVER_DAYS)


def _without_day(entry: NotPlaced, site: str) -> Sentence:
    what = say(
        "{site}, {care}, {trees}:",
        site=site,
        care=Words(TITLES[entry.care]),
        trees=Listed(entry.plantings),
    )
    reason = say(WITHOUT[entry.kind])
    if entry.nearest is None:
        return say("{what} {reason}", what=what, reason=reason)
    return say("{what} {reason} {nearest}", what=what, reason=reason, nearest=entry.nearest)
