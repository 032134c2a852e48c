"""Species rules read from the shipped files and the programme's own, every problem collected."""

from __future__ import annotations

import tomllib
from collections.abc import Collection, Mapping, Sequence
from functools import lru_cache
from importlib import resources
from pathlib import Path

from orchardcal.care import TITLES
from orchardcal.errors import Problems, Spot, known
from orchardcal.forms import FORMS
from orchardcal.species import reading_facts
from orchardcal.species.reading_cares import care_rules
from orchardcal.species.rules import LEAF, RISK, STAGE_HEAT, Caution, Source, SpeciesRules
from orchardcal.species.sources import shipped_sources
from orchardcal.species.table import Found, Origin, RuleFile, Table, merged

GENERAL, NAMES, SOURCES = "general.toml", "names.toml", "sources.toml"
TOPICS = ("bears_on", "canker_risk", "sunburn_risk", "forms", "stage_heat")


def read_species(
    extra_files: Sequence[Path] = (), only: Collection[str] | None = None
) -> dict[str, SpeciesRules]:
    """Rules by species key, in the order of names.toml, the programme's own species last.

    extra_files: the programme's species/*.toml, each named by its species key; one that is
    shipped needs only the tables that differ. only: keys or other names of the species wanted.
    Raises BadFiles with every problem of the files read.
    """
    problems = Problems()
    own = _own_files(extra_files, problems)
    problems.raise_if_any()
    shipped = shipped_names()
    wanted = None if only is None else {key_named(name, _all_names(own)) for name in only}
    sources = _sources(own.values()).keys()
    rules = {}
    for key in (*shipped, *(key for key in own if key not in shipped)):
        if wanted is None or key in wanted:
            rules[key] = _one_species(key, own.get(key), sources, problems)
    problems.raise_if_any()
    return rules


def read_sources(extra_files: Sequence[Path] = ()) -> dict[str, Source]:
    """Every source by key, those described in the programme's own files among them."""
    problems = Problems()
    own = _own_files(extra_files, problems)
    problems.raise_if_any()
    return _sources(own.values())


def species_names(extra_files: Sequence[Path] = ()) -> dict[str, str]:
    """Every name a tree list may use, as lower-case words, and the species key it means.

    Reads no rules, so it is quick; a file that cannot be read still names its species.
    """
    return _all_names(_own_files(extra_files, Problems()))


def key_named(name: str, names: Mapping[str, str]) -> str | None:
    """The species key for a name; case, hyphens and underscores do not matter.

    >>> key_named("Peach", species_names()), key_named("sweet-cherry", species_names())
    ('peach_nectarine', 'sweet_cherry')
    """
    return names.get(_plain(name))


def species_named(rules: Mapping[str, SpeciesRules], name: str) -> SpeciesRules | None:
    """The rules meant by a key, title, plural, Latin name or other name."""
    plain = _plain(name)
    for key, found in rules.items():
        others = (key, found.title, found.plural, found.latin, *found.aliases)
        if plain in {_plain(other) for other in others}:
            return found
    return None


@lru_cache(maxsize=1)
def shipped_names() -> Mapping[str, tuple[str, ...]]:
    """Other names of every shipped species, by key."""
    return {key: tuple(names) for key, names in _shipped_file(NAMES).found.items()}


@lru_cache(maxsize=64)
def _shipped_file(name: str) -> RuleFile:
    text = (resources.files("orchardcal.species") / "data" / name).read_text(encoding="utf-8")
    return RuleFile(f"orchardcal/species/data/{name}", text, tomllib.loads(text))


def _own_files(paths: Sequence[Path], problems: Problems) -> dict[str, RuleFile]:
    """The programme's files by species key."""
    own: dict[str, RuleFile] = {}
    for path in paths:
        shown_as = path.as_posix()
        key = _plain(path.stem).replace(" ", "_")
        if key in own:
            what = f'species "{key}" already has the file {own[key].shown_as}'
            problems.add(Spot(shown_as), what, "Put both into one file.")
            continue
        own[key] = _own_file(path, shown_as, problems)
    return own


def _own_file(path: Path, shown_as: str, problems: Problems) -> RuleFile:
    text, found = "", {}
    try:
        text = path.read_text(encoding="utf-8-sig")
        found = tomllib.loads(text)
    except OSError as trouble:
        problems.add(Spot(shown_as), f"cannot be read: {trouble.strerror}", "Check the file.")
    except UnicodeDecodeError:
        problems.add(Spot(shown_as), "is not UTF-8 text", "Save it as UTF-8.")
    except tomllib.TOMLDecodeError as trouble:
        what, _, at = str(trouble).partition(" (at ")
        line = int(at[5:].split(",")[0]) if at.startswith("line ") else text.count("\n") + 1
        what = f"is no TOML: {what[:1].lower()}{what[1:]}"
        problems.add(Spot(shown_as, line), what, 'Mend the line: key = "text", or key = 1.5.')
    return RuleFile(shown_as, text, found)


def _all_names(own: Mapping[str, RuleFile]) -> dict[str, str]:
    names = {}
    for key, others in shipped_names().items():
        names.update({_plain(name): key for name in (key, *others)})
    for key, file in own.items():
        given = file.found.get("aliases", [])
        others = tuple(name for name in given if isinstance(name, str))
        title = (file.found.get("title"), file.found.get("plural"))
        others = (*others, *(name for name in title if isinstance(name, str)))
        names.update({_plain(name): key for name in (key, *others)})
    return names


def _plain(name: str) -> str:
    return " ".join(name.replace("-", " ").replace("_", " ").casefold().split())


def _sources(own: Collection[RuleFile]) -> dict[str, Source]:
    found = dict(shipped_sources())
    for file in own:
        given = file.found.get("sources", {})
        for key, entry in given.items() if isinstance(given, dict) else ():
            if isinstance(entry, dict):
                reference, seen = entry.get("reference", ""), entry.get("seen", "")
                found[key] = Source(key, str(reference), str(seen))
    return found


def _one_species(
    key: str, own: RuleFile | None, sources: Collection[str], problems: Problems
) -> SpeciesRules:
    general = _shipped_file(GENERAL)
    shipped = key in shipped_names()
    files = [general]
    if shipped:
        files.insert(0, _shipped_file(f"{key}.toml"))
    if own is not None:
        files.insert(0, own)
    found: Found = {}
    for file in reversed(files):
        found = merged(found, file.found)
    origin = Origin(files, sources, problems)
    if not shipped and not ("title" in found and "leaf" in found):
        what = f'"{key}" is no shipped species, so its file must be complete'
        problems.add(Spot(files[0].shown_as), what, known("species", key, shipped_names()))
        return _rules(key, Table(found, Origin(files, sources, Problems())), own)
    return _rules(key, Table(found, origin), own)


def _rules(key: str, table: Table, own: RuleFile | None) -> SpeciesRules:
    leaf = table.choice("leaf", LEAF)
    keeps_spurs = table.flag("keeps_spurs")
    stages = reading_facts.stages(table)
    stage_heat = table.choice("stage_heat", STAGE_HEAT)
    needs = reading_facts.needs(table, stages, stage_heat)
    if leaf == "deciduous" and not (needs and stages):
        table.problem("", f'deciduous species "{key}" lacks needs or stages', "Add both.")
    harvest = table.table("harvest_end_days_after_bloom")
    habit = table.table("habit_sources")
    rules = SpeciesRules(
        key=key,
        title=table.text("title"),
        plural=table.text("plural"),
        latin=table.text("latin"),
        leaf=leaf,
        bears_on=table.text("bears_on"),
        keeps_spurs=keeps_spurs,
        forms=table.texts("forms", FORMS),
        canker_risk=table.choice("canker_risk", RISK),
        sunburn_risk=table.choice("sunburn_risk", RISK),
        needs=needs,
        cultivars=reading_facts.cultivars(table, stages, stage_heat, needs),
        chill=reading_facts.chill_ranges(table),
        heat=reading_facts.heat_ranges(table),
        stages=stages,
        harvest_end_days_after_bloom=(
            reading_facts.one_range(harvest, 0, 364) if harvest.found else None
        ),
        cares=care_rules(table, [stage.key for stage in stages], leaf),
        steps=reading_facts.steps(table, leaf, keeps_spurs, FORMS),
        shares=reading_facts.shares(table),
        minutes=reading_facts.minutes(table),
        removal_percent=reading_facts.one_range(table.table("removal_percent"), 0, 100),
        cautions=_cautions(table, leaf),
        disagreements=_disagreements(table),
        aliases=(*shipped_names().get(key, ()), *table.texts("aliases")),
        stage_aliases=_stage_aliases(table, [stage.key for stage in stages]),
        origin=own.shown_as if own is not None else "shipped",
        habit_sources=tuple(
            (topic, habit.source(key=topic)) for topic in TOPICS if habit.has(topic)
        ),
        overlap=reading_facts.overlap(table),
        stage_heat=stage_heat,
    )
    habit.done()
    table.asked.add("sources")
    table.done()
    return rules


def _cautions(table: Table, leaf: str) -> tuple[Caution, ...]:
    found = []
    for entry in table.tables("caution"):
        only = entry.choice("only", LEAF, "")
        caution = Caution(
            text=entry.text("text"),
            source=entry.source(),
            cares=entry.texts("cares", TITLES),
            short=entry.text("short", ""),
        )
        if not only or only == leaf:
            found.append(caution)
        entry.done()
    return tuple(found)


def _disagreements(table: Table) -> tuple[tuple[str, str, str, str], ...]:
    found = []
    for entry in table.tables("disagreement"):
        keys = ("topic", "one", "other", "default")
        topic, one, other, default = (entry.text(key) for key in keys)
        found.append((topic, one, other, default))
        entry.done()
    return tuple(found)


def _stage_aliases(table: Table, stages: Collection[str]) -> tuple[tuple[str, str], ...]:
    aliases = table.table("stage_aliases")
    found = [(name, aliases.choice(name, stages)) for name in aliases.found]
    aliases.done()
    return tuple(found)
