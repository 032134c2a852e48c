"""Sends the mails of a run one after another, each recorded before it leaves and after."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

from orchardcal.commands.mail_server import (
    LATER,
    NEVER,
    NOT_KNOWN,
    TAKEN,
    Answer,
    LineBroke,
    MailServer,
)
from orchardcal.errors import NotSent, StoreTrouble
from orchardcal.journal.mail_ledger import REFUSED, SENT, UNKNOWN, Mail, MailLedger

STATES = {TAKEN: SENT, NEVER: REFUSED, NOT_KNOWN: UNKNOWN}
TRIES = 2  # a line that breaks before the message is opened once more
BROKEN_IN_A_ROW = 3  # then something is wrong with the server, not with a mail


@dataclass(frozen=True)
class Ready:
    """A mail ready to go: its row, its bytes, and the address it goes to."""

    mail: Mail
    name: str
    address: str
    message: bytes


@dataclass(frozen=True)
class Outcome:
    """What became of a mail. answer: None if another run had sent it meanwhile."""

    ready: Ready
    answer: Answer | None


@dataclass(frozen=True)
class Clock:
    """now: this instant in UTC as the ledger writes it. wait: lets so many seconds pass."""

    now: Callable[[], str]
    wait: Callable[[float], None]


class LedgerClaim:
    """The claim of one mail in the ledger."""

    def __init__(self, ledger: MailLedger, mail: Mail, clock: Clock) -> None:
        self._ledger, self._mail, self._clock = ledger, mail, clock

    def made(self) -> bool:
        return self._ledger.claim(self._mail, self._clock.now())

    def taken_back(self) -> None:
        self._ledger.release(self._mail.key)


def sent(
    mails: Iterable[Ready],
    server: MailServer,
    sender: str,
    ledger: MailLedger,
    per_minute: int,
    clock: Clock,
    told: Callable[[Outcome], None],
) -> list[Outcome]:
    """Sends all of them, at most so many in a minute; told: hears of each as it is settled.

    Raises NotSent when the server cannot be used any more, StoreTrouble when the ledger cannot be
    written; what was sent until then stays recorded.
    """
    outcomes: list[Outcome] = []
    broken = 0
    for number, ready in enumerate(mails):
        if number:
            clock.wait(60 / per_minute)
        try:
            answer = _answer(ready, server, sender, LedgerClaim(ledger, ready.mail, clock))
            broken = 0
        except LineBroke as error:
            answer = Answer(LATER, f"the line broke before the message: {error}")
            broken += 1
        if answer is not None and answer.outcome in STATES:
            _settle(ready, answer, ledger, clock)
        outcomes.append(Outcome(ready, answer))
        told(outcomes[-1])
        if broken == BROKEN_IN_A_ROW:
            raise NotSent(
                f"The server broke the line {broken} times in a row; the rest was not sent.\n"
                "    Run this again later: what was sent is recorded."
            )
    return outcomes


def _answer(ready: Ready, server: MailServer, sender: str, claim: LedgerClaim) -> Answer | None:
    for again in reversed(range(TRIES)):
        try:
            return server.send(sender, ready.address, ready.message, claim)
        except LineBroke:
            if not again:
                raise
    raise AssertionError("every try has returned or raised")


def _settle(ready: Ready, answer: Answer, ledger: MailLedger, clock: Clock) -> None:
    said = "" if answer.outcome == TAKEN else answer.said
    try:
        if answer.outcome == NEVER:  # perhaps refused by the address alone, before any claim
            ledger.claim(ready.mail, clock.now())
        ledger.settle(ready.mail.key, STATES[answer.outcome], clock.now(), said)
    except StoreTrouble as trouble:
        raise StoreTrouble(
            f"{trouble}\n    The mail to {ready.name} was {answer.outcome} by the server, but that"
            " could not be recorded: the next run lists it as perhaps not arrived."
        ) from trouble


def not_sent(outcomes: Sequence[Outcome]) -> str:
    """What did not go out and why, a line each; "" if everything did."""
    words = {
        LATER: "not taken yet, tried again at the next run",
        NEVER: "refused for good; mend the address in programme.toml",
        NOT_KNOWN: "perhaps not arrived: ask, then send again with --retry-unknown",
    }
    return "\n".join(
        f"{one.ready.name}: {words[one.answer.outcome]} ({one.answer.said})"
        for one in outcomes
        if one.answer is not None and one.answer.outcome in words
    )
