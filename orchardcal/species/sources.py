"""The published sources of the rules, and the two marks for a number without one."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from functools import lru_cache
from importlib import resources
from types import MappingProxyType

from orchardcal.species.rules import Source

NO_SOURCE = "common practice, no source"
FROM_MEMORY = "from memory"


def without_source(text: str) -> bool:
    return text in (NO_SOURCE, FROM_MEMORY)


def parts_of(source: str) -> tuple[str, ...]:
    """The keys in a source field that names several.

    >>> parts_of("wsu_eb0913 + from memory")
    ('wsu_eb0913', 'from memory')
    """
    return tuple(part.strip() for part in source.split(" + "))


@lru_cache(maxsize=1)
def shipped_sources() -> Mapping[str, Source]:
    """Every source of the shipped rules, by key."""
    data = resources.files("orchardcal.species") / "data" / "sources.toml"
    found = tomllib.loads(data.read_text(encoding="utf-8"))
    return MappingProxyType(
        {key: Source(key, entry["reference"], entry["seen"]) for key, entry in found.items()}
    )
