"""The [mail] table: what is usual, what is refused, and addresses by the standards of mail."""

from __future__ import annotations

from pathlib import Path

import pytest

from orchardcal.errors import BadFiles, Problems
from orchardcal.sites.mail_settings import MailSettings, address_problem, mail_settings
from orchardcal.sites.toml_table import toml_table

PEOPLE = ("maren", "helpers")


def read(text: str, folder: Path) -> MailSettings:
    path = folder / "programme.toml"
    path.write_text(text, encoding="utf-8")
    problems = Problems()
    table = toml_table(path, "programme.toml", problems, "")
    assert table is not None
    settings = mail_settings(table, PEOPLE)
    problems.raise_if_any()
    return settings


def test_without_the_table_mail_is_only_written(tmp_path: Path) -> None:
    assert read('name = "Orchards"\n', tmp_path) == MailSettings(server="")


@pytest.mark.parametrize(
    ("security", "port"), [("starttls", 587), ("tls", 465)], ids=["RFC 6409 3.1", "RFC 8314 3.3"]
)
def test_the_usual_port_follows_the_security(tmp_path: Path, security: str, port: int) -> None:
    text = f'[mail]\nserver = "smtp.trees.example"\nsecurity = "{security}"\n'
    assert read(text, tmp_path).port == port


def test_everything_that_can_be_set(tmp_path: Path) -> None:
    settings = read(
        '[mail]\nserver = "smtp.trees.example"\nport = 2525\nuser = "orchards"\n'
        'password_file = "mail.password"\nsender = "orchards@trees.example"\n'
        'bounces = "lost@trees.example"\nreply_to = "maren"\nvolunteers = ["helpers"]\n'
        "per_minute = 10\nper_connection = 5\ntimeout_s = 20\n"
        "[mail.days_before]\ndormant_pruning = [3, 28]\n",
        tmp_path,
    )
    assert settings == MailSettings(
        server="smtp.trees.example",
        port=2525,
        user="orchards",
        password_file="mail.password",
        sender="orchards@trees.example",
        bounces="lost@trees.example",
        reply_to="maren",
        volunteers=("helpers",),
        per_minute=10,
        per_connection=5,
        timeout_s=20,
        days_before=(("dormant_pruning", (28, 3)),),
    )


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ('password = "hunter2"', "a password stands in programme.toml"),
        ('security = "none"', "mail and password would travel in the open"),
        ('security = "ssl"', 'security is "ssl"'),
        ('reply_to = "nobody"', 'reply_to names "nobody"'),
        ('volunteers = "helpers"', "volunteers is no list of people"),
        ('volunteers = ["crew"]', 'volunteers names "crew"'),
        ('sender = "gärten@trees.example"', "holds a letter outside ASCII"),
        ("per_minute = 0", "per_minute is 0"),
        ("days_before = { mowing = [1] }", '"mowing" is no care'),
        ("days_before = { dormant_pruning = [-1] }", "is no list of days"),
        ("days_before = { dormant_pruning = [true] }", "is no list of days"),
        ('servr = "x"', 'unknown key "servr"'),
    ],
)
def test_what_is_refused(tmp_path: Path, line: str, said: str) -> None:
    with pytest.raises(BadFiles) as caught:
        read(f"[mail]\n{line}\n", tmp_path)
    assert said in str(caught.value)
    assert "programme.toml:" in str(caught.value)
    assert "hunter2" not in str(caught.value)


@pytest.mark.parametrize(
    "address",
    [
        "ada@school.example",
        "ada.o'lund+trees@mail.school.example",
        "!#$%&'*+-/=?^_`{|}~@a.example",
        "x@xn--schle-3ya.example",
    ],
)
def test_addresses_by_the_standard(address: str) -> None:
    """RFC 5322 3.2.3: all of these letters may stand in an atom."""
    assert address_problem(address, "ada") is None


@pytest.mark.parametrize(
    "address",
    [
        "ada",
        "ada@",
        "@school.example",
        "a..b@school.example",
        ".a@school.example",
        "a b@school.example",
        "ada@school.example\nBcc: x@y.example",
        "ada@school.example, eve@y.example",
        "<ada@school.example>",
        "ada@-school.example",
        "ada@school..example",
        "zoë@school.example",
        "zoe@schüle.example",
        "x" * 65 + "@school.example",
        "x@" + "a." * 130 + "example",
    ],
)
def test_what_is_no_address(address: str) -> None:
    """RFC 5322 3.4.1, RFC 1123 2.1, RFC 5321 4.5.3.1; the message names whose it is, not it."""
    problem = address_problem(address, "ada")
    assert problem is not None
    assert address not in " ".join(problem) or address == "ada"
