"""Care rules of a species from its tables: anchors, day conditions, what follows what."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import replace

from orchardcal.care import DORMANT_OIL_SPRAY, OIL_SCOUTING, TITLES
from orchardcal.errors import known
from orchardcal.species.rules import (
    ANCHORS,
    CLIMATES,
    Anchor,
    CareRule,
    DayConditions,
    Follows,
)
from orchardcal.species.table import Table

LIMITS_C = (-60.0, 60.0)
DAYS = (-250, 250)
ANY_AGE = "any"  # last_age = "any": at every age, where the general rule says up to one


def care_rules(species: Table, stages: Collection[str], leaf: str) -> tuple[CareRule, ...]:
    """Every care the species is given, in the order of the files."""
    rules = []
    for name, table in species.named_tables("care"):
        if name not in TITLES:
            table.problem("", f'"{name}" is no care', known("cares", name, TITLES))
            continue
        only = table.choice("only", ("deciduous", "evergreen"), "")
        rule = _care_rule(name, table, stages)
        table.done()
        if not only or only == leaf:
            rules.append(rule)
    return tuple(_scouting_before_oil(rules))


def _care_rule(care: str, table: Table, stages: Collection[str]) -> CareRule:
    source = table.source()
    day = table.table("day")
    conditions = _day(day, source, DayConditions())
    climates = []
    for climate, other in table.named_tables("day_in"):
        if climate not in CLIMATES:
            other.problem("", f'"{climate}" is no climate', known("climates", climate, CLIMATES))
        climates.append((climate, _day(other, source, conditions)))
    return CareRule(
        care=care,
        opens=_anchors(table, "opens", source, stages),
        closes=_anchors(table, "closes", source, stages),
        best=_anchors(table, "best", source, stages),
        day=conditions,
        day_by_climate=tuple(climates),
        follows=_follows(table, source),
        only_if_pests=table.flag("only_if_pests", False),
        first_age=table.whole("first_age", 0, 200, default=0),
        last_age=_last_age(table),
        never=table.text("never", ""),
        why=table.text("why", ""),
        source=source,
    )


def _last_age(table: Table) -> int | None:
    if table.found.get("last_age") == ANY_AGE:
        table.asked.add("last_age")
        return None
    return table.whole("last_age", 1, 200) if table.has("last_age") else None


def _anchors(table: Table, key: str, source: str, stages: Collection[str]) -> tuple[Anchor, ...]:
    return tuple(_anchor(entry, source, stages) for entry in table.tables(key))


def _anchor(entry: Table, source: str, stages: Collection[str]) -> Anchor:
    at = entry.choice("at", (*ANCHORS, *stages))
    anchor = Anchor(
        at=at,
        offset_days=entry.whole("offset_days", *DAYS, default=0),
        share=entry.number("share", 0.01, 0.99, 0.5),
        source=entry.source(source),
        threshold_c=entry.optional_number("threshold_c", *LIMITS_C),
        month=entry.whole("month", 1, 12) if at == "month_day" else None,
        day=entry.whole("day", 1, 31) if at == "month_day" else None,
        climate=entry.choice("climate", CLIMATES, ""),
    )
    if at in ("last_freeze", "first_freeze", "first_hot_day") and anchor.threshold_c is None:
        entry.problem("", f'at = "{at}" lacks threshold_c', "Add threshold_c = 0.0, in °C.")
    entry.done()
    return anchor


def _day(table: Table, source: str, base: DayConditions) -> DayConditions:
    """Conditions of the table over those of `base`, which hold for what it leaves out."""
    conditions = DayConditions(
        low_min_c=_limit(table, "low_min_c", base.low_min_c),
        high_min_c=_limit(table, "high_min_c", base.high_min_c),
        high_max_c=_limit(table, "high_max_c", base.high_max_c),
        freeze_free_days_after=table.whole(
            "freeze_free_days_after", 0, 30, base.freeze_free_days_after
        ),
        dry_days_before=table.whole("dry_days_before", 0, 60, base.dry_days_before),
        dry_days_after=table.whole("dry_days_after", 0, 60, base.dry_days_after),
        no_hard_freeze_c=_limit(table, "no_hard_freeze_c", base.no_hard_freeze_c),
        no_hard_freeze_days=table.whole("no_hard_freeze_days", 0, 60, base.no_hard_freeze_days),
        no_hard_freeze_grown_c=_limit(table, "no_hard_freeze_grown_c", base.no_hard_freeze_grown_c),
        source=table.source(base.source or source),
    )
    if (conditions.no_hard_freeze_c is None) != (conditions.no_hard_freeze_days == 0):
        table.problem(
            "no_hard_freeze_c",
            "no_hard_freeze_c and no_hard_freeze_days belong together",
            "Give both, or neither.",
        )
    table.done()
    return conditions


def _limit(table: Table, key: str, base: float | None) -> float | None:
    return table.number(key, *LIMITS_C) if table.has(key) else base


def _follows(table: Table, source: str) -> tuple[Follows, ...]:
    found = []
    for entry in table.tables("follows"):
        care = entry.choice("care", tuple(TITLES))
        gap = entry.whole("gap_days", 0, 365)
        within = entry.whole("within_days", 0, 365) if entry.has("within_days") else None
        if within is not None and within < gap:
            entry.problem(
                "within_days",
                f"within_days = {within} is less than gap_days = {gap}",
                "Give the last day as the larger number.",
            )
        found.append(Follows(care, gap, within, entry.source(source)))
        entry.done()
    return tuple(found)


def _scouting_before_oil(rules: list[CareRule]) -> list[CareRule]:
    """Scouting without an end of its own ends 14 days before the oil would; no oil, no scouting."""
    oil = next((rule for rule in rules if rule.care == DORMANT_OIL_SPRAY), None)
    kept = []
    for rule in rules:
        if rule.care == OIL_SCOUTING and not rule.closes:
            if oil is None or oil.never:
                continue
            earlier = (replace(end, offset_days=end.offset_days - 14) for end in oil.closes)
            rule = replace(rule, closes=tuple(earlier))
        kept.append(rule)
    return kept
