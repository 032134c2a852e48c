"""Mail through a real server: what arrives, what is recorded, and every way it can go wrong."""

from __future__ import annotations

import re
import ssl
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest
import trustme

from orchardcal.errors import StoreTrouble
from orchardcal.journal.mail_ledger import (
    REFUSED,
    SENT,
    UNKNOWN,
    Mail,
    MailLedger,
    sole_sender,
)
from orchardcal.sites.mail_settings import PASSWORD_VARIABLE
from tests.commands.reminding_folder import Reminding
from tests.mail.post_office import SECRET, Faults, PostOffice, free_port, mail_table

Made = Callable[..., Reminding]
ADA, MOANA, INES = "ada@larkfield.example", "moana@kereru.example", "ines@orchards.example"


def addresses(office: PostOffice) -> list[str]:
    return [one.to for one in office.arrived]


def states(folder: Reminding) -> dict[str, str]:
    return {f"{row.mail.person} {row.mail.kind}": row.state for row in folder.mails()}


def test_each_lead_gets_one_mail_and_the_coordinator_the_digest(
    reminding: Made, post_office: PostOffice
) -> None:
    folder = reminding()
    said = folder.remind("--send")
    assert said.code == 0, said.err
    assert addresses(post_office) == [ADA, MOANA, INES]
    assert all(post_office.encrypted)
    assert post_office.logins == [True]
    assert states(folder) == {"ada lead": SENT, "moana lead": SENT, "ines digest": SENT}
    assert "No mail to Dale Quill (unsubscribed)" in said.err
    assert "Dale Quill wants no mail" in _plain(post_office.arrived[2].message)


def test_nothing_goes_twice(reminding: Made, post_office: PostOffice) -> None:
    folder = reminding()
    folder.remind("--send")
    first = len(post_office.arrived)
    again = folder.remind("--send")
    assert (again.code, again.out) == (0, "Nothing to say today.\n")
    assert len(post_office.arrived) == first


def test_the_same_day_written_to_files_sends_and_records_nothing(
    reminding: Made, post_office: PostOffice
) -> None:
    folder = reminding()
    box = folder.path / "box"
    first = folder.remind("--outbox", str(box))
    names = sorted(path.name for path in box.iterdir())
    contents = [path.read_bytes() for path in sorted(box.iterdir())]
    second = folder.remind("--outbox", str(box))
    assert (first.code, second.out) == (0, first.out)
    assert [path.read_bytes() for path in sorted(box.iterdir())] == contents
    assert len(names) == 3
    assert post_office.arrived == []
    assert folder.mails() == ()
    assert folder.remind("--send").code == 0
    assert len(post_office.arrived) == 3


def test_a_moved_date_makes_a_new_mail_that_says_so(
    reminding: Made, post_office: PostOffice
) -> None:
    folder = reminding()
    folder.remind("--send")
    before = len(post_office.arrived)
    site = folder.path / "kereru" / "site.toml"
    closure = '[[closure]]\nname = "Repairs"\nfirst = 2027-01-18\nlast = 2027-02-07\n'
    site.write_text(site.read_text(encoding="utf-8") + closure, encoding="utf-8")
    stale = folder.remind("--send")
    assert stale.code == 3
    assert "orchardcal season" in stale.err
    assert len(post_office.arrived) == before
    assert folder.season().code == 0
    assert folder.remind("--send").code == 0
    (mail,) = [one for one in post_office.arrived[before:] if one.to == MOANA]
    text = " ".join(_plain(mail.message).split())
    assert "Changed since your last mail" in text
    assert re.search(r"In-leaf pruning: moved from \w+ \d+ Jan 2027 to \w+ \d+ Feb 2027\.", text)


def test_one_connection_carries_as_many_mails_as_set(
    reminding: Made, post_office: PostOffice
) -> None:
    post_office.connections = 0
    assert reminding("per_connection = 1").remind("--send").code == 0
    assert post_office.connections == 3


def test_so_many_mails_a_minute_and_no_more(
    reminding: Made, post_office: PostOffice, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Ten a minute are six seconds from one to the next; the pauses are noted, not waited for."""
    pauses: list[float] = []
    folder = reminding()
    text = (folder.path / "programme.toml").read_text(encoding="utf-8")
    (folder.path / "programme.toml").write_text(text.replace("6000", "10"), encoding="utf-8")
    monkeypatch.setattr("orchardcal.commands.remind.time.sleep", pauses.append)
    assert folder.remind("--send").code == 0
    assert pauses == [6.0, 6.0]
    assert len(post_office.arrived) == 3


def test_the_server_is_down(reminding: Made, post_office: PostOffice) -> None:
    folder = reminding()
    text = (folder.path / "programme.toml").read_text(encoding="utf-8")
    nobody = text.replace(f"port = {post_office.port}", f"port = {free_port()}")
    (folder.path / "programme.toml").write_text(nobody, encoding="utf-8")
    said = folder.remind("--send")
    assert said.code == 4
    assert "cannot be reached" in said.err
    assert folder.mails() == ()
    (folder.path / "programme.toml").write_text(text, encoding="utf-8")
    assert folder.remind("--send").code == 0
    assert addresses(post_office) == [ADA, MOANA, INES]


def test_the_login_is_refused(
    reminding: Made, post_office: PostOffice, monkeypatch: pytest.MonkeyPatch
) -> None:
    """RFC 4954 section 6: 535."""
    folder = reminding()
    monkeypatch.setenv(PASSWORD_VARIABLE, "wrong-Secret-9")
    said = folder.remind("--send")
    assert said.code == 4
    assert "refused the user orchards: 535" in said.err
    assert "wrong-Secret-9" not in said.out + said.err
    assert (folder.mails(), post_office.arrived) == ((), [])


def test_a_certificate_nobody_vouches_for(
    reminding: Made, post_office: PostOffice, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.delenv("SSL_CERT_FILE")
    folder = reminding()
    said = folder.remind("--send")
    assert said.code == 4
    assert "certificate that is not trusted" in said.err
    assert (folder.mails(), post_office.arrived, post_office.logins) == ((), [], [])


def test_a_certificate_for_another_name(
    reminding: Made, post_office: PostOffice, authority: tuple[trustme.CA, Path]
) -> None:
    context = ssl.create_default_context(ssl.Purpose.CLIENT_AUTH)
    authority[0].issue_cert("elsewhere.example").configure_cert(context)
    post_office._given = context
    said = reminding().remind("--send")
    assert said.code == 4
    assert "certificate that is not trusted" in said.err
    assert post_office.arrived == []


@pytest.mark.parametrize("fault", ["after_rcpt", "at_data"])
def test_a_line_cut_once_before_the_message_is_opened_anew(
    reminding: Made, post_office: PostOffice, fault: str
) -> None:
    folder = reminding()
    setattr(post_office.faults, fault, 1)
    said = folder.remind("--send")
    assert said.code == 0, said.err
    assert addresses(post_office) == [ADA, MOANA, INES]
    assert set(states(folder).values()) == {SENT}


@pytest.mark.parametrize("fault", ["after_rcpt", "at_data"])
def test_a_line_always_cut_before_the_message_leaves_no_trace(
    reminding: Made, post_office: PostOffice, fault: str
) -> None:
    """Nothing of the mails left, so all of them are due at the next run."""
    folder = reminding()
    setattr(post_office.faults, fault, -1)
    said = folder.remind("--send")
    assert said.code == 4
    assert folder.mails() == ()
    setattr(post_office.faults, fault, 0)
    assert folder.remind("--send").code == 0
    assert addresses(post_office) == [ADA, MOANA, INES]


@pytest.mark.parametrize(
    ("fault", "kept"), [("in_data", False), ("before_250", True), ("before_250", False)]
)
def test_a_line_cut_in_the_message_leaves_it_unknown(
    reminding: Made, post_office: PostOffice, fault: str, kept: bool
) -> None:
    """RFC 5321 6.1: only the 250 hands a mail over; without it nobody here can know."""
    folder = reminding()
    post_office.faults = Faults(keeps_what_it_cuts=kept)
    setattr(post_office.faults, fault, 1)
    said = folder.remind("--send")
    assert said.code == 4
    assert "Perhaps not arrived: Ada Lund" in said.err
    assert states(folder)["ada lead"] == UNKNOWN
    assert addresses(post_office).count(ADA) == int(kept)
    assert addresses(post_office)[-2:] == [MOANA, INES]
    digest = " ".join(_plain(post_office.arrived[-1].message).split())
    assert "Perhaps not arrived" in digest

    again = folder.remind("--send")
    assert again.code == 0
    assert "Perhaps not arrived: Ada Lund" in again.err
    assert addresses(post_office).count(ADA) == int(kept)

    asked = folder.remind("--send", "--retry-unknown")
    assert asked.code == 0
    assert addresses(post_office).count(ADA) == int(kept) + 1
    assert "Perhaps not" not in asked.err
    ids = {one.message["Message-ID"] for one in post_office.arrived if one.to == ADA}
    assert len(ids) == 1  # a mail that did arrive can be told by its Message-ID: RFC 5322 3.6.4


def test_an_answer_that_comes_too_late(reminding: Made, post_office: PostOffice) -> None:
    folder = reminding("", ("", ""))
    text = (folder.path / "programme.toml").read_text(encoding="utf-8")
    text = text.replace("timeout_s = 5", "timeout_s = 0.1")  # ten times that for the last answer
    (folder.path / "programme.toml").write_text(text, encoding="utf-8")
    post_office.faults.slow_s = 2.0
    said = folder.remind("--send")
    assert said.code == 4
    assert "no answer in time" in said.err
    assert states(folder)["ada lead"] == UNKNOWN


@pytest.mark.parametrize("where", ["rcpt_answers", "data_answers"])
def test_a_temporary_refusal_is_tried_again_and_the_rest_go_on(
    reminding: Made, post_office: PostOffice, where: str
) -> None:
    """RFC 5321 4.2.1: 4yz, the client should try again."""
    folder = reminding()
    getattr(post_office.faults, where)[ADA] = "451 mailbox busy"
    said = folder.remind("--send")
    assert said.code == 4
    assert "Ada Lund: not taken yet, tried again at the next run (451 mailbox busy)" in said.err
    assert addresses(post_office) == [MOANA, INES]
    getattr(post_office.faults, where).clear()
    assert folder.remind("--send").code == 0
    assert addresses(post_office) == [MOANA, INES, ADA, INES]


@pytest.mark.parametrize("where", ["rcpt_answers", "data_answers"])
def test_a_refusal_for_good_is_reported_and_the_rest_go_on(
    reminding: Made, post_office: PostOffice, where: str
) -> None:
    """RFC 5321 4.2.1: 5yz, the client should not send it again as it is."""
    folder = reminding()
    getattr(post_office.faults, where)[ADA] = "550 no such user"
    said = folder.remind("--send")
    assert said.code == 4
    assert "Ada Lund: refused for good" in said.err
    assert states(folder)["ada lead"] == REFUSED
    assert "Refused by the mail server" in _plain(post_office.arrived[-1].message)
    getattr(post_office.faults, where).clear()
    assert folder.remind("--send").out == "Nothing to say today.\n"
    mended = reminding("", (ADA, "ada.lund@larkfield.example"))
    assert mended.remind("--send").code == 0
    assert "ada.lund@larkfield.example" in addresses(post_office)
    assert mended.remind("--send", "--retry-refused").code == 0


def test_a_full_disk_stops_before_anything_leaves(
    reminding: Made, post_office: PostOffice, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A real SQLITE_FULL, by a limit on the pages of the file (sqlite.org: max_page_count)."""
    folder = reminding()
    claim = MailLedger.claim

    def on_a_full_disk(self: MailLedger, mail: Mail, instant: str) -> bool:
        self._connection.execute("PRAGMA max_page_count = 1")  # SQLite rounds it up to what is used
        return claim(self, replace(mail, subject="x" * 100_000), instant)

    monkeypatch.setattr(MailLedger, "claim", on_a_full_disk)
    said = folder.remind("--send")
    assert said.code == 5
    assert "the disk is full" in said.err
    assert (post_office.arrived, folder.mails()) == ([], ())


def test_a_disk_full_after_the_250_leaves_it_unknown(
    reminding: Made, post_office: PostOffice, monkeypatch: pytest.MonkeyPatch
) -> None:
    folder = reminding()

    def full(self: MailLedger, *_: object) -> None:
        raise StoreTrouble("journal.sqlite: the disk is full; nothing was recorded")

    with monkeypatch.context() as patched:
        patched.setattr(MailLedger, "settle", full)
        said = folder.remind("--send")
    assert said.code == 5
    assert "The mail to Ada Lund was taken by the server" in said.err
    again = folder.remind("--send")
    assert "Perhaps not arrived: Ada Lund" in again.err
    assert addresses(post_office) == [ADA, MOANA, INES]


def test_two_senders_at_once(reminding: Made, post_office: PostOffice) -> None:
    folder = reminding()
    with sole_sender(folder.path):
        said = folder.remind("--send")
    assert said.code == 5
    assert "another command is sending mail" in said.err
    assert post_office.arrived == []


def test_no_password_reaches_output_files_or_records(
    reminding: Made, post_office: PostOffice, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.delenv(PASSWORD_VARIABLE)
    folder = reminding('password_file = "mail.password"')
    missing = folder.remind("--send")
    assert (missing.code, post_office.logins) == (2, [])
    secret = folder.path / "mail.password"
    secret.write_text(SECRET + "\n", encoding="utf-8")
    secret.chmod(0o644)
    open_to_all = folder.remind("--send")
    assert open_to_all.code == 2
    assert "others on this machine can read the password (mode 644)" in open_to_all.err
    secret.chmod(0o600)
    post_office.faults.rcpt_answers[ADA] = f"550 {SECRET} is a fine password"
    good = folder.remind("--send")
    assert post_office.logins == [True]
    said = "".join((missing.out, missing.err, open_to_all.err, good.out, good.err))
    assert SECRET not in said
    for path in folder.path.rglob("*"):
        if path.is_file() and path != secret:
            assert SECRET.encode() not in path.read_bytes(), path


def test_no_address_in_output_or_feeds(reminding: Made, post_office: PostOffice) -> None:
    folder = reminding()
    post_office.faults.rcpt_answers[MOANA] = f"550 5.1.1 <{MOANA}>: no such user"
    said = folder.remind("--send")
    assert "Moana Reid: refused for good" in said.err
    assert [row.answer for row in folder.mails() if row.state == REFUSED] == [
        "550 5.1.1 <…>: no such user"
    ]
    assert MOANA.encode() not in (folder.path / "journal.sqlite").read_bytes()
    preview = folder.remind("--outbox", str(folder.path / "box"))
    for text in (said.out, said.err, preview.out, preview.err):
        assert "@" not in text
    feeds = [path for path in (folder.path / "out").rglob("*") if path.is_file()]
    assert len(feeds) > 3
    assert [path for path in feeds if b"@larkfield" in path.read_bytes()] == []


def test_nothing_leaves_without_a_server(reminding: Made) -> None:
    folder = reminding()
    text = (folder.path / "programme.toml").read_text(encoding="utf-8")
    (folder.path / "programme.toml").write_text(text.split("[mail]")[0], encoding="utf-8")
    said = folder.remind("--send")
    assert said.code == 2
    assert "no mail server is named" in said.err


def test_tls_from_the_first_word(
    reminding: Made,
    authority: tuple[trustme.CA, Path],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """RFC 8314 section 3.3, usually on port 465."""
    context = ssl.create_default_context(ssl.Purpose.CLIENT_AUTH)
    authority[0].issue_cert("127.0.0.1").configure_cert(context)
    monkeypatch.setenv("SSL_CERT_FILE", str(authority[1]))
    office = PostOffice(context, free_port(), from_the_start=True)
    office.start()
    try:
        folder = reminding()
        text = (folder.path / "programme.toml").read_text(encoding="utf-8").split("[mail]")[0]
        table = mail_table(office.port, 'security = "tls"')
        (folder.path / "programme.toml").write_text(text + table, encoding="utf-8")
        said = folder.remind("--send")
        assert said.code == 0, said.err
        assert (addresses(office), office.logins) == ([ADA, MOANA, INES], [True])
    finally:
        office.stop()


def test_a_server_without_starttls_gets_no_login(
    written: Path, tmp_path: Path, reminding: Made, monkeypatch: pytest.MonkeyPatch
) -> None:
    """RFC 8314 section 3: no password in the open."""
    bare = PostOffice(None, free_port())
    bare.start()
    try:
        folder = reminding()
        text = (folder.path / "programme.toml").read_text(encoding="utf-8").split("[mail]")[0]
        (folder.path / "programme.toml").write_text(text + mail_table(bare.port), encoding="utf-8")
        said = folder.remind("--send")
        assert said.code == 4
        assert "STARTTLS" in said.err
        assert (bare.logins, bare.arrived) == ([], [])
    finally:
        bare.stop()


def _plain(message: object) -> str:
    body = message.get_body(("plain",))  # type: ignore[attr-defined]
    text: str = body.get_content()
    return text
