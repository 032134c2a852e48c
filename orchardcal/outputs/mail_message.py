"""A letter as the bytes of a message: text, HTML and calendar in one, the same for the same input.

RFC 5322 (the message), RFC 2045-2047 (its parts), RFC 6047 (the calendar in it), RFC 3834 (sent
by a program), RFC 2369 (how to leave).
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from email import policy
from email.headerregistry import Address
from email.message import EmailMessage
from email.utils import format_datetime
from urllib.parse import quote

from orchardcal.outputs.mail_calendar import METHOD, reminder_calendar
from orchardcal.outputs.mail_html import html_letter
from orchardcal.outputs.mail_letter import Letter
from orchardcal.outputs.mail_text import one_line, plain_letter, spoken
from orchardcal.outputs.speech import Speech
from orchardcal.sites.mail_settings import address_problem

ATTACHED_AS = "reminder.ics"
LONGEST_SUBJECT = 180


@dataclass(frozen=True)
class Party:
    """A name and an address. key: how the programme calls the person, "" for none."""

    name: str
    address: str
    key: str = ""


@dataclass(frozen=True)
class Envelope:
    """Who a message is from and to. organizer: who publishes the events in it."""

    sender: Party
    to: Party
    reply_to: Party
    organizer: Party


def message(
    letter: Letter, speech: Speech, envelope: Envelope, key: str, written: datetime
) -> bytes:
    """The whole message with CRLF line ends and only ASCII bytes.

    key: the mail's in the ledger, from its content; Message-ID is made of it. written: with a
    time zone.
    """
    mail = EmailMessage(policy=policy.SMTP)
    domain = envelope.sender.address.rpartition("@")[2]
    mail["Date"] = format_datetime(written)
    mail["From"] = _address(envelope.sender)
    mail["To"] = _address(envelope.to)
    mail["Reply-To"] = _address(envelope.reply_to)
    mail["Subject"] = one_line(spoken(letter.subject, speech))[:LONGEST_SUBJECT]
    mail["Message-ID"] = f"<{key}@{domain}>"
    mail["Auto-Submitted"] = "auto-generated"  # RFC 3834 section 5
    leave = quote(f"unsubscribe {envelope.to.key}")
    mail["List-Unsubscribe"] = f"<mailto:{envelope.reply_to.address}?subject={leave}>"
    mail.set_content(plain_letter(letter, speech), cte="quoted-printable")
    mail.add_alternative(html_letter(letter, speech), subtype="html", cte="quoted-printable")
    if letter.rows:
        _add_calendar(mail, letter, envelope.organizer)
    _set_boundaries(mail, key)
    return mail.as_bytes()


def _add_calendar(mail: EmailMessage, letter: Letter, organizer: Party) -> None:
    """Last of the alternatives, and once more as a file for those who only show attachments.

    Bytes, never text: a text part would lose the line ends that RFC 5545 3.1 asks for. The
    `method` of the part is that of the calendar (RFC 6047 2.4).
    """
    calendar = reminder_calendar(letter.rows, organizer.name, organizer.address)
    params = {"method": METHOD, "charset": "utf-8"}
    mail.add_alternative(
        calendar, "text", "calendar", cte="base64", params={**params, "component": "VEVENT"}
    )
    mail.add_attachment(
        calendar, "text", "calendar", cte="base64", params=params, filename=ATTACHED_AS
    )


def _address(party: Party) -> Address:
    """Never a letter outside ASCII, which the library would encode into an address of nobody."""
    if address_problem(party.address, party.key) is not None:
        raise ValueError(f"the address of {party.key or 'the sender'} cannot stand in a mail")
    name, domain = party.address.rsplit("@", 1)
    return Address(one_line(party.name), name, domain)


def _set_boundaries(mail: EmailMessage, key: str) -> None:
    """Boundaries from the content, where the library would draw random ones.

    Every text part is encoded, so that "=_" can stand in none of them (RFC 2045 6.7).
    """
    for number, part in enumerate(mail.walk()):
        if part.is_multipart():
            part.set_boundary(f"=_{key}_{number}")
