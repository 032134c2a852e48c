"""One table of a TOML file, read key by key: typed values, or a problem with line and remedy."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Collection, Sequence
from contextlib import suppress
from datetime import date, datetime
from pathlib import Path
from typing import Any

from orchardcal.errors import Problems, Spot, known
from orchardcal.sites.text_file import control_sign, text_of
from orchardcal.sites.toml_lines import KeyPath, lines_of

LIMIT_MB = 2


class TomlTable:
    """A table with its place in the file; remembers which keys were asked for.

    Reading a key that is absent gives its default and no problem unless it is required; a value
    of the wrong kind adds a problem and gives the default.
    """

    def __init__(
        self,
        values: dict[str, Any],
        shown_as: str,
        lines: dict[KeyPath, int],
        problems: Problems,
        path: KeyPath = (),
    ) -> None:
        self.values = values
        self.shown_as = shown_as
        self.problems = problems
        self._lines = lines
        self._path = path
        self._asked: set[str] = set()

    def __contains__(self, key: str) -> bool:
        return key in self.values

    def spot(self, key: str = "") -> Spot:
        """The line of a key, or of the table itself where the key is absent."""
        path = (*self._path, key) if key else self._path
        while path and path not in self._lines:
            path = path[:-1]
        return Spot(self.shown_as, self._lines.get(path))

    def wrong(self, key: str, what: str, instead: str) -> None:
        self.problems.add(self.spot(key), what, instead)

    def text(self, key: str, default: str = "", *, required: str = "", lines: bool = True) -> str:
        """A text. required: what to write where it is missing or blank. lines: may it hold any?"""
        value = self._value(key, required)
        if value is None:
            return default
        if not isinstance(value, str):
            self.wrong(key, f"{key} is {_said(value)}, not text", f'Write {key} = "{value}".')
            return default
        sign = control_sign(value)
        if sign or (not lines and "\n" in value):
            what = f"the control character {sign}" if sign else "a line break"
            self.wrong(key, f"{key} holds {what}", "Write it as plain text in one line.")
            return default
        if required and not value.strip():
            self.wrong(key, f"{key} is blank", required)
        return value.strip()

    def choice(self, key: str, choices: Collection[str], default: str) -> str:
        value = self.text(key, default, lines=False)
        if value not in choices:
            self.wrong(key, f'{key} is "{value}"', known(key, value, choices))
            return default
        return value

    def flag(self, key: str, default: bool) -> bool:
        value = self._value(key)
        if value is None:
            return default
        if not isinstance(value, bool):
            self.wrong(key, f"{key} is {_said(value)}", f"Write {key} = true or {key} = false.")
            return default
        return value

    def number(self, key: str, low: float, high: float, *, required: str = "") -> float | None:
        """A number from low to high, or None."""
        value = self._value(key, required)
        if value is None:
            return None
        if isinstance(value, bool) or not isinstance(value, int | float):
            self.wrong(
                key,
                f"{key} is {_said(value)}, not a number",
                f"Write a number from {low:g} to {high:g}, without quotation marks and with a "
                "decimal point.",
            )
            return None
        if not low <= value <= high:
            self.wrong(key, f"{key} is {value:g}", f"It must lie between {low:g} and {high:g}.")
            return None
        return float(value)

    def whole(self, key: str, low: int, high: int, default: int) -> int:
        value = self.number(key, low, high)
        if value is None:
            return default
        if value != int(value):
            self.wrong(key, f"{key} is {value:g}", f"Write a whole number from {low} to {high}.")
            return default
        return int(value)

    def numbers(self, key: str, count: int, low: float, high: float) -> tuple[float, ...] | None:
        """So many numbers from low to high in [brackets], or None."""
        value = self._value(key)
        if value is None:
            return None
        good = isinstance(value, list) and all(
            isinstance(one, int | float) and not isinstance(one, bool) for one in value
        )
        if not good or len(value) != count:
            found = f"{len(value)} values" if isinstance(value, list) else _said(value)
            self.wrong(
                key,
                f"{key} is {found}, not {count} numbers",
                f"Write {count} numbers, January first: {key} = [1.5, 2.0, …].",
            )
            return None
        outside = [f"{one:g}" for one in value if not low <= one <= high]
        if outside:
            self.wrong(
                key,
                f"{key} holds {', '.join(outside)}",
                f"Each must lie between {low:g} and {high:g}.",
            )
            return None
        return tuple(float(one) for one in value)

    def day(self, key: str, *, required: str = "") -> date | None:
        """A day, with or without quotation marks."""
        value = self._value(key, required)
        if isinstance(value, str):
            with suppress(ValueError):
                value = date.fromisoformat(value)
        if isinstance(value, date) and not isinstance(value, datetime):
            return value
        if value is not None:
            self.wrong(key, f"{key} is {_said(value)}, not a day", f"Write {key} = 2026-12-21.")
        return None

    def table(self, key: str) -> TomlTable | None:
        value = self._value(key)
        if value is None:
            return None
        if not isinstance(value, dict):
            self.wrong(key, f"{key} is {_said(value)}", f"Write it as a table: [{key}].")
            return None
        return self._inner(value, key)

    def tables(self, key: str) -> Sequence[TomlTable]:
        value = self._value(key)
        if value is None:
            return ()
        if not isinstance(value, list) or not all(isinstance(one, dict) for one in value):
            name = ".".join(str(part) for part in (*self._path, key))
            self.wrong(key, f"{key} is {_said(value)}", f"Begin each with a line [[{name}]].")
            return ()
        return [self._inner(one, key, index) for index, one in enumerate(value)]

    def raw(self, key: str) -> Any:
        return self._value(key)

    def refuse_unknown_keys(self) -> None:
        """A key nobody asked for is a slip of the pen, never ignored."""
        for key in self.values:
            if key not in self._asked:
                self.wrong(key, f'has the unknown key "{key}"', known("keys", key, self._asked))

    def _value(self, key: str, required: str = "") -> Any:
        self._asked.add(key)
        if key not in self.values and required:
            self.problems.add(self.spot(), f"{key} is missing", required)
        return self.values.get(key)

    def _inner(self, values: dict[str, Any], *path: str | int) -> TomlTable:
        return TomlTable(values, self.shown_as, self._lines, self.problems, (*self._path, *path))


def toml_table(path: Path, shown_as: str, problems: Problems, instead: str) -> TomlTable | None:
    """The outermost table of a file, or None after a problem."""
    text = text_of(path, shown_as, problems, limit_mb=LIMIT_MB, instead=instead)
    if text is None:
        return None
    try:
        values = tomllib.loads(text)
    except tomllib.TOMLDecodeError as trouble:
        found = re.fullmatch(
            r"(.*?) \(at (?:line (\d+), column \d+|end of document)\)", str(trouble)
        )
        what, line = (found[1], found[2]) if found else (str(trouble), None)
        number = int(line) if line else text.rstrip("\n").count("\n") + 1
        written = text.split("\n")[number - 1].strip()
        problems.add(
            Spot(shown_as, number),
            f"cannot be read as TOML: {what[:1].lower()}{what[1:]} in: {written[:60]}",
            'Text stands in quotation marks (name = "Hill School"), numbers take a decimal point, '
            "each key stands once.",
        )
        return None
    except RecursionError:
        problems.add(Spot(shown_as), "nests brackets too deeply", "Write plain lists.")
        return None
    return TomlTable(values, shown_as, lines_of(text), problems)


def _said(value: Any) -> str:
    if isinstance(value, str):
        return f'"{value}"'
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, list | dict):
        return "a list" if isinstance(value, list) else "a table"
    return str(value)
