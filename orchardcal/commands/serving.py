"""The small server's application (WSGI, PEP 3333): answers, counts, and logs without secrets."""

from __future__ import annotations

import logging
import re
import time
import traceback
from collections import Counter
from collections.abc import Callable, Iterable
from datetime import UTC, datetime
from pathlib import Path
from typing import Any, Protocol

from orchardcal.commands.served_folder import GuardAtTheDoor, NotReady, ServedFolder
from orchardcal.errors import BadFiles, StoreTrouble
from orchardcal.journal.in_words import printable
from orchardcal.outputs.http_answer import Answer, Asked, ServedFile, answer, asked, failure

WHOLE_REQUEST_S = 15.0  # a request must have arrived by then
SILENT_S = 30  # a connection that says nothing is closed
CONNECTIONS = 800  # below the 1024 files a process may usually have open
LARGEST_HEADERS_BYTES = 16_384
THREADS = 4
_TOKENS = re.compile(r"/p/[^/\s]+")
_OF_REQUEST = ("if-match", "if-none-match", "if-modified-since", "if-unmodified-since")

StartResponse = Callable[[str, list[tuple[str, str]]], Any]


class Application:
    """Answers from a folder. said: takes each line of the log; None to log no requests.

    public: whoever asks gets everything, besides the private addresses. troubled: takes what the
    person who runs it should know.
    """

    def __init__(
        self,
        folder: Path,
        store_path: Path,
        public: bool,
        said: Callable[[str], None] | None,
        troubled: Callable[[str], None],
    ) -> None:
        self._files = ServedFolder(folder)
        self._door = GuardAtTheDoor(store_path)
        self._public = public
        self._said = said
        self._troubled = troubled
        self.counts: Counter[int] = Counter()

    def __call__(self, environ: dict[str, Any], start_response: StartResponse) -> Iterable[bytes]:
        method = str(environ.get("REQUEST_METHOD", ""))
        wanted = asked(str(environ.get("PATH_INFO", "")))
        opened = ""
        try:
            file, opened = self._found(wanted)
            found = answer(file, method, _conditions(environ), datetime.now(UTC))
        except (NotReady, StoreTrouble, BadFiles) as trouble:
            self._troubled(f"Not answered: {trouble}")
            found = failure(503, method, (("Retry-After", "30"),))
        except Exception as error:  # the server would log it with the address, which is a secret
            where = "".join(traceback.format_tb(error.__traceback__))
            self._troubled(f"A fault in the program: {type(error).__name__}\n{where}")
            found = failure(500, method)
        self.counts[found.status] += 1
        if self._said is not None:
            self._said(_line(method, wanted, opened, found))
        start_response(found.status_line, list(found.headers))
        return [found.body]

    def _found(self, wanted: Asked | None) -> tuple[ServedFile | None, str]:
        """The file a request may have, and the id of the address that opened it."""
        if wanted is None:
            return None, ""
        if not wanted.token:
            return (self._files.file(wanted.path) if self._public else None), ""
        address = self._door.now().admitted(wanted.token)
        if address is None or not address.opens(wanted.path):
            return None, ""
        return self._files.file(wanted.path), address.id


def _conditions(environ: dict[str, Any]) -> dict[str, str]:
    """The conditional headers of a request, by their names in small letters."""
    found = {name: environ.get(f"HTTP_{name.upper().replace('-', '_')}") for name in _OF_REQUEST}
    return {name: str(value) for name, value in found.items() if value is not None}


def _line(method: str, wanted: Asked | None, opened: str, found: Answer) -> str:
    """A request in one line: of an address only its id, and nothing that a stranger wrote."""
    at = time.strftime("%Y-%m-%dT%H:%M:%SZ", time.gmtime())
    if wanted is None or (wanted.token and not opened):
        path = "(no address of ours)"
    else:
        path = f"/p/{opened}/{wanted.path}" if opened else f"/{wanted.path}"
    verb = method if method in ("GET", "HEAD") else "(other)"
    return printable(f"{at} {verb} {path} {found.status} {len(found.body)}")


class WithoutTokens(logging.Filter):
    """Takes the private part of addresses out of whatever the server library logs."""

    def filter(self, record: logging.LogRecord) -> bool:
        record.msg, record.args = _TOKENS.sub("/p/(private)", record.getMessage()), None
        return True


class Server(Protocol):
    """What we use of waitress: it serves until the process is told to end."""

    def run(self) -> None:
        """Serves; returns after a KeyboardInterrupt or SystemExit."""

    def close(self) -> None:
        """Lets go of the port."""


def server(application: Application, host: str, port: int) -> tuple[Server, list[tuple[str, int]]]:
    """A server that listens already, and where. Raises OSError if the place cannot be had."""
    import select

    import waitress.server  # late: only serving needs it, and it is an extra
    from waitress.channel import HTTPChannel
    from waitress.task import WSGITask

    class LastingTask(WSGITask):  # type: ignore[misc]
        """An answer that leaves the connection open after 304 too, as HTTP/1.1 has it.

        waitress closes after every answer without Content-Length; but a 304 ends with its headers
        (RFC 9112 6.3), and most answers of a calendar server are 304.
        """

        def set_close_on_finish(self) -> None:
            told_to = self.request.headers.get("CONNECTION", "").lower() == "close"
            if told_to or self.version != "1.1" or not self.status.startswith("304"):
                super().set_close_on_finish()

    class PunctualChannel(HTTPChannel):  # type: ignore[misc]
        """A connection whose requests must arrive whole in good time, however they trickle in.

        waitress itself closes silent connections only.
        """

        task_class = LastingTask
        began_s = 0.0

        def received(self, data: bytes) -> Any:
            now_s = time.monotonic()
            if self.request is None:
                self.began_s = now_s
            elif now_s - self.began_s > WHOLE_REQUEST_S:
                self.will_close = True
                return False
            return super().received(data)

    logging.getLogger("waitress").addFilter(WithoutTokens())
    logging.getLogger("waitress.queue").setLevel(logging.ERROR)
    listening: dict[int, Any] = {}
    poll = hasattr(select, "poll")
    made: Server = waitress.server.create_server(
        application,
        map=listening,
        host=host,
        port=port,
        threads=THREADS,
        connection_limit=CONNECTIONS if poll else 400,
        channel_timeout=SILENT_S,
        cleanup_interval=5,
        max_request_header_size=LARGEST_HEADERS_BYTES,
        max_request_body_size=1,
        asyncore_use_poll=poll,
        expose_tracebacks=False,
        clear_untrusted_proxy_headers=True,
        ident=None,
    )
    places = []
    for dispatcher in listening.values():
        if isinstance(dispatcher, waitress.server.BaseWSGIServer):
            dispatcher.channel_class = PunctualChannel
            places.append((str(dispatcher.effective_host), int(dispatcher.effective_port)))
    return made, places
