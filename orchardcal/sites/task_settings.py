"""Where work is handed out as tasks: the [tasks] table of programme.toml, never a password."""

from __future__ import annotations

from dataclasses import dataclass
from urllib.parse import urlsplit

from orchardcal.sites.mail_settings import THIS_MACHINE
from orchardcal.sites.toml_table import TomlTable

PASSWORD_VARIABLE = "ORCHARDCAL_TASKS_PASSWORD"


@dataclass(frozen=True)
class TaskSettings:
    """url: a calendar server (CalDAV, RFC 4791), "" while there is none.

    password_file: beside programme.toml unless absolute.
    """

    url: str = ""
    user: str = ""
    password_file: str = ""
    timeout_s: int = 30


def task_settings(table: TomlTable) -> TaskSettings:
    """The [tasks] table of the programme; no server where there is none."""
    tasks = table.table("tasks")
    if tasks is None:
        return TaskSettings()
    if "password" in tasks:
        tasks.raw("password")
        tasks.wrong(
            "password",
            "a password stands in programme.toml",
            f"Take it out and change it: others may have read it. Give it in the environment as"
            f" {PASSWORD_VARIABLE}, or in a file that only you can read: password_file.",
        )
    settings = TaskSettings(
        url=_url(tasks),
        user=tasks.text(
            "user", lines=False, required='Write user = "…", as the calendar server knows you.'
        ),
        password_file=tasks.text("password_file", lines=False),
        timeout_s=tasks.whole("timeout_s", 1, 600, 30),
    )
    tasks.refuse_unknown_keys()
    return settings


def _url(tasks: TomlTable) -> str:
    example = 'Write where the calendar server is: url = "https://calendars.example.org/".'
    written = tasks.text("url", lines=False, required=example)
    if not written:
        return ""
    problem = url_problem(written)
    if problem is not None:
        tasks.wrong("url", *problem)
        return ""
    return written if written.endswith("/") else f"{written}/"


def url_problem(written: str) -> tuple[str, str] | None:
    """What is wrong with the address of a calendar server, and what to write instead.

    >>> url_problem("https://calendars.example.org/dav/") is None
    True
    >>> url_problem("http://calendars.example.org/")[0]
    'url is not https, so the password would travel in the open'
    """
    example = 'Write where the calendar server is: url = "https://calendars.example.org/".'
    try:
        parts = urlsplit(written)
        host = parts.hostname or ""
        _ = parts.port  # raises where it is no number
    except ValueError:
        return f'url is "{written}", which is no web address', example
    if parts.username is not None or parts.password is not None:
        return "url holds a user or a password", f"Write them apart: user, {PASSWORD_VARIABLE}."
    if parts.scheme not in ("http", "https") or not host:
        return f'url is "{written}", which is no web address', example
    if parts.query or parts.fragment or any(sign.isspace() for sign in written):
        return f'url is "{written}", which holds more than a place', example
    if parts.scheme == "http" and host not in THIS_MACHINE:
        return (
            "url is not https, so the password would travel in the open",
            "Write https://; http is for a server on this machine alone.",
        )
    return None
