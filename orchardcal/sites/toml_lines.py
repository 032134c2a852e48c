"""The line of every key in a TOML text, which the standard reader does not tell."""

from __future__ import annotations

import re

KeyPath = tuple[str | int, ...]

_PART = re.compile(r"""\s*(?:"((?:[^"\\]|\\.)*)"|'([^']*)'|([A-Za-z0-9_-]+))\s*""")
_TRIPLE = {'"""': re.compile(r'(?<!\\)(?:\\\\)*"""'), "'''": re.compile("'''")}


def lines_of(text: str) -> dict[KeyPath, int]:
    """From the path of each table and key to its line; a table in an array has its index in it.

    text: TOML that the standard reader accepts.

    >>> lines_of('name = "A"\\n[[closure]]\\nfirst = 2026-01-01')
    {('name',): 1, ('closure', 0): 2, ('closure', 0, 'first'): 3}
    """
    found: dict[KeyPath, int] = {}
    counts: dict[KeyPath, int] = {}
    table: KeyPath = ()
    open_quote, depth = "", 0
    for number, line in enumerate(text.split("\n"), start=1):
        begins_here = not open_quote and depth == 0
        if begins_here and line.lstrip().startswith("["):
            is_array = line.lstrip().startswith("[[")
            table = _table(line.lstrip().lstrip("["), is_array, counts)
            found.setdefault(table, number)
            continue
        rest = line
        if begins_here:
            keys, end = _keys(line)
            if not keys or line[end : end + 1] != "=":
                continue  # blank or a comment
            found.setdefault((*table, *keys), number)
            rest = line[end + 1 :]
        open_quote, depth = _after(rest, open_quote, depth)
    return found


def _keys(line: str) -> tuple[KeyPath, int]:
    """The dotted key at the start of a line and where it ends."""
    keys: list[str] = []
    end = 0
    while match := _PART.match(line, end):
        keys.append(next(part for part in match.groups() if part is not None))
        end = match.end()
        if line[end : end + 1] != ".":
            break
        end += 1
    return tuple(keys), end


def _table(header: str, is_array: bool, counts: dict[KeyPath, int]) -> KeyPath:
    """The path a header opens; [pupils.term] under [[pupils]] belongs to the latest of them."""
    path: KeyPath = ()
    keys = _keys(header)[0]
    for position, key in enumerate(keys):
        path = (*path, key)
        if is_array and position == len(keys) - 1:
            counts[path] = counts.get(path, -1) + 1
        if path in counts:
            path = (*path, counts[path])
    return path


def _after(rest: str, open_quote: str, depth: int) -> tuple[str, int]:
    """Which quotation is still open, and how many brackets, at the end of a line."""
    place = 0
    while place < len(rest):
        if open_quote:
            closing = _TRIPLE[open_quote].search(rest, place)
            if closing is None:
                return open_quote, depth
            place, open_quote = closing.end(), ""
        elif rest[place : place + 3] in _TRIPLE:
            open_quote, place = rest[place : place + 3], place + 3
        elif rest[place] in "\"'":
            place = _PART.match(rest, place).end()  # type: ignore[union-attr]  # it was accepted
        elif rest[place] == "#":
            break
        else:
            depth += (rest[place] in "[{") - (rest[place] in "]}")
            place += 1
    return open_quote, depth
