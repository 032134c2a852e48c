"""Free text as an iCalendar TEXT value that comes back as it went in and cannot add lines."""

from __future__ import annotations

import re

from icalendar import vText

# What some reader takes for a line break (RFC 5545 3.1 knows CRLF alone; Python's splitlines and
# the Unicode standard, section 5.8, know all of these).
_BREAKS = re.compile("\r\n|[\r\n\v\f\x1c-\x1e\x85\u2028\u2029]")
# RFC 5545 3.1: TEXT holds no control characters but the tab. Lone surrogates are no text at all.
_FORBIDDEN = re.compile("[\x00-\x08\x0e-\x1b\x1f\x7f\ud800-\udfff]")


class PlainText(vText):
    r"""A vText whose backslash stays a backslash.

    icalendar's own turns the two characters `\N` into a line break before it escapes, so that
    `C:\Notes` would be read as two lines.
    """

    def to_ical(self) -> bytes:
        r"""Escaped by RFC 5545 3.3.11.

        >>> PlainText("C:\\Notes; a, b").to_ical()
        b'C:\\\\Notes\\; a\\, b'
        """
        text = str(self).replace("\\", "\\\\").replace(";", "\\;").replace(",", "\\,")
        return text.replace("\n", "\\n").encode()


def plain_text(text: str) -> PlainText:
    """The text with every kind of line break as a newline and without control characters."""
    return PlainText(_FORBIDDEN.sub("", _BREAKS.sub("\n", text)))
