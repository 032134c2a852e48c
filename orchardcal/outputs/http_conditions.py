"""Conditional requests: whether a reader already holds what it asks for (RFC 9110 section 13)."""

from __future__ import annotations

import re
from collections.abc import Mapping
from datetime import UTC, datetime

OK, NOT_MODIFIED, PRECONDITION_FAILED = 200, 304, 412
# RFC 9110 8.8.3: entity-tag = [ "W/" ] DQUOTE *etagc DQUOTE
_TAG = re.compile(r'(W/)?"([\x21\x23-\x7e\x80-\xff]*)"')
_MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
_MONTH = f"({'|'.join(_MONTHS)})"
_CLOCK = r"(\d\d):(\d\d):(\d\d)"
_DAY = "(?:Mon|Tue|Wed|Thu|Fri|Sat|Sun)"
_LONG_DAY = "(?:Monday|Tuesday|Wednesday|Thursday|Friday|Saturday|Sunday)"
# RFC 9110 5.6.7: the form to write, and the two old ones that must still be read.
_IMF = re.compile(rf"{_DAY}, (\d\d) {_MONTH} (\d{{4}}) {_CLOCK} GMT")
_RFC_850 = re.compile(rf"{_LONG_DAY}, (\d\d)-{_MONTH}-(\d\d) {_CLOCK} GMT")
_ASCTIME = re.compile(rf"{_DAY} {_MONTH} ([ \d]\d) {_CLOCK} (\d{{4}})")


def http_date(instant: datetime) -> str:
    """An instant as RFC 9110 5.6.7 writes it, whatever the language of the machine.

    >>> http_date(datetime(1994, 11, 6, 8, 49, 37, tzinfo=UTC))
    'Sun, 06 Nov 1994 08:49:37 GMT'
    """
    at = instant.astimezone(UTC)
    day = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")[at.weekday()]
    return f"{day}, {at.day:02} {_MONTHS[at.month - 1]} {at.year:04} {at:%H:%M:%S} GMT"


def instant_of(written: str, now: datetime) -> datetime | None:
    """The instant an HTTP date names, None where it is none.

    A year of two digits more than 50 years ahead of `now` is of the century before.
    """
    if found := _IMF.fullmatch(written):
        day, month, year, *clock = found.groups()
    elif found := _RFC_850.fullmatch(written):
        day, month, short, *clock = found.groups()
        century = now.year - now.year % 100
        ahead = century + int(short) - now.year
        year = str(century + int(short) - (100 if ahead > 50 else 0))
    elif found := _ASCTIME.fullmatch(written):
        month, day, *clock, year = found.groups()
    else:
        return None
    hour, minute, second = map(int, clock)
    try:
        return datetime(
            int(year), _MONTHS.index(month) + 1, int(day), hour, minute, second, tzinfo=UTC
        )
    except ValueError:
        return None


def status_for(
    headers: Mapping[str, str], etag: str, modified: datetime | None, now: datetime
) -> int:
    """OK, NOT_MODIFIED or PRECONDITION_FAILED for a GET or HEAD of what is there.

    headers: those of the request, by names in small letters. etag: the strong tag, in its
    quotation marks. modified: whole seconds, None where the second is not over yet.

    The order is that of RFC 9110 13.2.2: a tag decides before a date. One departure: a date in
    the future in If-Modified-Since is passed over (13.1.3 would let it answer 304 until then), so
    that a reader with a wrong clock is never kept from a new plan.
    """
    if "if-match" in headers:
        if not _names(headers["if-match"], etag, weak=False):
            return PRECONDITION_FAILED
    elif "if-unmodified-since" in headers and modified is not None:
        since = instant_of(headers["if-unmodified-since"], now)
        if since is not None and modified > since:
            return PRECONDITION_FAILED
    if "if-none-match" in headers:
        return NOT_MODIFIED if _names(headers["if-none-match"], etag, weak=True) else OK
    if "if-modified-since" in headers and modified is not None:
        since = instant_of(headers["if-modified-since"], now)
        if since is not None and modified <= since <= now:
            return NOT_MODIFIED
    return OK


def _names(written: str, etag: str, weak: bool) -> bool:
    """Whether a list of tags, or "*", covers ours (RFC 9110 8.8.3.2: weak or strong comparison)."""
    if written.strip() == "*":
        return True
    return any(
        f'"{opaque}"' == etag and (weak or not is_weak) for is_weak, opaque in _TAG.findall(written)
    )
