"""The message itself against the standards of mail, read back by other programs."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import UTC, date, datetime
from email import message_from_bytes, policy
from email.message import EmailMessage
from email.utils import parsedate_to_datetime

import pytest
from hypothesis import example, given
from hypothesis import strategies as st
from ical.calendar_stream import IcsCalendarStream
from icalendar import Calendar

from orchardcal.care import SPRAY_NOTICE
from orchardcal.journal.mail_ledger import mail_key
from orchardcal.journal.published import Published
from orchardcal.outputs.feed import feeds, published
from orchardcal.outputs.mail_due import due
from orchardcal.outputs.mail_lead import Setting, letter
from orchardcal.outputs.mail_letter import LEAD, Letter
from orchardcal.outputs.mail_message import Envelope, Party, message
from orchardcal.outputs.mail_text import plain_letter
from orchardcal.outputs.speech import Speech
from orchardcal.plan.plan import Before, Job, Plan, SitePlan
from orchardcal.sentence import say
from orchardcal.sites.site import SprayRule
from tests.outputs.invented_plan import (
    AS_OF,
    LARKFIELD,
    PAINT,
    PLAN,
    PRUNE,
    PRUNE_UID,
    SPRAY,
    with_job,
)

ENGLISH = Speech("en", "metric")
WRITTEN = datetime(2026, 12, 20, 7, 30, tzinfo=UTC)
SENDER = Party("Two Orchards", "orchards@trees.example")
INES = Party("Inés Ruta", "ines@trees.example", "ines")
ADA = Party("Ada Lund", "ada@school.example", "ada")
ENVELOPE = Envelope(SENDER, ADA, INES, INES)
NOTICE = replace(
    SPRAY,
    uid="6f1c2a54-7d0b-5b6e-9f0e-0a4a1f7e0009",
    care=SPRAY_NOTICE,
    day=date(2027, 1, 19),
    title=say("Spray notice: {trees}", trees="4 apples"),
    befores=(),
)
ANNOUNCED = replace(SPRAY, befores=(Before(PAINT.uid, 48), Before(NOTICE.uid, 72)))


def with_notice(plan: Plan = PLAN) -> Plan:
    site = replace(LARKFIELD, jobs=(PRUNE, PAINT, NOTICE, ANNOUNCED))
    return replace(plan, sites=(site, *plan.sites[1:]))


def letter_on(
    day: date, plan: Plan | None = None, name: str = "Ada Lund"
) -> tuple[Letter, tuple[Published, ...]]:
    """The letter to Larkfield's lead as of a day, and what the feeds hold."""
    plan = replace(plan or with_notice(), as_of=day)
    rows = published(replace(plan, as_of=AS_OF), (), ENGLISH)
    jobs: list[Job] = list(plan.sites[0].jobs)
    found = due(jobs, {row.uid: row for row in rows}, (), day, {})
    made = letter(
        "ada", name, LEAD, found, Setting(plan, {"larkfield": SprayRule()}, "Inés Ruta", {})
    )
    assert made is not None
    return made, rows


def built(made: Letter, envelope: Envelope = ENVELOPE, speech: Speech = ENGLISH) -> bytes:
    key = mail_key("ada", envelope.to.address, made.kind, made.items)
    return message(made, speech, envelope, key, WRITTEN)


def read(content: bytes) -> EmailMessage:
    parsed = message_from_bytes(content, policy=policy.default)
    assert isinstance(parsed, EmailMessage)
    assert [part.defects for part in parsed.walk() if part.defects] == []
    return parsed


@pytest.fixture(scope="module")
def content() -> bytes:
    return built(letter_on(date(2027, 1, 2))[0])


def test_the_parts_stand_as_mail_programs_need_them(content: bytes) -> None:
    """RFC 2046 5.1.4: the richest alternative last; RFC 6047 2.4: the method in the type."""
    mail = read(content)
    assert [part.get_content_type() for part in mail.walk()] == [
        "multipart/mixed",
        "multipart/alternative",
        "text/plain",
        "text/html",
        "text/calendar",
        "text/calendar",
    ]
    shown, attached = [one for one in mail.walk() if one.get_content_type() == "text/calendar"]
    assert (shown.get_content_disposition(), attached.get_content_disposition()) == (
        None,
        "attachment",
    )
    assert attached.get_filename() == "reminder.ics"
    for part in (shown, attached):
        assert part.get_param("method") == "PUBLISH"
        assert part.get_content_charset() == "utf-8"
        assert part["Content-Transfer-Encoding"] == "base64"
    assert shown.get_payload(decode=True) == attached.get_payload(decode=True)


def test_the_headers(content: bytes) -> None:
    """RFC 5322 3.6; RFC 3834 section 5; RFC 2369 3.2."""
    mail = read(content)
    assert parsedate_to_datetime(mail["Date"]) == WRITTEN
    assert re.fullmatch(r"<[0-9a-f]{40}@trees\.example>", mail["Message-ID"])
    assert mail["Auto-Submitted"] == "auto-generated"
    assert str(mail["Reply-To"]) == "Inés Ruta <ines@trees.example>"
    assert mail["List-Unsubscribe"] == "<mailto:ines@trees.example?subject=unsubscribe%20ada>"
    assert mail["Subject"] == "Sat 9 Jan 2027, Larkfield School: Dormant pruning"
    for once in ("From", "To", "Subject", "Date", "Message-ID", "Reply-To"):
        assert len(mail.get_all(once)) == 1


def test_the_lines_are_those_of_the_standard(content: bytes) -> None:
    """RFC 5322 2.1.1: CRLF and at most 998 octets, better 78; RFC 5321 2.4: 7-bit."""
    assert content.endswith(b"\r\n")
    assert content.count(b"\n") == content.count(b"\r\n") == content.count(b"\r")
    assert max(len(line) for line in content.split(b"\r\n")) <= 78
    assert max(content) < 128


def test_the_same_letter_gives_the_same_bytes(content: bytes) -> None:
    assert built(letter_on(date(2027, 1, 2))[0]) == content


def test_the_events_are_those_of_the_feed_but_for_the_organizer(content: bytes) -> None:
    """RFC 5546 3.2.1: PUBLISH needs an ORGANIZER; UID, SEQUENCE and all else as subscribed to."""
    _, rows = letter_on(date(2027, 1, 2))
    feed = feeds(with_notice(), rows, ENGLISH)["sites/larkfield.ics"]
    calendar = _calendar(content)
    events = re.findall(rb"BEGIN:VEVENT\r\n.*?END:VEVENT\r\n", calendar, re.DOTALL)
    assert len(events) == 1
    organizer = 'ORGANIZER;CN="Inés Ruta":mailto:ines@trees.example\r\n'.encode()
    assert organizer in events[0]
    assert events[0].replace(organizer, b"") in feed
    assert f"UID:{PRUNE_UID}\r\n".encode() in events[0]
    assert calendar.count(b"METHOD:PUBLISH\r\n") == 1
    assert max(len(line) for line in calendar.split(b"\r\n")) <= 75  # RFC 5545 3.1


def test_two_other_readers_accept_the_calendar(content: bytes) -> None:
    """icalendar and the stricter `ical`; libical and a mail program's parser in the slow tests."""
    text = _calendar(content).decode()
    (event,) = Calendar.from_ical(text).walk("VEVENT")
    assert str(event["UID"]) == PRUNE_UID
    assert str(event["ORGANIZER"]) == "mailto:ines@trees.example"
    stream = IcsCalendarStream.from_ics(text)
    assert [one.uid for one in stream.calendars[0].events] == [PRUNE_UID]


def test_the_plain_part_is_complete_and_narrow() -> None:
    made, _ = letter_on(date(2027, 1, 2))
    lines = plain_letter(made, ENGLISH).splitlines()
    assert max(len(line) for line in lines) < 78
    text = " ".join(" ".join(lines).split())
    for said in (
        "Sat 9 Jan 2027, 09:30 to 12:10: Larkfield School",
        "Dormant pruning: 4 apples and 2 pears",
        "Leaves were down by Sun 20 Dec 2026 in 27 of 30 winters.",
        "Head the laterals about 30 cm beyond the lowest spur.",
        "Two loppers, alcohol and rags; 0.6 L of paint.",
        "Paint the bared bark by Sat 23 Jan 2027.",
        "Pupils use hand pruners on the ground only.",
        "Your answer to this mail reaches Inés Ruta.",
    ):
        assert said in text


def test_a_notice_to_print_has_day_hours_and_re_entry() -> None:
    """Times from the site's rule: up 24 h before, down 72 h after (California Education Code
    17612, as the Healthy Schools Act is summed up); the spraying is on 23 Jan, 10 to 11."""
    made, _ = letter_on(date(2027, 1, 18))
    text = " ".join(plain_letter(made, ENGLISH).replace("|", " ").split())
    assert "NOTICE: SPRAYING OF FRUIT TREES" in text
    assert "On Sat 23 Jan 2027 from 10:00 to 11:00, if the weather suits" in text
    assert "at least until 11:00 on Sun 24 Jan 2027" in text
    assert "from 10:00 on Fri 22 Jan 2027 to 11:00 on Tue 26 Jan 2027" in text
    assert "re-entry time of the label" in text
    framed = [line for line in plain_letter(made, ENGLISH).splitlines() if line[:1] in "+|"]
    assert {len(line) for line in framed if line} == {76}


HOSTILE = (
    'Eve\r\nBcc: all@trees.example\r\n\r\nBEGIN:VEVENT <script>alert(1)</script> \u202e,"<x@y>'
)


def test_nobody_can_add_headers_recipients_lines_or_markup() -> None:
    """RFC 5322 2.2; every text a person can write, full of what would mean something elsewhere."""
    job = replace(PRUNE, title=say("{what}", what=HOSTILE), do=(say("{note}", note=HOSTILE),))
    site: SitePlan = replace(LARKFIELD, name=HOSTILE, where=HOSTILE, jobs=(job,))
    plan = replace(with_job(PLAN, job), sites=(site,), name=HOSTILE)
    made, _ = letter_on(date(2027, 1, 2), plan, HOSTILE)
    party = Party(HOSTILE, "ada@school.example", "ada")
    content = built(made, Envelope(replace(SENDER, name=HOSTILE), party, party, party))
    mail = read(content)
    assert "Bcc" not in mail
    assert [one.addr_spec for one in mail["To"].addresses] == ["ada@school.example"]
    assert [one.addr_spec for one in mail["From"].addresses] == ["orchards@trees.example"]
    html = mail.get_body(("html",)).get_content()  # type: ignore[union-attr]
    assert "<script" not in html
    assert "\u202e" not in html
    assert _calendar(content).count(b"\r\nBEGIN:VEVENT\r\n") == 1
    plain = mail.get_body(("plain",)).get_content()  # type: ignore[union-attr]
    assert not any(line.startswith(("Bcc:", "BEGIN:")) for line in plain.splitlines())


@given(st.text(max_size=80))
@example("Lund, Ada")
@example('Ada "Apple" Lund')
@example("Ада Лунд, школьный сад и все его друзья за забором у реки")
@example("=?utf-8?q?x?=")
def test_any_name_comes_back_with_one_address(name: str) -> None:
    """RFC 5322 3.4, RFC 2047 section 5: quoted or encoded, but the address stays the address."""
    made = Letter("ada", LEAD, say("{what}", what=name), (), ())
    mail = read(built(made, Envelope(SENDER, replace(ADA, name=name), INES, INES)))
    (to,) = mail["To"].addresses
    assert to.addr_spec == "ada@school.example"


@pytest.mark.parametrize("address", ["zoë@school.example", "zoe@schüle.example", "a@b@c"])
def test_an_address_outside_ascii_is_never_written(address: str) -> None:
    """RFC 6531 would need servers that all take it; refused when read, and here once more."""
    made, _ = letter_on(date(2027, 1, 2))
    with pytest.raises(ValueError, match="cannot stand in a mail"):
        built(made, replace(ENVELOPE, to=Party("Zoë", address, "zoe")))


def _calendar(content: bytes) -> bytes:
    (part,) = [
        one
        for one in read(content).walk()
        if one.get_content_type() == "text/calendar" and one.get_content_disposition() is None
    ]
    payload = part.get_payload(decode=True)
    assert isinstance(payload, bytes)
    return payload
