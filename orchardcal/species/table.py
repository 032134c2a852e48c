"""One TOML table read with care: every wrong value becomes a problem with its file and line."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from orchardcal.errors import Problems, Spot, known
from orchardcal.species.lines import KeyPath, key_lines, nearest_line
from orchardcal.species.sources import parts_of, without_source

Found = dict[str, Any]


@dataclass
class RuleFile:
    """One file as read: its path as shown to the user, its text, what it holds."""

    shown_as: str
    text: str
    found: Found
    _lines: dict[KeyPath, int] | None = None

    @property
    def lines(self) -> dict[KeyPath, int]:
        if self._lines is None:
            self._lines = key_lines(self.text)
        return self._lines


@dataclass
class Origin:
    """The files one species is read from, the programme's own first, and what is known of them."""

    files: Sequence[RuleFile]
    sources: Collection[str]
    problems: Problems

    def spot(self, path: KeyPath, element: Found | None = None) -> Spot:
        """The line of a path, in the file that wrote it, or of the table that should hold it.

        element: the table of a list that the path starts in; merging keeps such tables as they
        were read, so the file that holds this very one wrote it.
        """
        if element is not None:
            for file in self.files:
                start = _path_of(element, file.found, ())
                if start is not None:
                    return Spot(file.shown_as, nearest_line(file.lines, (*start, *path)))
        for file in self.files:
            if path in file.lines:
                return Spot(file.shown_as, file.lines[path])
        file = self.files[0]
        return Spot(file.shown_as, nearest_line(file.lines, path))


def _path_of(element: Found, value: object, path: KeyPath) -> KeyPath | None:
    """Where a table stands inside a value, by identity."""
    if value is element:
        return path
    inner: Iterable[tuple[str | int, object]] = ()
    if isinstance(value, dict):
        inner = value.items()
    elif isinstance(value, list):
        inner = enumerate(value)
    for key, below in inner:
        found = _path_of(element, below, (*path, key))
        if found is not None:
            return found
    return None


class Table:
    """A table being read. Each method takes one key; `done` reports the keys nobody asked for."""

    def __init__(
        self,
        found: object,
        origin: Origin,
        path: KeyPath = (),
        element: Found | None = None,
    ) -> None:
        self.origin = origin
        self.path = path
        self.element = element
        self.asked: set[str] = set()
        self.found: Found = found if isinstance(found, dict) else {}
        if not isinstance(found, dict):
            self.problem("", f"{self.name} should be a table", 'Write { key = "value", ... }.')

    @property
    def name(self) -> str:
        if self.path:
            return ".".join(str(part) for part in self.path)
        return "the file" if self.element is None else "this entry"

    def problem(self, key: str, what: str, instead: str = "") -> None:
        path = (*self.path, key) if key else self.path
        self.origin.problems.add(self.origin.spot(path, self.element), what, instead)

    def has(self, key: str) -> bool:
        return key in self.found

    def text(self, key: str, default: str | None = None) -> str:
        value = self._value(key, default)
        if isinstance(value, str):
            return value.strip()
        if value is not None:
            self.problem(key, f"{key} = {_shown(value)} is not text", f'Write {key} = "...".')
        return ""

    def choice(self, key: str, choices: Collection[str], default: str | None = None) -> str:
        value = self.text(key, default)
        if value and value not in choices:
            self.problem(key, f'{key} = "{value}" is not known', known(f"{key}s", value, choices))
        return value

    def texts(self, key: str, choices: Collection[str] | None = None) -> tuple[str, ...]:
        value = self._value(key, [])
        if not isinstance(value, list) or not all(isinstance(item, str) for item in value):
            self.problem(
                key, f"{key} = {_shown(value)} is no list of texts", f'Write {key} = ["..."].'
            )
            return ()
        for item in value:
            if choices is not None and item not in choices:
                self.problem(key, f'{key} has "{item}"', known(key, item, choices))
        return tuple(value)

    def flag(self, key: str, default: bool | None = None) -> bool:
        value = self._value(key, default)
        if value is not None and not isinstance(value, bool):
            self.problem(key, f"{key} = {_shown(value)}", f"Write {key} = true or {key} = false.")
        return value is True

    def number(self, key: str, low: float, high: float, default: float | None = None) -> float:
        value = self._value(key, default)
        if value is None:
            return low
        if isinstance(value, bool) or not isinstance(value, int | float):
            self.problem(key, f"{key} = {_shown(value)} is no number", f"Write {key} = {low:g}.")
            return low
        if not low <= value <= high:
            what = f"{key} = {value:g} lies outside {low:g} to {high:g}"
            self.problem(key, what, "Correct the number, or its unit (°C, days, percent, hours).")
            return low
        return float(value)

    def optional_number(self, key: str, low: float, high: float) -> float | None:
        return self.number(key, low, high) if self.has(key) else None

    def whole(self, key: str, low: int, high: int, default: int | None = None) -> int:
        value = self.number(key, low, high, default)
        if value != int(value):
            self.problem(
                key, f"{key} = {value:g} is no whole number", f"Write {key} = {value:.0f}."
            )
        return int(value)

    def source(self, default: str | None = None, key: str = "source") -> str:
        """A key of the sources, one of the two marks for none, or several joined by " + "."""
        value = self.text(key, default)
        for part in parts_of(value):
            if part not in self.origin.sources and not without_source(part):
                what = f'{key} = "{value}" names no source'
                self.problem(key, what, _near(part, self.origin.sources))
        return value

    def table(self, key: str) -> Table:
        self.asked.add(key)
        return Table(self.found.get(key, {}), self.origin, (*self.path, key), self.element)

    def tables(self, key: str) -> list[Table]:
        """The tables of a list, each with the place it was written at."""
        value = self._value(key, [])
        if not isinstance(value, list):
            self.problem(key, f"{key} should be a list of tables", f"Write [[{key}]].")
            return []
        return [
            Table(item, self.origin, (), item)
            if isinstance(item, dict)
            else Table(item, self.origin, (*self.path, key), self.element)
            for item in value
        ]

    def named_tables(self, key: str) -> list[tuple[str, Table]]:
        outer = self.table(key)
        return [(name, outer.table(name)) for name in outer.found]

    def done(self) -> None:
        for key in self.found:
            if key not in self.asked:
                self.problem(key, f'{self.name} has no key "{key}"', known("keys", key, self.asked))

    def _value(self, key: str, default: object) -> Any:
        self.asked.add(key)
        if key not in self.found:
            if default is None:
                self.problem(key, f"{self.name} lacks {key}", f"Add {key} = ...")
            return default
        return self.found[key]


def merged(base: Mapping[str, Any], over: Mapping[str, Any]) -> Found:
    """`over` laid on `base`: tables key by key, steps by id, cautions and disagreements added.

    Every other list replaces the one below it.
    """
    result: Found = dict(base)
    for key, value in over.items():
        below = result.get(key)
        if isinstance(below, dict) and isinstance(value, dict):
            result[key] = merged(below, value)
        elif key == "step" and isinstance(below, list) and isinstance(value, list):
            result[key] = _merged_steps(below, value)
        elif key in ("caution", "disagreement") and isinstance(below, list):
            result[key] = [*below, *value] if isinstance(value, list) else value
        else:
            result[key] = value
    return result


def _merged_steps(base: list[Any], over: list[Any]) -> list[Any]:
    """Steps of the same id replaced; others placed behind the one they name in `after`."""
    result = list(base)
    for step in over:
        ids = [_of(kept, "id") for kept in result]
        if _of(step, "id") in ids:
            result[ids.index(_of(step, "id"))] = step
        elif _of(step, "after") in ids:
            result.insert(ids.index(_of(step, "after")) + 1, step)
        else:
            result.append(step)
    return result


def _of(step: object, key: str) -> object:
    return step.get(key, object()) if isinstance(step, dict) else object()


def _shown(value: object) -> str:
    return f'"{value}"' if isinstance(value, str) else str(value)


def _near(value: str, choices: Collection[str]) -> str:
    hint = known("sources", value, choices).rpartition("Did you mean")
    mean = f"Did you mean{hint[2]} " if hint[1] else ""
    return (
        f"{mean}Describe it under [sources.{value or 'name'}] in the same file, or write"
        ' "common practice, no source" or "from memory".'
    )
