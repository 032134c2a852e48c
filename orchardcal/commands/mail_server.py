"""One mail server and what it says of each message: taken, later, never, or not known."""

from __future__ import annotations

import re
import smtplib
import ssl
from contextlib import suppress
from dataclasses import dataclass
from types import TracebackType
from typing import Protocol

from orchardcal.commands.mail_password import Password
from orchardcal.errors import NotSent
from orchardcal.outputs.mail_text import one_line
from orchardcal.sites.mail_settings import NONE, TLS, MailSettings

TAKEN, LATER, NEVER, NOT_KNOWN = "taken", "later", "never", "not known"
LAST_ANSWER_FACTOR = 10  # RFC 5321 4.5.3.2.6: ten minutes for the answer to the whole message
LONGEST_ANSWER = 200
_ADDRESS = re.compile(r"[^\s<>()\[\]:,;\"']+@[^\s<>()\[\],;\"']+")


@dataclass(frozen=True)
class Answer:
    """What became of one message, and the server's words."""

    outcome: str
    said: str


class LineBroke(Exception):
    """The connection was lost before anything of the message itself was sent."""


class Claim(Protocol):
    """Told just before the message leaves, and if it did not leave after all."""

    def made(self) -> bool:
        """Whether the message may be sent: False if someone else sent it meanwhile."""

    def taken_back(self) -> None:
        """The message stays here: nothing of it left, or the server wants it later."""


class MailServer:
    """A connection that is opened when first needed, and anew after so many messages."""

    def __init__(
        self, settings: MailSettings, password: Password, context: ssl.SSLContext | None = None
    ) -> None:
        self._settings = settings
        self._password = password
        self._context = context or ssl.create_default_context()
        self._smtp: smtplib.SMTP | None = None
        self._sent_here = 0

    def __enter__(self) -> MailServer:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self.close()

    def send(self, sender: str, to: str, message: bytes, claim: Claim) -> Answer | None:
        """Sends one message; None if the claim was refused.

        Raises LineBroke if the line was lost before the message, NotSent if there is no line to
        be had, a user to log in, or a certificate to trust.
        """
        smtp = self._line()
        try:
            refusal = self._envelope(smtp, sender, to)
            if refusal is not None:
                return refusal
            if not claim.made():
                with suppress(OSError, smtplib.SMTPException):
                    smtp.rset()
                return None
            return self._message(smtp, message, claim)
        except (OSError, smtplib.SMTPException) as error:
            self.close()
            raise LineBroke(self._words(error)) from None

    def close(self) -> None:
        """Ends the connection, politely if the server still listens."""
        smtp, self._smtp, self._sent_here = self._smtp, None, 0
        if smtp is None:
            return
        try:
            smtp.quit()
        except (OSError, smtplib.SMTPException):
            smtp.close()

    def _envelope(self, smtp: smtplib.SMTP, sender: str, to: str) -> Answer | None:
        """The answer, if the server refuses sender or recipient (RFC 5321 3.3)."""
        code, said = smtp.mail(sender)
        if code // 100 == 2:
            code, said = smtp.rcpt(to)
        return None if code // 100 == 2 else self._refused(smtp, code, said)

    def _message(self, smtp: smtplib.SMTP, message: bytes, claim: Claim) -> Answer:
        try:
            code, said = smtp.docmd("DATA")
        except (OSError, smtplib.SMTPException):
            claim.taken_back()  # not one line of the message has left
            raise
        if code != 354:
            claim.taken_back()
            return self._refused(smtp, code, said)
        try:
            if smtp.sock is not None:
                smtp.sock.settimeout(self._settings.timeout_s * LAST_ANSWER_FACTOR)
            smtp.send(_with_dots(message))
            code, said = smtp.getreply()
        except (OSError, smtplib.SMTPException) as error:
            self.close()
            return Answer(NOT_KNOWN, self._words(error))
        if smtp.sock is not None:
            smtp.sock.settimeout(self._settings.timeout_s)
        self._sent_here += 1
        if code // 100 == 2:
            return Answer(TAKEN, self._said(code, said))
        if code // 100 not in (4, 5):
            self.close()
            return Answer(NOT_KNOWN, self._said(code, said))
        if code // 100 == 4:
            claim.taken_back()
        return self._refused(smtp, code, said)

    def _refused(self, smtp: smtplib.SMTP, code: int, said: bytes) -> Answer:
        """421 closes the line (RFC 5321 3.8); after another refusal it stays in use."""
        try:
            kept = code != 421 and smtp.rset()[0] // 100 == 2
        except (OSError, smtplib.SMTPException):
            kept = False
        if not kept:
            self.close()
        return Answer(NEVER if code // 100 == 5 else LATER, self._said(code, said))

    def _line(self) -> smtplib.SMTP:
        if self._smtp is not None and self._sent_here >= self._settings.per_connection:
            self.close()
        if self._smtp is None:
            self._smtp = self._connected()
        return self._smtp

    def _connected(self) -> smtplib.SMTP:
        where = f"{self._settings.server}:{self._settings.port}"
        smtp: smtplib.SMTP | None = None
        try:
            smtp = self._opened()
            if self._settings.user:
                smtp.login(self._settings.user, self._password.revealed())
            return smtp
        except smtplib.SMTPAuthenticationError as error:
            text = self._said(error.smtp_code, error.smtp_error)
            what = f"{where} refused the user {self._settings.user}: {text}"
            advice = "Look at user and password of [mail]."
        except ssl.SSLCertVerificationError as error:
            what = f"{where} has a certificate that is not trusted: {error.verify_message}"
            advice = "Nothing was sent to it. Look at the server's name in [mail]."
        except smtplib.SMTPNotSupportedError as error:
            what = f"{where}: {self._words(error)}"
            advice = "Look at security and user of [mail]: the server offers something else."
        except (OSError, smtplib.SMTPException) as error:
            what = f"{where} cannot be reached: {self._words(error)}"
            advice = "Look at server, port and security of [mail], then run this again."
        if smtp is not None:
            smtp.close()
        raise NotSent(f"{what}\n    {advice}") from None

    def _opened(self) -> smtplib.SMTP:
        settings = self._settings
        if settings.security == TLS:
            return smtplib.SMTP_SSL(
                settings.server, settings.port, timeout=settings.timeout_s, context=self._context
            )
        smtp = smtplib.SMTP(settings.server, settings.port, timeout=settings.timeout_s)
        try:
            if settings.security != NONE:
                smtp.starttls(context=self._context)
            smtp.ehlo_or_helo_if_needed()
        except BaseException:
            smtp.close()
            raise
        return smtp

    def _said(self, code: int, said: bytes | str) -> str:
        text = said.decode("utf-8", "replace") if isinstance(said, bytes) else said
        return self._shown(f"{code} {text}")

    def _words(self, error: Exception) -> str:
        if TimeoutError in (type(error), type(error.__context__)):  # smtplib wraps some of them
            return "no answer in time"
        text = str(error) or type(error).__name__
        return self._shown(text)

    def _shown(self, text: str) -> str:
        """A server's words as they may be shown and kept: no password, no address, one line."""
        return one_line(_ADDRESS.sub("…", self._password.taken_out(text)))[:LONGEST_ANSWER]


def _with_dots(message: bytes) -> bytes:
    """The message as DATA carries it: a leading dot doubled, a lone dot at the end.

    RFC 5321 4.5.2. The message has CRLF line ends and ends in one.
    """
    return re.sub(rb"(?m)^\.", b"..", message) + b".\r\n"
