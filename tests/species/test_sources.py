"""Every number has its source; every source is used, and its key tells its year."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import asdict, fields, is_dataclass

from orchardcal.species.rules import SpeciesRules
from orchardcal.species.sources import parts_of, shipped_sources, without_source


def named_sources(value: object) -> Iterator[str]:
    """Every text of a field called source, kill_source or heat_source, and of pairs with one."""
    if is_dataclass(value):
        for field in fields(value):
            inner = getattr(value, field.name)
            if field.name.endswith("source") and inner:
                yield from parts_of(inner)
            elif field.name == "habit_sources":
                for _, source in inner:
                    yield from parts_of(source)
            else:
                yield from named_sources(inner)
    elif isinstance(value, dict):
        for inner in value.values():
            yield from named_sources(inner)
    elif isinstance(value, tuple):
        for inner in value:
            yield from named_sources(inner)


def test_every_source_resolves_and_every_one_is_used(shipped: dict[str, SpeciesRules]) -> None:
    sources = shipped_sources()
    used = {name for rules in shipped.values() for name in named_sources(rules)}
    assert {name for name in used if not without_source(name)} == set(sources)


def test_no_number_is_without_a_source(shipped: dict[str, SpeciesRules]) -> None:
    for rules in shipped.values():
        parts: list[object] = [*rules.needs.values(), *rules.cultivars.values()]
        parts += [*rules.chill.values(), *rules.heat.values(), *rules.stages, *rules.cares]
        parts += [*rules.steps, *rules.shares, *rules.minutes, rules.removal_percent]
        parts += [one for rule in rules.cares for one in (*rule.opens, *rule.closes, *rule.best)]
        parts += [one for rule in rules.cares for one in (*rule.follows, rule.day)]
        for part in parts:
            assert getattr(part, "source", ""), (rules.key, part)
        for stage in rules.stages:
            assert (stage.kill10_c is None) or stage.kill_source
        assert len(rules.habit_sources) == 5


def test_a_year_in_a_key_is_in_the_reference() -> None:
    for key, source in shipped_sources().items():
        assert source.reference
        assert source.seen
        for year in re.findall(r"(?:19|20)\d\d$", key):
            assert year in source.reference, key


def test_rules_can_be_written_as_data(shipped: dict[str, SpeciesRules]) -> None:
    assert asdict(shipped["apple"])["title"] == "apple"
