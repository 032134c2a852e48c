"""Mails read by programs of others: a mail parser from npm, and libical's restriction check."""

from __future__ import annotations

import base64
import json
import shutil
from datetime import date
from pathlib import Path

import pytest

from tests.clients.programs import missing, ran
from tests.outputs.test_mail_message import built, letter_on, read

pytestmark = pytest.mark.slow
CHECK = Path(__file__).resolve().parents[1] / "clients" / "libical_check.c"
PARSE = """
import { readFileSync } from "node:fs";
import { simpleParser } from "mailparser";
const mail = await simpleParser(readFileSync(process.argv[2]));
console.log(JSON.stringify({
  subject: mail.subject, to: mail.to.value, from: mail.from.value, replyTo: mail.replyTo.value,
  id: mail.messageId, date: mail.date, text: mail.text, html: mail.html,
  files: mail.attachments.map(one => ({
    type: one.contentType, name: one.filename ?? "", content: one.content.toString("base64"),
  })),
}));
"""


@pytest.fixture(scope="module")
def content() -> bytes:
    return built(letter_on(date(2027, 1, 18))[0])


def calendars(content: bytes) -> list[bytes]:
    found = []
    for part in read(content).walk():
        if part.get_content_type() == "text/calendar":
            payload = part.get_payload(decode=True)
            assert isinstance(payload, bytes)
            found.append(payload)
    return found


def test_a_mail_parser_of_others_reads_the_same(content: bytes, tmp_path: Path) -> None:
    """mailparser 3 from npm, by the authors of another mail library."""
    if shutil.which("npm") is None or shutil.which("node") is None:
        missing("node and npm are needed to read mails with mailparser")
    fetched = ran("npm", "install", "--no-audit", "--no-fund", "mailparser@3", cwd=tmp_path)
    if fetched.returncode:
        missing(f"npm could not fetch mailparser: {fetched.stderr[-300:]}")
    (tmp_path / "mail.eml").write_bytes(content)
    (tmp_path / "parse.mjs").write_text(PARSE, encoding="utf-8")
    parsed = ran("node", "parse.mjs", "mail.eml", cwd=tmp_path)
    assert parsed.returncode == 0, parsed.stderr
    found = json.loads(parsed.stdout)
    ours = read(content)
    assert found["subject"] == ours["Subject"]
    assert found["id"] == ours["Message-ID"]
    assert found["to"] == [{"address": "ada@school.example", "name": "Ada Lund"}]
    assert found["replyTo"] == [{"address": "ines@trees.example", "name": "Inés Ruta"}]
    body = ours.get_body(("plain",))
    assert body is not None
    assert found["text"].split() == body.get_content().split()
    page = ours.get_body(("html",))
    assert page is not None
    assert found["html"].split() == page.get_content().split()
    files = [base64.b64decode(one["content"]) for one in found["files"]]
    assert files == calendars(content)
    assert {one["type"] for one in found["files"]} == {"text/calendar"}


def test_libical_finds_nothing_to_restrict(content: bytes, tmp_path: Path) -> None:
    """RFC 5546 through icalrestriction_check: PUBLISH with what it needs and nothing it forbids."""
    if shutil.which("gcc") is None or shutil.which("pkg-config") is None:
        missing("gcc and pkg-config are needed to build the libical check")
    flags = ran("pkg-config", "--cflags", "--libs", "libical")
    if flags.returncode:
        missing("libical is not installed (Debian: libical-dev)")
    program = tmp_path / "libical_check"
    made = ran("gcc", "-Wall", "-o", program, CHECK, *flags.stdout.split())
    assert made.returncode == 0, made.stderr
    (tmp_path / "reminder.ics").write_bytes(calendars(content)[0])
    said = ran(program, tmp_path / "reminder.ics")
    assert said.returncode == 0, said.stdout + said.stderr
    without = b"".join(
        line + b"\r\n"
        for line in calendars(content)[0].split(b"\r\n")[:-1]
        if not line.startswith(b"ORGANIZER")
    )
    (tmp_path / "without.ics").write_bytes(without)
    assert ran(program, tmp_path / "without.ics").returncode != 0  # the check would have seen it
