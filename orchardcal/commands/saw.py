"""The command that records what was seen in the field: dormancy, a bud stage, pests."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import click

from orchardcal import care as cares
from orchardcal.commands import recording
from orchardcal.errors import Problems, Spot
from orchardcal.journal.entries import (
    DORMANCY_ANSWERS,
    PESTS,
    SEEN,
    Entry,
    answer_or_pest_named,
    plain,
)
from orchardcal.journal.in_words import trees_in_words
from orchardcal.journal.store import Store

ANSWERS = 'dormant, nearly, growing, "not sure", scale, "mite eggs", "aphid eggs", "no pests"'


@click.command()
@click.argument("site", type=recording.text_given)
@click.argument("what", type=recording.text_given)
@recording.folder_option
@recording.tree_option
@recording.on_option
@recording.by_option
@click.option(
    "--note",
    type=recording.text_given,
    metavar="TEXT",
    default="",
    help="Anything worth remembering.",
)
def saw(
    site: str,
    what: str,
    folder: Path,
    trees_named: tuple[str, ...],
    day: date | None,
    by: str,
    note: str,
) -> None:
    """Record WHAT was seen at SITE.

    WHAT is an answer to the dormancy check (dormant, nearly, growing, "not sure"), a bud stage
    of the species, or what scouting found: scale, "mite eggs", "aphid eggs", "no pests".

    \b
    Example:
      orchardcal saw millbrook dormant
      orchardcal saw millbrook "full bloom" --tree A-01 --on yesterday
      orchardcal saw millbrook "no pests" --tree A-01 --tree A-02
    """
    path = recording.store_path(folder)
    problems = Problems()
    at = recording.site_trees(folder, site, problems)
    day = day or recording.today()
    plantings: tuple[str, ...] = ()
    seen = answer_or_pest_named(what) or ""
    if at:
        plantings = recording.plantings_meant(at, trees_named, day, problems)
        if not seen and not problems:
            seen = _stage(folder, at, plantings, bool(trees_named), what, problems)
    problems.raise_if_any()
    assert at is not None
    care = ""
    if seen in DORMANCY_ANSWERS:
        care = cares.DORMANCY_CHECK
    elif seen in PESTS:
        care = cares.OIL_SCOUTING
    with Store.open(path) as store:
        entry = Entry(
            recording.now(),
            recording.new_id(),
            SEEN,
            at.key,
            day,
            care,
            plantings,
            at.season(day),
            by=by,
            seen=seen,
            note=note,
        )
        recording.record(folder, store, entry)


def _stage(
    folder: Path,
    site: recording.SiteTrees,
    plantings: tuple[str, ...],
    named: bool,
    what: str,
    problems: Problems,
) -> str:
    """The key of a bud stage that every tree meant has, "" after a problem."""
    from orchardcal.species.reading import (  # late: only a bud stage needs the species' rules
        read_species,
        species_named,
    )

    species = {site.trees[one].species for one in plantings}
    own = sorted((folder / "species").glob("*.toml"))
    rules = read_species(own, only=species)
    keys: dict[str, str] = {}
    for name in sorted(species):
        found = species_named(rules, name)
        if found is None:
            problems.add(Spot(site.key), f'"{name}" has no rules', "Run orchardcal check.")
            return ""
        names = {plain(stage.key): stage.key for stage in found.stages}
        names |= {plain(stage.title): stage.key for stage in found.stages}
        names |= {plain(alias): key for alias, key in found.stage_aliases}
        if plain(what) not in names:
            stages = ", ".join(plain(stage.title) for stage in found.stages)
            problems.add(
                Spot("WHAT"),
                f'"{what}" is no bud stage of {found.title} ({trees_in_words(plantings)})',
                f"Its stages: {stages}. Otherwise: {ANSWERS}. Name the trees with --tree.",
            )
        else:
            keys[found.title] = names[plain(what)]
    if len(set(keys.values())) > 1 or (len(keys) > 1 and not named):
        problems.add(
            Spot("--tree"),
            f'"{what}" was seen on which trees? {site.key} has {", ".join(keys)}',
            "Name them with --tree: each species reaches a stage on a day of its own.",
        )
    return next(iter(keys.values()), "")
