"""What a coordinator would trade for what, in points: the [rates] table of programme.toml."""

from __future__ import annotations

from orchardcal.sites.toml_table import TomlTable

RATE_NAMES = (
    "unsuited",
    "visit",
    "trip",
    "trip_km",
    "work_day",
    "busy_hour",
    "moved",
    "moved_day",
)
LARGEST = 10_000  # far above any sensible rate, and far below what giving up a care costs


def rate_settings(table: TomlTable) -> dict[str, int]:
    """The rates that [rates] gives, by name, in the order of RATE_NAMES; the others stay usual."""
    rates = table.table("rates")
    if rates is None:
        return {}
    given = {name: rates.whole(name, 0, LARGEST, -1) for name in RATE_NAMES}
    rates.refuse_unknown_keys()
    return {name: points for name, points in given.items() if points >= 0}
