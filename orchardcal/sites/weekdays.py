"""Days of the week as people write them: "mon-fri", "tue, thu" or a list of names."""

from __future__ import annotations

import re

from orchardcal.sites.toml_table import TomlTable

WEEKDAYS = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")
MON_TO_FRI = frozenset(range(5))


def weekdays(table: TomlTable, key: str, default: frozenset[int]) -> frozenset[int]:
    """Days of the week, Monday 0, from "mon-fri", "tue, thu" or a list of names."""
    value = table.raw(key)
    if value is None:
        return default
    parts = value if isinstance(value, list) else re.split(r"[,;\s]+", str(value).strip())
    days: set[int] = set()
    for part in parts:
        ends = [_weekday(name) for name in re.split(r"\s*[-–]\s*", str(part))]
        if None in ends or len(ends) > 2:
            table.wrong(
                key,
                f'{key} holds "{part}"',
                f'Known weekdays: {", ".join(WEEKDAYS)}; write "mon-fri" or ["tue", "thu"].',
            )
            continue
        first, last = ends[0] or 0, ends[-1] or 0
        days.update((first + step) % 7 for step in range((last - first) % 7 + 1))
    return frozenset(days) or default


def _weekday(name: str) -> int | None:
    name = name.strip().lower()
    full = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")
    fits = [index for index, day in enumerate(full) if len(name) >= 3 and day.startswith(name)]
    return fits[0] if fits else None
