"""Where each table and key of a TOML text stands, since tomllib does not say."""

from __future__ import annotations

import re

KeyPath = tuple[str | int, ...]

_TABLE = re.compile(r"\s*(\[\[?)\s*([^\[\]]+?)\s*\]\]?\s*(#.*)?$")
_KEY = re.compile(r"""\s*((?:[\w-]+|"[^"]*"|'[^']*')(?:\s*\.\s*(?:[\w-]+|"[^"]*"|'[^']*'))*)\s*=""")
_PART = re.compile(r"""[\w-]+|"[^"]*"|'[^']*'""")


def key_lines(text: str) -> dict[KeyPath, int]:
    """The line of every table, key, and array element that begins a line, counted from 1.

    >>> lines = key_lines('[care.oil]\\ncloses = [\\n  { at = "swell" },\\n]\\n[[step]]\\nid = "a"')
    >>> lines["care", "oil", "closes"], lines["care", "oil", "closes", 0], lines["step", 0, "id"]
    (2, 3, 6)
    """
    found: dict[KeyPath, int] = {}
    counts: dict[KeyPath, int] = {}
    table: KeyPath = ()
    array: KeyPath | None = None
    for number, line in enumerate(text.splitlines(), 1):
        if array is not None:
            if line.lstrip().startswith("{"):
                at = counts.get(array, 0)
                counts[array] = at + 1
                found.setdefault((*array, at), number)
            if line.lstrip().startswith("]"):
                array = None
        elif header := _TABLE.match(line):
            table = _parts(header[2])
            if header[1] == "[[":
                at = counts.get(table, 0)
                counts[table] = at + 1
                table = (*table, at)
            found.setdefault(table, number)
        elif key := _KEY.match(line):
            path = (*table, *_parts(key[1]))
            found.setdefault(path, number)
            if line[key.end() :].strip() == "[":
                array = path
    return found


def nearest_line(lines: dict[KeyPath, int], path: KeyPath) -> int:
    """The line of a path, or of the table that should hold it; 1 for the keys of no table."""
    for length in range(len(path), 0, -1):
        if path[:length] in lines:
            return lines[path[:length]]
    return 1


def _parts(dotted: str) -> KeyPath:
    return tuple(part.strip("\"'") for part in _PART.findall(dotted))
