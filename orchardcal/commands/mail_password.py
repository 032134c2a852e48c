"""The password of the mail server: from the environment or a file that only its owner can read."""

from __future__ import annotations

import base64
import os
import stat
from pathlib import Path

from orchardcal.errors import BadFiles, Problem, Spot
from orchardcal.sites.mail_settings import PASSWORD_VARIABLE, MailSettings


class Password:
    """A password that no output, log or traceback shows: only `revealed` gives it."""

    def __init__(self, text: str) -> None:
        self._text = text

    def __repr__(self) -> str:
        return "Password(…)"

    def revealed(self) -> str:
        return self._text

    def taken_out(self, text: str) -> str:
        """Someone else's text, as a server's answer, without the password in any of its forms."""
        if not self._text:
            return text
        plain = self._text.encode()
        forms = [self._text, base64.b64encode(plain).decode(), plain.hex()]
        for form in forms:
            text = text.replace(form, "…")
        return text


def password(settings: MailSettings, folder: Path) -> Password:
    """The password asked for by the settings; empty where no user is set."""
    if not settings.user:
        return Password("")
    return given_password(settings.user, settings.password_file, PASSWORD_VARIABLE, "mail", folder)


def given_password(
    user: str, password_file: str, variable: str, kind: str, folder: Path
) -> Password:
    """A user's password from the environment, else from a file. kind: "mail" or "calendar"."""
    given = os.environ.get(variable)
    if given:
        return Password(given)
    if not password_file:
        table = "mail" if kind == "mail" else "tasks"
        raise BadFiles(
            [
                Problem(
                    Spot("programme.toml"),
                    f"no password is given for the {kind} user {user}",
                    f"Set the environment variable {variable}, or name a file with"
                    f" password_file under [{table}].",
                )
            ]
        )
    return Password(_from_file(folder / password_file, password_file))


def _from_file(path: Path, shown: str) -> str:
    try:
        with path.open("rb") as file:
            mode = os.fstat(file.fileno()).st_mode
            content = file.read(4096)
    except OSError as error:
        what = f"the password cannot be read: {error.strerror or 'unknown error'}"
        raise _problem(shown, what, "Write the password into it, in one line.") from None
    if os.name == "posix" and stat.S_IMODE(mode) & 0o077:
        raise _problem(
            shown,
            f"others on this machine can read the password (mode {stat.S_IMODE(mode):o})",
            f"Take their right away: chmod 600 {shown}",
        )
    try:
        text = content.decode().strip("\r\n")
    except UnicodeDecodeError:
        text = ""
    if not text or "\n" in text or "\0" in text:
        raise _problem(shown, "holds no password in one line", "Write it as the only line.")
    return text


def _problem(shown: str, what: str, instead: str) -> BadFiles:
    return BadFiles([Problem(Spot(shown), what, instead)])
