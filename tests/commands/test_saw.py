"""Recording what was seen: dormancy, pests and bud stages."""

from __future__ import annotations

from pathlib import Path

import pytest

from orchardcal.journal.entries import SEEN
from orchardcal.species.reading import read_species, species_named
from tests.commands.recording_folder import Folder, make_folder


@pytest.fixture
def folder(tmp_path: Path) -> Folder:
    return make_folder(tmp_path)


@pytest.mark.parametrize(
    ("written", "seen", "care"),
    [
        ("dormant", "dormant", "dormancy_check"),
        ("Nearly", "nearly", "dormancy_check"),
        ("growing", "growing", "dormancy_check"),
        ("not sure", "not sure", "dormancy_check"),
        ("not-sure", "not sure", "dormancy_check"),
        ("scale", "scale", "oil_scouting"),
        ("mite-eggs", "mite eggs", "oil_scouting"),
        ("aphid eggs", "aphid eggs", "oil_scouting"),
        ("no pests", "none", "oil_scouting"),
    ],
)
def test_an_answer_or_a_pest_is_kept(folder: Folder, written: str, seen: str, care: str) -> None:
    said = folder.run("saw", "millbrook", written, "--by", "Ana", "--note", "north row")
    assert said.code == 0, said.err
    (entry,) = folder.entries()
    assert (entry.kind, entry.seen, entry.care) == (SEEN, seen, care)
    assert (entry.by, entry.note, entry.plantings) == ("Ana", "north row", ("A-01", "A-02", "B-01"))


def test_every_stage_of_a_species_is_known_by_key_title_and_other_names(folder: Folder) -> None:
    apple = species_named(read_species(only=["apple"]), "apple")
    assert apple is not None
    names = {(stage.key, name) for stage in apple.stages for name in (stage.key, stage.title)}
    names |= {(key, alias) for alias, key in apple.stage_aliases}
    assert len(names) >= 2 * len(apple.stages)
    for key, name in sorted(names):
        said = folder.run("saw", "millbrook", name, "--tree", "A-01", "--tree", "A-02")
        assert said.code == 0, said.err
        assert folder.entries()[-1].seen == key
        assert folder.entries()[-1].care == ""


def test_a_stage_needs_to_know_which_species_reached_it(folder: Folder) -> None:
    said = folder.run("saw", "millbrook", "full bloom")
    assert said.code == 2
    assert "--tree" in said.err
    assert folder.entries() == ()
    for trees in (("--tree", "B-01"), ("--tree", "A-01", "--tree", "B-01")):
        assert folder.run("saw", "millbrook", "full bloom", *trees).code == 0
        assert folder.entries()[-1].plantings == trees[1::2]


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        (("millbrook", "ful bloom", "--tree", "A-01"), '"ful bloom" is no bud stage of apple'),
        (("millbrook", "ful bloom", "--tree", "A-01"), '"no pests"'),
        (("millbrook", "dormant", "--tree", "A-1"), "Did you mean A-01"),
        (("millbrook", "dormant", "--on", "2999-01-01"), "is still to come"),
        (("nowhere", "dormant"), "Known sites: karoo, millbrook."),
        (("millbrook", "dormant", "--on", "2018-01-01"), "into the ground"),
    ],
)
def test_a_mistake_gets_one_clear_message(
    folder: Folder, arguments: tuple[str, ...], message: str
) -> None:
    said = folder.run("saw", *arguments)
    assert said.code == 2
    assert message in said.err
    assert folder.entries() == ()


def test_a_species_without_rules_is_said(folder: Folder) -> None:
    (folder.path / "millbrook" / "trees.csv").write_text("id,species\nA-01,pawpaw\n")
    said = folder.run("saw", "millbrook", "full bloom")
    assert said.code == 2
    assert '"pawpaw" has no rules' in said.err


@pytest.mark.parametrize(
    ("site", "trees", "message"),
    [
        ("latitude = north", None, "site.toml:1: cannot be read as TOML"),
        ('name = "x"', None, "latitude is missing"),
        (None, "", "trees.csv: is empty"),
        (None, 'id,species\n"A-01,apple\n', "quotation mark"),
        (None, "tree,species\nA-01,apple\n", 'has no column "id"'),
    ],
)
def test_a_broken_site_is_said(
    folder: Folder, site: str | None, trees: str | None, message: str
) -> None:
    if site is not None:
        (folder.path / "millbrook" / "site.toml").write_text(site)
    if trees is not None:
        (folder.path / "millbrook" / "trees.csv").write_text(trees)
    said = folder.run("saw", "millbrook", "dormant")
    assert said.code == 2
    assert message in said.err
