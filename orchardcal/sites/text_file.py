"""A text file as the user saved it: read once, size-limited, or a problem that says what to do."""

from __future__ import annotations

import stat
import unicodedata
from pathlib import Path

from orchardcal.errors import Problems, Spot


def text_of(
    path: Path, shown_as: str, problems: Problems, *, limit_mb: int, instead: str
) -> str | None:
    """The whole text without byte-order mark and with plain line ends, or None after a problem.

    limit_mb: a larger file is refused before it is read. instead: what to do where the file is
    missing or empty.
    """
    spot = Spot(shown_as)
    try:
        about = path.stat()
        if stat.S_ISDIR(about.st_mode):
            problems.add(spot, "is a folder, not a file", instead)
            return None
        if not stat.S_ISREG(about.st_mode):
            problems.add(spot, "is not a plain file", "Save the data in a file and name that.")
            return None
        if about.st_size > limit_mb * 1_000_000:
            problems.add(
                spot,
                f"is {about.st_size / 1e6:.0f} MB long; at most {limit_mb} MB are read",
                "Keep only the rows and columns asked for, or check that this is the right file.",
            )
            return None
        raw = path.read_bytes()
    except FileNotFoundError:
        problems.add(spot, "does not exist", instead)
        return None
    except OSError as trouble:
        problems.add(
            spot,
            f"cannot be read ({trouble.strerror})",
            "Allow yourself to read it, or close the program that has it open.",
        )
        return None
    return _decoded(raw, spot, problems, instead)


def _decoded(raw: bytes, spot: Spot, problems: Problems, instead: str) -> str | None:
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError as trouble:
        line = raw.count(b"\n", 0, trouble.start) + 1
        problems.add(
            Spot(spot.path, line),
            f"is not UTF-8 text (byte 0x{raw[trouble.start]:02X})",
            'Save it again as UTF-8; spreadsheets call this "CSV UTF-8".',
        )
        return None
    if "\0" in text:
        line = text.count("\n", 0, text.index("\0")) + 1
        problems.add(
            Spot(spot.path, line),
            "holds a NUL character, so it is no text file",
            "Check that this is the right file, and save it as plain text.",
        )
        return None
    if not text.strip():
        problems.add(spot, "is empty", instead)
        return None
    return text.replace("\r\n", "\n").replace("\r", "\n")


def control_sign(text: str) -> str:
    """The first control character in a text as "U+0007", or "" if there is none.

    Line breaks and tabs are no mistake; right-to-left marks and joiners are part of writing.
    """
    for sign in text:
        if unicodedata.category(sign) == "Cc" and sign not in "\n\t":
            return f"U+{ord(sign):04X}"
    return ""
