"""What the small server answers: which file an address means, and the headers it goes out with."""

from __future__ import annotations

import hashlib
import re
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, datetime

from orchardcal.outputs.http_conditions import NOT_MODIFIED, OK, http_date, status_for

LONGEST_PATH = 1024
# Letters of ours alone, none of them first that could hide a file or climb out of the folder.
_PART = re.compile(r"[A-Za-z0-9][A-Za-z0-9._-]{0,254}")
_TOKEN_PREFIX = "p"
CONTENT_TYPES = {
    "ics": "text/calendar; charset=utf-8",  # RFC 5545 8.1
    "html": "text/html; charset=utf-8",
    "css": "text/css; charset=utf-8",
    "svg": "image/svg+xml",
    "json": "application/json",  # RFC 8259: always UTF-8
    "csv": "text/csv; charset=utf-8",  # RFC 7111
}
_ALWAYS = (
    ("Cache-Control", "private, no-cache"),  # kept, but asked about each time: an address may end
    ("Referrer-Policy", "no-referrer"),  # a link out of a page must not carry the address
    ("X-Content-Type-Options", "nosniff"),
    ("X-Robots-Tag", "noindex, nofollow"),
)
# The pages need nothing but themselves: no program, no other place.
_PAGE_POLICY = (
    "default-src 'none'; style-src 'self' 'unsafe-inline'; img-src 'self' data:;"
    " base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
)
REASONS = {
    200: "OK",
    304: "Not Modified",
    404: "Not Found",
    405: "Method Not Allowed",
    412: "Precondition Failed",
    500: "Internal Server Error",
    503: "Service Unavailable",
}


@dataclass(frozen=True)
class Asked:
    """What an address asks for. token: "" where it has none. path: below the folder written."""

    token: str
    path: str


@dataclass(frozen=True)
class ServedFile:
    """A file as it goes out. etag: strong, over the very bytes. modified: whole seconds, UTC."""

    path: str
    content: bytes
    etag: str
    modified: datetime


@dataclass(frozen=True)
class Answer:
    """A whole answer, but for the date, which the server adds."""

    status: int
    headers: tuple[tuple[str, str], ...]
    body: bytes

    @property
    def status_line(self) -> str:
        return f"{self.status} {REASONS[self.status]}"


def asked(path: str) -> Asked | None:
    """What the decoded path of an address asks for; None for everything that is not ours.

    >>> asked("/p/SECRET/sites/millbrook.ics")
    Asked(token='SECRET', path='sites/millbrook.ics')
    >>> asked("/")
    Asked(token='', path='index.html')
    >>> asked("/p/SECRET/../staff.ics") is None and asked("/.staff.ics.new") is None
    True
    """
    if len(path) > LONGEST_PATH or not path.startswith("/"):
        return None
    parts = path[1:].split("/")
    token = ""
    if parts[0] == _TOKEN_PREFIX:
        if len(parts) < 3 or not parts[1]:
            return None
        token, parts = parts[1], parts[2:]
    if not parts[-1]:
        parts = [*parts[:-1], "index.html"]
    good = all(_PART.fullmatch(part) for part in parts) and _ending(parts[-1]) in CONTENT_TYPES
    return Asked(token, "/".join(parts)) if good else None


def served(path: str, content: bytes, modified_s: float) -> ServedFile:
    """A file ready to go out. modified_s: when it was last written, seconds since 1970 UTC."""
    etag = f'"{hashlib.sha256(content).hexdigest()}"'
    return ServedFile(path, content, etag, datetime.fromtimestamp(int(modified_s), UTC))


def is_whole(path: str, content: bytes) -> bool:
    """Whether a file looks finished; another program may be copying it in at this moment."""
    text = content.rstrip()
    if path.endswith(".ics"):
        return text.startswith(b"BEGIN:VCALENDAR") and text.endswith(b"END:VCALENDAR")
    if path.endswith(".html"):
        return text.lower().endswith(b"</html>")
    return True


def answer(
    file: ServedFile | None, method: str, headers: Mapping[str, str], now: datetime
) -> Answer:
    """The answer to a request for a file, None where there is none that this reader may have.

    headers: those of the request, by names in small letters. Last-Modified is left out until its
    second is over: what changes within one second would else be taken for unchanged (RFC 9110
    8.8.2.2).
    """
    if method not in ("GET", "HEAD"):
        return failure(405, method, (("Allow", "GET, HEAD"),))
    if file is None:
        return failure(404, method)
    modified = file.modified if file.modified < now.replace(microsecond=0) else None
    status = status_for(headers, file.etag, modified, now)
    if status not in (OK, NOT_MODIFIED):
        return failure(status, method)
    said = [("ETag", file.etag), *_ALWAYS]
    if modified is not None:
        said.append(("Last-Modified", http_date(modified)))
    if status == NOT_MODIFIED:
        return Answer(status, tuple(said), b"")
    ending = _ending(file.path)
    said += [
        ("Content-Type", CONTENT_TYPES[ending]),
        ("Content-Length", str(len(file.content))),
    ]
    if ending == "html":
        said.append(("Content-Security-Policy", _PAGE_POLICY))
    else:
        name = file.path.rpartition("/")[2]
        said.append(("Content-Disposition", f'inline; filename="{name}"'))
    return Answer(status, tuple(said), b"" if method == "HEAD" else file.content)


def failure(status: int, method: str, more: tuple[tuple[str, str], ...] = ()) -> Answer:
    """An answer without a file: the same words whatever the reason, so that it gives none away."""
    body = f"{REASONS[status]}\n".encode()
    headers = (
        ("Content-Type", "text/plain; charset=utf-8"),
        ("Content-Length", str(len(body))),
        *_ALWAYS,
        *more,
    )
    return Answer(status, headers, b"" if method == "HEAD" else body)


def _ending(name: str) -> str:
    return name.rpartition(".")[2]
