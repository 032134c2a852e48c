"""A real SMTP server for the tests, with STARTTLS, a login, and faults on order (aiosmtpd)."""

from __future__ import annotations

import asyncio
import socket
import ssl
import warnings
from collections.abc import Callable
from dataclasses import dataclass, field
from email import message_from_bytes, policy
from email.message import EmailMessage
from typing import Any

from aiosmtpd.controller import Controller
from aiosmtpd.smtp import SMTP, AuthResult, Envelope, LoginPassword, Session

USER, SECRET = "orchards", "pear-Blossom;17%"


@dataclass(frozen=True)
class Arrived:
    """One message as it came over the line."""

    sender: str
    to: str
    content: bytes

    @property
    def message(self) -> EmailMessage:
        parsed = message_from_bytes(self.content, policy=policy.default)
        assert isinstance(parsed, EmailMessage)
        return parsed


@dataclass
class Faults:
    """What the server does wrong. Times: a fault is used so often, then no more; -1 for ever.

    after_rcpt, at_data, in_data, before_250: the line is cut there. answers: what RCPT or DATA
    answers to an address. slow_s: how long the answer to a whole message takes.
    """

    after_rcpt: int = 0
    at_data: int = 0
    in_data: int = 0
    before_250: int = 0
    rcpt_answers: dict[str, str] = field(default_factory=dict)
    data_answers: dict[str, str] = field(default_factory=dict)
    slow_s: float = 0.0
    keeps_what_it_cuts: bool = True

    def now(self, name: str) -> bool:
        left: int = getattr(self, name)
        if left > 0:
            setattr(self, name, left - 1)
        return left != 0


class _Line(SMTP):
    """A connection that can be cut while DATA is asked for or read."""

    faults: Faults

    async def smtp_DATA(self, arg: str) -> None:  # noqa: N802
        if self.faults.now("at_data"):
            self.transport.abort()
            return
        if self.faults.now("in_data"):
            await self.push("354 go on")
            await self._reader.readuntil(b"\r\n")
            self.transport.abort()
            return
        await super().smtp_DATA(arg)


class PostOffice(Controller):
    """Listens on a port of this machine; arrived: every message it took.

    context: its certificate, None for a server in the open. from_the_start: TLS before the first
    word (RFC 8314 3.3), not by STARTTLS.
    """

    def __init__(
        self, context: ssl.SSLContext | None, port: int = 0, *, from_the_start: bool = False
    ) -> None:
        self.arrived: list[Arrived] = []
        self.faults = Faults()
        self.logins: list[bool] = []
        self.connections = 0
        self.encrypted: list[bool] = []
        self.seen: Callable[[str], None] = lambda stage: None
        self._given = None if from_the_start else context
        self._login = context is not None
        super().__init__(
            self,
            hostname="127.0.0.1",
            port=port,
            ready_timeout=10,
            ssl_context=context if from_the_start else None,
        )

    def factory(self) -> SMTP:
        starttls = self._given is not None
        self.connections += 1
        with warnings.catch_warnings():  # it cannot see TLS that was there from the start
            warnings.simplefilter("ignore", UserWarning)
            line = _Line(
                self,
                hostname="localhost",
                tls_context=self._given,
                require_starttls=starttls,
                auth_required=self._login,
                auth_require_tls=starttls,
                authenticator=self._authenticated,
                timeout=60,
            )
        line.faults = self.faults
        return line

    def _authenticated(
        self, server: SMTP, session: Session, envelope: Envelope, mechanism: str, data: Any
    ) -> AuthResult:
        good = (
            isinstance(data, LoginPassword)
            and data.login == USER.encode()
            and data.password == SECRET.encode()
        )
        self.logins.append(good)
        return AuthResult(success=good, handled=False)

    async def handle_RCPT(  # noqa: N802
        self, server: SMTP, session: Session, envelope: Envelope, address: str, options: list[str]
    ) -> str:
        self.seen("rcpt")
        if self.faults.now("after_rcpt"):
            server.transport.abort()
            return "250 too late"
        answer = self.faults.rcpt_answers.get(address)
        if answer:
            return answer
        envelope.rcpt_tos.append(address)
        return "250 fine"

    async def handle_DATA(  # noqa: N802
        self, server: SMTP, session: Session, envelope: Envelope
    ) -> str:
        self.seen("data")
        (to,) = envelope.rcpt_tos
        answer = self.faults.data_answers.get(to)
        if answer:
            return answer
        cut = self.faults.now("before_250")
        assert isinstance(envelope.content, bytes)
        if not cut or self.faults.keeps_what_it_cuts:
            self.encrypted.append(session.ssl is not None)
            self.arrived.append(Arrived(envelope.mail_from or "", to, envelope.content))
        if self.faults.slow_s:
            await asyncio.sleep(self.faults.slow_s)
        if cut:
            server.transport.abort()
        return "250 taken"


def free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port: int = probe.getsockname()[1]
        return port


def mail_table(port: int, extra: str = "") -> str:
    return (
        f'[mail]\nserver = "127.0.0.1"\nport = {port}\nuser = "{USER}"\n'
        f"per_minute = 6000\ntimeout_s = 5\n{extra}\n"
    )
