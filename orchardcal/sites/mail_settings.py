"""How mail leaves the programme: the [mail] table of programme.toml, never a password."""

from __future__ import annotations

import re
from collections.abc import Collection
from dataclasses import dataclass

from orchardcal.care import TITLES
from orchardcal.errors import known
from orchardcal.sites.toml_table import TomlTable

STARTTLS, TLS, NONE = "starttls", "tls", "none"
SECURITY = (STARTTLS, TLS, NONE)
PORTS = {STARTTLS: 587, TLS: 465, NONE: 25}  # RFC 6409 section 3.1, RFC 8314 section 3.3, RFC 5321
THIS_MACHINE = ("localhost", "127.0.0.1", "::1")
PASSWORD_VARIABLE = "ORCHARDCAL_MAIL_PASSWORD"
MOST_DAYS_BEFORE = 120

# RFC 5322 3.2.3 and 3.4.1: a dot-atom on the left; RFC 1123 2.1: letters, digits and hyphens.
_ATOM = r"[A-Za-z0-9!#$%&'*+/=?^_`{|}~-]+"
_LABEL = r"[A-Za-z0-9](?:[A-Za-z0-9-]*[A-Za-z0-9])?"
_ADDRESS = re.compile(rf"{_ATOM}(?:\.{_ATOM})*@{_LABEL}(?:\.{_LABEL})*")
LONGEST_LOCAL_PART, LONGEST_ADDRESS = 64, 254  # RFC 5321 4.5.3.1.1 and .3 (less its two brackets)


@dataclass(frozen=True)
class MailSettings:
    """server: "" while there is none: mail is then only written as files.

    sender: the address in From, "" for the coordinator's. bounces: where the server reports what
    could not be delivered, "" for the sender. reply_to: a key of the people, "" for the
    coordinator. volunteers: keys of the people (a mailing list is one too) who get work days.
    password_file: beside programme.toml unless absolute. days_before: (care, days) where not usual.
    """

    server: str = ""
    port: int = 587
    security: str = STARTTLS
    user: str = ""
    password_file: str = ""
    sender: str = ""
    bounces: str = ""
    reply_to: str = ""
    volunteers: tuple[str, ...] = ()
    per_minute: int = 30
    per_connection: int = 50
    timeout_s: float = 60.0
    days_before: tuple[tuple[str, tuple[int, ...]], ...] = ()


def address_problem(address: str, whose: str) -> tuple[str, str] | None:
    """What is wrong with a mail address and what to write instead; names its owner, not it.

    >>> address_problem("ada@school.example", "ada") is None
    True
    >>> address_problem("zoë@school.example", "zoe")[0]
    'the address of "zoe" holds a letter outside ASCII'
    """
    if not address.isascii():
        return (
            f'the address of "{whose}" holds a letter outside ASCII',
            "Not every mail server can deliver there: write an address in plain letters, and the"
            " name after @ in its xn-- form.",
        )
    local = address.partition("@")[0]
    too_long = len(local) > LONGEST_LOCAL_PART or len(address) > LONGEST_ADDRESS
    if too_long or not _ADDRESS.fullmatch(address):
        return (
            f'the address of "{whose}" is no mail address',
            "Write it as name@example.org, one address.",
        )
    return None


def mail_settings(table: TomlTable, people: Collection[str]) -> MailSettings:
    """The [mail] table of the programme; the usual settings where there is none."""
    mail = table.table("mail")
    if mail is None:
        return MailSettings()
    if "password" in mail:
        mail.raw("password")
        mail.wrong(
            "password",
            "a password stands in programme.toml",
            f"Take it out and change it: others may have read it. Give it in the environment as"
            f" {PASSWORD_VARIABLE}, or in a file that only you can read: password_file.",
        )
    security = mail.choice("security", SECURITY, STARTTLS)
    server = mail.text("server", lines=False)
    user = mail.text("user", lines=False)
    if security == NONE and (user or server not in THIS_MACHINE):
        mail.wrong(
            "security",
            'security is "none", so mail and password would travel in the open',
            'Write "starttls" or "tls"; without either only a server on this machine, without'
            " user, will do.",
        )
    settings = MailSettings(
        server=server,
        port=mail.whole("port", 1, 65535, PORTS[security]),
        security=security,
        user=user,
        password_file=mail.text("password_file", lines=False),
        sender=_address(mail, "sender"),
        bounces=_address(mail, "bounces"),
        reply_to=_person(mail, "reply_to", mail.text("reply_to", lines=False), people),
        volunteers=tuple(_person(mail, "volunteers", key, people) for key in _keys(mail)),
        per_minute=mail.whole("per_minute", 1, 6000, 30),
        per_connection=mail.whole("per_connection", 1, 1000, 50),
        timeout_s=mail.number("timeout_s", 0.1, 600) or 60.0,
        days_before=_days_before(mail),
    )
    mail.refuse_unknown_keys()
    return settings


def _address(mail: TomlTable, key: str) -> str:
    address = mail.text(key, lines=False)
    problem = address_problem(address, key) if address else None
    if problem is not None:
        mail.wrong(key, *problem)
        return ""
    return address


def _person(mail: TomlTable, key: str, person: str, people: Collection[str]) -> str:
    if person and person not in people:
        mail.wrong(
            key, f'{key} names "{person}", nobody under [people]', known("people", person, people)
        )
        return ""
    return person


def _keys(mail: TomlTable) -> tuple[str, ...]:
    value = mail.raw("volunteers")
    if value is None:
        return ()
    if not isinstance(value, list) or not all(isinstance(one, str) for one in value):
        mail.wrong(
            "volunteers",
            "volunteers is no list of people",
            'Write keys of [people] in brackets: volunteers = ["helpers"].',
        )
        return ()
    return tuple(value)


def _days_before(mail: TomlTable) -> tuple[tuple[str, tuple[int, ...]], ...]:
    table = mail.table("days_before")
    if table is None:
        return ()
    found = []
    for care in table.values:
        value = table.raw(care)
        if care not in TITLES:
            table.wrong(care, f'"{care}" is no care', known("cares", care, TITLES))
        elif not _are_days(value):
            table.wrong(
                care,
                f"{care} is no list of days",
                f"Write how many days before, 0 to {MOST_DAYS_BEFORE}: {care} = [21, 7, 1].",
            )
        else:
            found.append((care, tuple(sorted(set(value), reverse=True))))
    return tuple(found)


def _are_days(value: object) -> bool:
    return isinstance(value, list) and all(
        isinstance(one, int) and not isinstance(one, bool) and 0 <= one <= MOST_DAYS_BEFORE
        for one in value
    )
