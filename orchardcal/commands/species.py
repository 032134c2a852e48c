"""`orchardcal species`: the list of species, or one species' rules with every number's source."""

from __future__ import annotations

import json
from calendar import month_name
from collections.abc import Iterable, Sequence
from dataclasses import asdict
from pathlib import Path

import click

from orchardcal.care import TITLES
from orchardcal.errors import known
from orchardcal.species.reading import key_named, read_sources, read_species, species_names
from orchardcal.species.rules import (
    Anchor,
    CareRule,
    DayConditions,
    Need,
    Range,
    Source,
    SpeciesRules,
)
from orchardcal.species.sources import parts_of, without_source


@click.command()
@click.argument("name", required=False)
@click.option(
    "--folder",
    type=click.Path(exists=True, file_okay=False, path_type=Path),
    help="A programme folder whose species/*.toml add to the rules or override them.",
)
@click.option("--json", "as_json", is_flag=True, help="Write JSON instead of text.")
def species(name: str | None, folder: Path | None, as_json: bool) -> None:
    """List the species, or show one species' rules with every number and its source.

    NAME is a key or any usual name of a species.

    \b
    Examples:
      orchardcal species
      orchardcal species "sour cherry"
      orchardcal species peach --json
      orchardcal species --folder demo_sites
    """
    own = sorted((folder / "species").glob("*.toml")) if folder else []
    if name is None:
        rules = read_species(own).values()
        click.echo(_as_json([_summary(one) for one in rules]) if as_json else _listed(rules))
        return
    names = species_names(own)
    key = key_named(name, names)
    if key is None:
        raise click.BadParameter(
            f'there are no rules for "{name}".\n{known("species", name, names)}', param_hint="NAME"
        )
    found = read_species(own, only=[key])[key]
    sources = read_sources(own)
    if as_json:
        used = {one.key: asdict(one) for one in _used(found, sources)}
        click.echo(_as_json({"rules": asdict(found), "sources": used}))
    else:
        click.echo(_shown(found, sources))


def _as_json(value: object) -> str:
    return json.dumps(value, ensure_ascii=False, indent=2, sort_keys=True)


STAGE_HEAT_WORDS = {"daylight": "daylight heat", "asymcur": "growing degree hours"}


def _summary(rules: SpeciesRules) -> dict[str, object]:
    early = rules.needs.get("early")
    return {
        "key": rules.key,
        "title": rules.title,
        "latin": rules.latin,
        "leaf": rules.leaf,
        "canker_risk": rules.canker_risk,
        "portions": early.portions if early else None,
        "heat_gdh": early.heat_gdh if early else None,
        "cares": [rule.care for rule in rules.cares if not rule.never],
        "origin": rules.origin,
        "other_names": list(rules.aliases),
    }


def _listed(rules: Iterable[SpeciesRules]) -> str:
    rows = [("key", "latin", "leaf", "canker", "chill", "heat", "pruned", "origin")]
    for one in rules:
        early, late = one.needs.get("early"), one.needs.get("late")
        spread = early is not None and late is not None
        rows.append(
            (
                one.key,
                one.latin,
                one.leaf,
                one.canker_risk,
                f"{early.portions:.0f}-{late.portions:.0f}" if spread and early and late else "-",
                f"{early.heat_gdh:.0f}" if early else "-",
                _pruned(one),
                one.origin,
            )
        )
    foot = "chill: portions, early to late cultivars; heat: growing degree hours, early cultivars"
    return "\n".join(
        (*_table(rows), "", foot, "orchardcal species NAME shows one with its sources")
    )


def _pruned(rules: SpeciesRules) -> str:
    ways = {"dormant_pruning": "dormant", "in_leaf_pruning": "in leaf"}
    done = [rules.care(care) for care in ways]
    return ", ".join(ways[rule.care] for rule in done if rule and not rule.never)


def _shown(rules: SpeciesRules, sources: dict[str, Source]) -> str:
    parts = [
        (f"{rules.title} ({rules.latin})", _habit(rules)),
        ("Chill, then heat to full bloom", _needs(rules)),
        ("Published ranges, to compare", _ranges(rules)),
        ("Bud stages", _stages(rules)),
        ("Care", [line for rule in rules.cares for line in _care(rule)]),
        ("The year's cuts, in percent", _shares(rules)),
        ("Steps", _steps(rules)),
        ("Take care", [f"{one.text}  [{one.source}]" for one in rules.cautions]),
        ("Where sources disagree", _disagreements(rules)),
        (
            "Sources",
            [f"{one.key}: {one.reference} (seen: {one.seen})" for one in _used(rules, sources)],
        ),
    ]
    return "\n\n".join(
        "\n".join((head, *(f"  {line}" for line in lines))) for head, lines in parts if lines
    )


def _habit(rules: SpeciesRules) -> list[str]:
    source = dict(rules.habit_sources)
    rows = [
        ("key", rules.key, ""),
        ("other names", ", ".join(rules.aliases) or "-", ""),
        ("leaf", rules.leaf, ""),
        ("bears on", rules.bears_on, source.get("bears_on", "")),
        ("keeps spurs", "yes" if rules.keeps_spurs else "no", source.get("bears_on", "")),
        ("forms", ", ".join(rules.forms), source.get("forms", "")),
        ("canker risk", rules.canker_risk, source.get("canker_risk", "")),
        ("sunburn risk", rules.sunburn_risk, source.get("sunburn_risk", "")),
        ("stages by", STAGE_HEAT_WORDS[rules.stage_heat], source.get("stage_heat", "")),
        ("rules from", rules.origin, ""),
    ]
    return _table(rows)


def _needs(rules: SpeciesRules) -> list[str]:
    if not rules.needs:
        return []
    rows: list[Sequence[str]] = [("cultivars", "portions", "heat (GDH)", "as printed", "source")]
    rows += [
        _need_row(name, need) for name, need in (*rules.needs.items(), *rules.cultivars.items())
    ]
    return _table(rows)


def _need_row(name: str, need: Need) -> tuple[str, ...]:
    printed = f"{need.printed_gdh:.0f} to {need.printed_to.replace('_', ' ')}"
    source = f"{need.source}; heat: {need.heat_source}" if need.heat_source else need.source
    return (name, f"{need.portions:g}", f"{need.heat_gdh:.0f}", printed, source)


def _ranges(rules: SpeciesRules) -> list[str]:
    rows: list[Sequence[str]] = [("counted as", "low", "usual", "high", "source")]
    rows += [_range_row(f"chill, {model}", one) for model, one in rules.chill.items()]
    rows += [_range_row(f"heat, {how.replace('_', ' ')}", one) for how, one in rules.heat.items()]
    harvest = rules.harvest_end_days_after_bloom
    if harvest is not None:
        rows.append(_range_row("harvest ends, days after bloom", harvest))
    rows.append(_range_row("percent of the tree taken", rules.removal_percent))
    return _table(rows)


def _range_row(name: str, one: Range) -> tuple[str, ...]:
    return (name, f"{one.low:g}", f"{one.typical:g}", f"{one.high:g}", one.source)


def _stages(rules: SpeciesRules) -> list[str]:
    if not rules.stages:
        return []
    rows = [("stage", "share of heat", "10 % die", "90 % die", "share from", "temperatures from")]
    for one in rules.stages:
        kills = (_celsius(one.kill10_c), _celsius(one.kill90_c))
        rows.append(
            (one.title, f"{one.heat_share:.2f}", *kills, one.source, one.kill_source or "-")
        )
    return [*_table(rows), "of buds, after 30 minutes in test conditions"]


def _care(rule: CareRule) -> list[str]:
    title = TITLES[rule.care]
    if rule.never:
        return [f"{title}: never. {rule.never}  [{rule.source}]"]
    lines = [f"{title}: {rule.why}  [{rule.source}]" if rule.why else f"{title}  [{rule.source}]"]
    for word, anchors in (("opens", rule.opens), ("closes", rule.closes), ("best", rule.best)):
        lines += [f"  {word:<7} {_anchor(one, word)}  [{one.source}]" for one in anchors]
    for word, day in (
        ("day", rule.day),
        *((f"day, {c.replace('_', ' ')}:", d) for c, d in rule.day_by_climate),
    ):
        said = _day(day)
        if said:
            lines.append(f"  {word:<7} {said}  [{day.source}]")
    for after in rule.follows:
        most = f", at most: {after.within_days}" if after.within_days is not None else ""
        care = TITLES[after.care].lower()
        lines.append(f"  after   {care}: days at least: {after.gap_days}{most}  [{after.source}]")
    if rule.last_age is not None:
        lines.append(f"  ages    up to year {rule.last_age}  [{rule.source}]")
    if rule.only_if_pests:
        lines.append("  only    where scouting found pests")
    return lines


def _anchor(one: Anchor, word: str) -> str:
    what = one.at.replace("_", " ")
    if one.at == "month_day":
        what = f"{one.day} {month_name[one.month or 1]} (in the north)"
    if one.threshold_c is not None:
        what += f" at {_celsius(one.threshold_c)}"
    if one.offset_days:
        what += f" {one.offset_days:+d} days"
    if one.at not in ("month_day", "coldest_start", "coldest_end", "first_wet_month"):
        what += (
            f", {'not yet come' if word == 'closes' else 'passed'} in {one.share:.0%} of seasons"
        )
    return what + (f", only where {one.climate.replace('_', ' ')}" if one.climate else "")


def _day(day: DayConditions) -> str:
    said = (
        day.low_min_c is not None and f"low {_celsius(day.low_min_c)} or more",
        day.high_min_c is not None and f"high {_celsius(day.high_min_c)} or more",
        day.high_max_c is not None and f"high {_celsius(day.high_max_c)} or less",
        day.freeze_free_days_after and f"frost-free days after: {day.freeze_free_days_after}",
        day.dry_days_before and f"dry days before: {day.dry_days_before}",
        day.dry_days_after and f"dry days after: {day.dry_days_after}",
        day.no_hard_freeze_c is not None
        and f"no low under {_celsius(day.no_hard_freeze_c)} within {day.no_hard_freeze_days} days",
    )
    return ", ".join(part for part in said if part)


def _shares(rules: SpeciesRules) -> list[str]:
    rows: list[Sequence[str]] = [("from year", "structure", "heading", "fruit", "source")]
    for share in rules.shares:
        cells = (share.from_age, share.structure, share.heading, share.fruiting, share.source)
        rows.append([str(cell) for cell in cells])
    minutes: list[Sequence[str]] = [("from year", "minutes, skilled", "with volunteers", "source")]
    for one in rules.minutes:
        cells_m = (one.from_age, one.skilled, one.volunteers, one.source)
        minutes.append([str(cell) for cell in cells_m])
    return [*_table(rows), "", *_table(minutes)]


def _steps(rules: SpeciesRules) -> list[str]:
    lines = []
    for care, title in TITLES.items():
        rule = rules.care(care)
        steps = [step for step in rules.steps if step.care == care and rule and not rule.never]
        if steps:
            lines.append(title)
        for step in steps:
            ages = f" (years {step.first_age}-{step.last_age})" if step.last_age < 999 else ""
            ages = f" (from year {step.first_age})" if not ages and step.first_age else ages
            forms = f" ({', '.join(step.forms)})" if step.forms else ""
            lines.append(f"  {step.text}{ages}{forms}  [{step.source}]")
    return lines


def _disagreements(rules: SpeciesRules) -> list[str]:
    lines = []
    for topic, one, other, default in rules.disagreements:
        lines += [topic, f"  one:     {one}", f"  other:   {other}", f"  default: {default}"]
    return lines


def _used(rules: SpeciesRules, sources: dict[str, Source]) -> list[Source]:
    """The sources named anywhere in the rules, in order of their keys."""
    named = {part for text in _texts(asdict(rules)) for part in parts_of(text)}
    return [sources[key] for key in sorted(named) if key in sources and not without_source(key)]


def _texts(value: object) -> Iterable[str]:
    if isinstance(value, str):
        yield value
    elif isinstance(value, dict):
        for inner in value.values():
            yield from _texts(inner)
    elif isinstance(value, list | tuple):
        for inner in value:
            yield from _texts(inner)


def _celsius(value_c: float | None) -> str:
    return "-" if value_c is None else f"{value_c:.1f} °C"


def _table(rows: Sequence[Sequence[str]]) -> list[str]:
    """Rows in columns, each as wide as its longest cell."""
    widths = [max(len(row[at]) for row in rows) for at in range(len(rows[0]))]
    return [
        "  ".join(cell.ljust(width) for cell, width in zip(row, widths, strict=True)).rstrip()
        for row in rows
    ]
