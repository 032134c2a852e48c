"""Facts of a species from its tables: needs, ranges, bud stages, steps, shares, minutes."""

from __future__ import annotations

from collections.abc import Collection, Mapping

from orchardcal.care import TITLES
from orchardcal.species.rules import (
    CHILL,
    HEAT,
    PARTS,
    Minutes,
    Need,
    OverlapNeed,
    Range,
    Shares,
    Stage,
    Step,
)
from orchardcal.species.table import Table

PORTIONS = (0.0, 150.0)
GDH = (0.0, 60000.0)
NEEDS = ("early", "typical", "late")
AGES = (0, 999)
FIRST_BLOOM_SHARE = 0.80


def stages(species: Table) -> tuple[Stage, ...]:
    """The bud stages in order; a later one has more heat and no hardier buds."""
    found: list[Stage] = []
    for entry in species.tables("stage"):
        stage = Stage(
            key=entry.text("key"),
            title=entry.text("title"),
            heat_share=entry.number("heat_share", 0.01, 5.0),
            source=entry.source(),
            kill10_c=entry.optional_number("kill10_c", -60, 5),
            kill90_c=entry.optional_number("kill90_c", -60, 5),
            kill_source=entry.source(key="kill_source") if entry.has("kill_source") else "",
        )
        if stage.key in [other.key for other in found]:
            entry.problem("key", f'stage "{stage.key}" is there twice', "Leave one of them out.")
        if found:
            _check_order(entry, found[-1], stage)
        if stage.kill90_c is not None and (stage.kill10_c or 0) < stage.kill90_c:
            entry.problem(
                "kill90_c",
                f"kill90_c = {stage.kill90_c:g} is warmer than kill10_c = {stage.kill10_c}",
                "It takes more cold to kill nine buds in ten than one in ten.",
            )
        if stage.kill10_c is not None and not stage.kill_source:
            entry.problem("kill10_c", "kill10_c has no source", 'Add kill_source = "...".')
        found.append(stage)
        entry.done()
    return tuple(found)


def _check_order(entry: Table, before: Stage, stage: Stage) -> None:
    if stage.heat_share < before.heat_share:
        entry.problem(
            "heat_share",
            f"heat_share = {stage.heat_share:g} is less than {before.heat_share:g} of the stage"
            f" before ({before.key})",
            "List the stages in the order they come.",
        )
    if None not in (before.kill10_c, stage.kill10_c) and before.kill10_c > stage.kill10_c:  # type: ignore[operator]
        entry.problem(
            "kill10_c",
            f"kill10_c = {stage.kill10_c:g} is colder than {before.kill10_c:g} of {before.key}",
            "Buds grow more tender as they open.",
        )


def overlap(species: Table) -> OverlapNeed | None:
    """The calibrated need of [bud_model], None for a species without."""
    table = species.table("bud_model")
    if not table.found:
        return None
    found = OverlapNeed(
        chill_from=table.number("chill_from", *PORTIONS),
        heat_need=table.number("heat_need", 1, 10_000),
        chill_fall=table.number("chill_fall", 0, 2),
        source=table.source(),
    )
    table.done()
    return found


def needs(species: Table, found_stages: Collection[Stage], stage_heat: str) -> dict[str, Need]:
    """Early, typical and late; empty only for a species without (an evergreen)."""
    table = species.table("needs")
    shares = _growing_shares(found_stages, stage_heat)
    found = {key: need(table.table(key), shares) for key in NEEDS if table.has(key)}
    if found and len(found) < len(NEEDS):
        table.problem("", "needs must give early, typical and late", "Add [needs.late] and so on.")
    table.asked.update(NEEDS)
    table.done()
    return found


def cultivars(
    species: Table, found_stages: Collection[Stage], stage_heat: str, usual: dict[str, Need]
) -> dict[str, Need]:
    """Needs by lower-case cultivar name; one without a heat takes the species' early heat."""
    fallback = usual.get("early")
    shares = _growing_shares(found_stages, stage_heat)
    return {
        name.strip().lower(): need(entry, shares, fallback)
        for name, entry in species.named_tables("cultivars")
    }


def _growing_shares(found_stages: Collection[Stage], stage_heat: str) -> dict[str, float]:
    """The growing degree hours to a stage as a share of those to full bloom.

    Where stages have shares of daylight heat, only first bloom has one here too: 0.80, measured as
    0.79 to 0.82 on peach, pear and cherry at 35 Korean stations (tests/hindcast_study).
    """
    if stage_heat == "asymcur":
        return {stage.key: stage.heat_share for stage in found_stages}
    keys = [stage.key for stage in found_stages]
    known = {"first_bloom": FIRST_BLOOM_SHARE, "full_bloom": 1.0}
    return {key: share for key, share in known.items() if key in keys}


def need(entry: Table, shares: Mapping[str, float], fallback: Need | None = None) -> Need:
    portions = entry.number("portions", *PORTIONS)
    source = entry.source()
    if fallback is not None and not entry.has("heat_gdh"):
        entry.done()
        return Need(
            portions,
            fallback.heat_gdh,
            source,
            fallback.printed_gdh,
            fallback.printed_to,
            fallback.heat_source or fallback.source,
        )
    printed = entry.number("heat_gdh", *GDH)
    to_stage = entry.choice("to", tuple(shares), "full_bloom" if "full_bloom" in shares else "")
    heat_source = entry.source(key="heat_source") if entry.has("heat_source") else ""
    entry.done()
    full = round(printed / shares.get(to_stage, 1.0))
    return Need(portions, float(full), source, printed, to_stage or "full_bloom", heat_source)


def chill_ranges(species: Table) -> dict[str, Range]:
    return _ranges(species, "chill", CHILL)


def heat_ranges(species: Table) -> dict[str, Range]:
    return _ranges(species, "heat", HEAT)


def _ranges(species: Table, key: str, kinds: Collection[str]) -> dict[str, Range]:
    table = species.table(key)
    found = {kind: one_range(table.table(kind), 0, 60000) for kind in kinds if table.has(kind)}
    table.asked.update(kinds)
    table.done()
    return found


def one_range(entry: Table, low: float, high: float) -> Range:
    found = Range(
        entry.number("low", low, high),
        entry.number("typical", low, high),
        entry.number("high", low, high),
        entry.source(),
    )
    if not found.low <= found.typical <= found.high:
        entry.problem(
            "typical",
            f"{found.low:g}, {found.typical:g}, {found.high:g} do not rise",
            "Give low, typical and high in this order.",
        )
    entry.done()
    return found


def steps(species: Table, leaf: str, keeps_spurs: bool, forms: Collection[str]) -> tuple[Step, ...]:
    """The sentences of the work that suit this species, in order."""
    kinds = {leaf, "keeps_spurs" if keeps_spurs else "no_spurs"}
    found: list[Step] = []
    for entry in species.tables("step"):
        only = entry.choice("only", ("deciduous", "evergreen", "keeps_spurs", "no_spurs"), "")
        step = Step(
            care=entry.choice("care", tuple(TITLES)),
            text=entry.text("text"),
            source=entry.source(),
            first_age=entry.whole("first_age", *AGES, default=0),
            last_age=entry.whole("last_age", *AGES, default=999),
            forms=entry.texts("forms", forms),
            id=entry.text("id"),
            short=entry.text("short", ""),
            part=entry.choice("part", PARTS, PARTS[0]),
        )
        entry.text("after", "")
        if step.id in [other.id for other in found]:
            entry.problem("id", f'step "{step.id}" is there twice', "Give one another id.")
        entry.done()
        if step.text and (not only or only in kinds):
            found.append(step)
    return tuple(found)


def shares(species: Table) -> tuple[Shares, ...]:
    found = []
    for entry in species.tables("shares"):
        share = Shares(
            entry.whole("from_age", *AGES),
            entry.whole("structure", 0, 100),
            entry.whole("heading", 0, 100),
            entry.whole("fruiting", 0, 100),
            entry.source(),
        )
        total = share.structure + share.heading + share.fruiting
        if total != 100:
            what = f"structure, heading and fruiting add up to {total}"
            entry.problem("", what, "Make them add up to 100.")
        entry.done()
        found.append(share)
    return tuple(sorted(found, key=lambda share: share.from_age))


def minutes(species: Table) -> tuple[Minutes, ...]:
    found = []
    for entry in species.tables("minutes"):
        found.append(
            Minutes(
                entry.whole("from_age", *AGES),
                entry.whole("skilled", 1, 2000),
                entry.whole("volunteers", 1, 2000),
                entry.source(),
            )
        )
        entry.done()
    return tuple(sorted(found, key=lambda minute: minute.from_age))
