"""Who gets which letter as of a day: leads, volunteers, then the coordinator."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from orchardcal.care import WORK_DAY
from orchardcal.commands.mail_sending import Ready
from orchardcal.errors import BadFiles, Problem, Problems, Spot
from orchardcal.journal.mail_ledger import (
    REFUSED,
    Mail,
    MailRow,
    address_mark,
    mail_key,
)
from orchardcal.journal.published import Published
from orchardcal.outputs.mail_digest import (
    NO_ADDRESS,
    UNSUBSCRIBED,
    Facts,
    PassedOver,
    digest,
)
from orchardcal.outputs.mail_due import (
    DAYS_BEFORE,
    NOT_TICKED,
    Due,
    due,
    never_ticked,
    not_yet_told,
)
from orchardcal.outputs.mail_lead import Setting, letter
from orchardcal.outputs.mail_letter import LEAD, VOLUNTEERS, Letter
from orchardcal.outputs.mail_message import Envelope, Party, message
from orchardcal.outputs.mail_text import spoken
from orchardcal.outputs.speech import Speech, UnknownLanguage, languages
from orchardcal.plan.plan import OVERDUE, Plan
from orchardcal.plan.pruning_card import PruningCard, pruning_cards
from orchardcal.sites.mail_settings import address_problem
from orchardcal.sites.site import Person, Programme
from orchardcal.species.rules import SpeciesRules


@dataclass(frozen=True)
class Letters:
    """ready: in the order to send. passed_over: those who get no mail, for the coordinator."""

    ready: tuple[Ready, ...]
    passed_over: tuple[PassedOver, ...]


class Office:
    """Writes the letters of one run. rows: the feeds' events. written: the Date of every mail."""

    def __init__(
        self,
        programme: Programme,
        plan: Plan,
        rules: dict[str, SpeciesRules],
        rows: Sequence[Published],
        written: datetime,
    ) -> None:
        self._programme, self._plan, self._written = programme, plan, written
        self._rows = {row.uid: row for row in rows}
        self._speeches: dict[tuple[str, str], Speech] = {}
        self._coordinator = _coordinator(programme)
        reply_to = programme.people.get(programme.mail.reply_to, self._coordinator)
        self._reply_to = reply_to if reply_to.email else self._coordinator
        self._setting = Setting(
            plan,
            {site.key: site.spray for site in programme.sites},
            self._reply_to.name,
            _cards(programme, plan, rules),
        )
        self._days_before: Mapping[str, Sequence[int]] = {
            **DAYS_BEFORE,
            **dict(programme.mail.days_before),
        }
        self._refuse_what_cannot_be_written()

    @property
    def sender(self) -> str:
        return self._programme.mail.sender or self._coordinator.email

    @property
    def bounces(self) -> str:
        return self._programme.mail.bounces or self.sender

    def letters(self, mails: Sequence[MailRow]) -> Letters:
        """What is due to leads and volunteers. mails: the ledger."""
        ready: list[Ready] = []
        passed_over: list[PassedOver] = []
        for person, kind in self._readers():
            written = letter(
                person.key, person.name, kind, self._due(person, kind, mails), self._setting
            )
            if written is None:
                continue
            if person.mail and person.email:
                ready.append(self._ready(written, person))
            else:
                subject = spoken(written.subject, self._speech(self._coordinator))
                why = NO_ADDRESS if person.mail else UNSUBSCRIBED
                passed_over.append(PassedOver(person.key, person.name, why, subject, written.items))
        return Letters(tuple(ready), tuple(passed_over))

    def digest(self, mails: Sequence[MailRow], passed_over: Sequence[PassedOver]) -> Ready | None:
        """The coordinator's letter, None if there is nothing new or they want no mail."""
        facts = Facts(
            self._plan,
            mails,
            passed_over,
            self._open_work(),
            {person.key: person.name for person in self._programme.people.values()},
            self._coordinator.key,
        )
        written = digest(facts)
        if written is None or not self._coordinator.mail:
            return None
        return self._ready(written, self._coordinator)

    def _refuse_what_cannot_be_written(self) -> None:
        """Every person's language must have texts, and every address must be deliverable."""
        problems = Problems()
        for person in self._programme.people.values():
            try:
                self._speech(person)
            except UnknownLanguage:
                problems.add(
                    Spot("programme.toml"),
                    f'the language of "{person.key}" is "{person.language}", which has no texts',
                    f"Write one of: {', '.join(languages())}.",
                )
            wrong = address_problem(person.email, person.key) if person.email else None
            if wrong is not None:
                problems.add(Spot("programme.toml"), *wrong)
        problems.raise_if_any()

    def _readers(self) -> list[tuple[Person, str]]:
        people = self._programme.people
        leads = dict.fromkeys(site.lead or self._coordinator.key for site in self._programme.sites)
        volunteers = dict.fromkeys(self._programme.mail.volunteers)
        return [
            *((people[key], LEAD) for key in sorted(leads)),
            *((people[key], VOLUNTEERS) for key in sorted(volunteers) if key in people),
        ]

    def _due(self, person: Person, kind: str, mails: Sequence[MailRow]) -> tuple[Due, ...]:
        mark = address_mark(person.email)
        told = [
            row
            for row in mails
            if (row.mail.person, row.mail.kind) == (person.key, kind)
            and (row.state != REFUSED or row.mail.address_mark == mark)
        ]
        sites = {
            site.key
            for site in self._programme.sites
            if (site.lead or self._coordinator.key) == person.key
        }
        jobs = [
            job
            for job in self._plan.jobs
            if (job.open_to_volunteers if kind == VOLUNTEERS else job.site in sites)
        ]
        steps = self._days_before
        if kind == VOLUNTEERS:  # whatever the work: it is a work day to them
            steps = dict.fromkeys((job.care for job in jobs), steps[WORK_DAY])
        found = due(jobs, self._rows, told, self._plan.as_of, steps)
        if kind == VOLUNTEERS:
            return tuple(one for one in found if one.kind != NOT_TICKED)
        planned = {job.uid for job in self._plan.jobs}
        past = never_ticked(self._rows.values(), planned, sites, self._plan.as_of)
        return (*found, *not_yet_told(past, told))

    def _open_work(self) -> tuple[Due, ...]:
        """Everything nobody ticked off, at all sites, told before or not."""
        jobs = [job for job in self._plan.jobs if job.state == OVERDUE]
        overdue = due(jobs, self._rows, (), self._plan.as_of, {})
        planned = {job.uid for job in self._plan.jobs}
        sites = {site.key for site in self._programme.sites}
        past = never_ticked(self._rows.values(), planned, sites, self._plan.as_of)
        return (*(one for one in overdue if one.kind == NOT_TICKED), *past)

    def _ready(self, written: Letter, person: Person) -> Ready:
        speech = self._speech(person)
        key = mail_key(person.key, person.email, written.kind, written.items)
        envelope = Envelope(
            sender=Party(self._programme.name, self.sender),
            to=Party(person.name, person.email, person.key),
            reply_to=_party(self._reply_to),
            organizer=_party(self._coordinator),
        )
        mail = Mail(
            key=key,
            person=person.key,
            kind=written.kind,
            subject=spoken(written.subject, speech),
            as_of=self._plan.as_of,
            items=written.items,
            address_mark=address_mark(person.email),
        )
        content = message(written, speech, envelope, key, self._written)
        return Ready(mail, person.name, person.email, content)

    def _speech(self, person: Person) -> Speech:
        wanted = (person.language, person.units)
        if wanted not in self._speeches:
            self._speeches[wanted] = Speech(*wanted)
        return self._speeches[wanted]


def _party(person: Person) -> Party:
    return Party(person.name, person.email, person.key)


def _cards(
    programme: Programme, plan: Plan, rules: dict[str, SpeciesRules]
) -> dict[str, tuple[PruningCard, ...]]:
    """How to prune in few words, by the UID of the job."""
    trees = {site.key: {one.id: one for one in site.plantings} for site in programme.sites}
    return {job.uid: pruning_cards(job, trees[job.site], rules) for job in plan.jobs}


def _coordinator(programme: Programme) -> Person:
    """Who publishes the events and hears answers: needed, with an address."""
    person = programme.people.get(programme.coordinator)
    if person is None or not person.email:
        what = "no coordinator with an address is named, whom answers would reach"
        instead = 'Write coordinator = "maren" and [people.maren] with name and email.'
        raise BadFiles([Problem(Spot("programme.toml"), what, instead)])
    return person
