"""A programme's own species files: overrides, new species, and every way to get them wrong."""

from __future__ import annotations

from pathlib import Path

import pytest

from orchardcal.errors import BadFiles
from orchardcal.species.reading import (
    key_named,
    read_sources,
    read_species,
    species_named,
    species_names,
)
from orchardcal.species.rules import SpeciesRules

MEDLAR = """
title = "medlar"
plural = "medlars"
latin = "Crataegus germanica"
leaf = "deciduous"
bears_on = "tips of short shoots"
keeps_spurs = false
forms = ["open centre"]
canker_risk = "low"
sunburn_risk = "low"
aliases = ["Mispel"]
[needs.early]
portions = 40
heat_gdh = 5000
source = "own_notes"
[needs.typical]
portions = 45
heat_gdh = 5500
source = "own_notes"
[needs.late]
portions = 50
heat_gdh = 6000
source = "own_notes"
[[stage]]
key = "bud_swell"
title = "bud swell"
heat_share = 0.3
source = "own_notes"
[[stage]]
key = "full_bloom"
title = "full bloom"
heat_share = 1.0
source = "own_notes"
[care.dormant_pruning]
closes = [{ at = "bud_swell", share = 0.9, source = "own_notes" }]
[care.dormant_oil_spray]
never = "Not on medlar."
source = "own_notes"
[sources.own_notes]
reference = "Notebook of the orchard group, 2019-2026"
seen = "written here"
"""


def own(folder: Path, name: str, text: str) -> Path:
    path = folder / name
    path.write_text(text, encoding="utf-8")
    return path


def problems_of(*paths: Path) -> str:
    with pytest.raises(BadFiles) as raised:
        read_species(paths)
    return str(raised.value).replace(f"{paths[0].parent.as_posix()}/", "")


def test_an_override_gives_only_what_differs(
    tmp_path: Path, shipped: dict[str, SpeciesRules]
) -> None:
    text = '[needs.early]\nportions = 30\nsource = "from memory"\n'
    path = own(tmp_path, "apple.toml", text)
    apple = read_species([path], only=["apple"])["apple"]
    before = shipped["apple"]
    assert apple.needs["early"].portions == 30
    assert apple.needs["early"].heat_gdh == before.needs["early"].heat_gdh
    assert apple.needs["late"] == before.needs["late"]
    assert apple.cares == before.cares
    assert (apple.origin, before.origin) == (path.as_posix(), "shipped")


def test_an_override_replaces_a_care_list_and_a_step_by_id(tmp_path: Path) -> None:
    text = """
[care.dormant_pruning]
closes = [{ at = "month_day", month = 3, day = 1, source = "from memory" }]
[[step]]
id = "no_dressing"
care = "dormant_pruning"
text = "Leave the cuts open."
source = "from memory"
[[step]]
id = "ours"
after = "look"
care = "dormant_pruning"
text = "Ask the head gardener."
source = "from memory"
"""
    pear = read_species([own(tmp_path, "pear_european.toml", text)], only=["pear"])
    rules = pear["pear_european"]
    pruning = rules.care("dormant_pruning")
    assert pruning is not None
    assert [(one.at, one.month) for one in pruning.closes] == [("month_day", 3)]
    assert pruning.opens  # kept from the shipped rules
    ids = [step.id for step in rules.steps]
    assert ids.count("no_dressing") == 1
    assert ids[ids.index("look") + 1] == "ours"


def test_a_new_species_is_read_like_a_shipped_one(tmp_path: Path) -> None:
    path = own(tmp_path, "medlar.toml", MEDLAR)
    rules = read_species([path])
    medlar = rules["medlar"]
    assert list(rules)[-1] == "medlar"
    assert species_named(rules, "mispel") is medlar
    assert medlar.care("dormancy_check") is not None
    assert medlar.care("oil_scouting") is None
    assert read_sources([path])["own_notes"].reference.startswith("Notebook")
    assert key_named("Medlars", species_names([path])) == "medlar"


def test_only_the_species_asked_for_are_read(tmp_path: Path) -> None:
    assert list(read_species(only=["nectarine", "FIG", "no such tree"])) == [
        "peach_nectarine",
        "fig",
    ]
    bad = own(tmp_path, "quince.toml", "keeps_spurs = 3")
    assert "apple" in read_species([bad], only=["apple"])


@pytest.mark.parametrize(
    ("name", "species"),
    [
        ("European pear", "pear_european"),
        ("nashi", "pear_asian"),
        ("tart-cherry", "sour_cherry"),
        ("Plumcot", "pluot"),
        ("Japanese plum", "plum_japanese"),
        ("LEMON", "citrus"),
    ],
)
def test_usual_names_are_known(name: str, species: str) -> None:
    assert key_named(name, species_names()) == species


def test_a_byte_order_mark_and_windows_lines_are_read(tmp_path: Path) -> None:
    path = tmp_path / "apple.toml"
    path.write_bytes(b'\xef\xbb\xbftitle = "eating apple"\r\n')
    assert read_species([path], only=["apple"])["apple"].title == "eating apple"


@pytest.mark.parametrize(
    ("name", "text", "expected"),
    [
        ("apple.toml", "\nkanker_risk = 'low'", 'apple.toml:2: the file has no key "kanker_risk"'),
        ("apple.toml", "kanker_risk = 'low'", "Did you mean canker_risk?"),
        ("apple.toml", "canker_risk = 'hihg'", 'apple.toml:1: canker_risk = "hihg" is not known'),
        (
            "apple.toml",
            "[needs.early]\nportions = 590",
            "apple.toml:2: portions = 590 lies outside 0 to 150",
        ),
        ("apple.toml", "[needs.early]\nportions = 'few'", 'portions = "few" is no number'),
        (
            "apple.toml",
            "[needs.early]\n\nsource = 'dreper_2020'",
            'apple.toml:3: source = "dreper_2020" names no source',
        ),
        ("apple.toml", "[needs.early]\nsource = 'dreper_2020'", "Did you mean drepper_2020?"),
        ("apple.toml", "[needs.early]\nto = 'blossom'", 'to = "blossom" is not known'),
        (
            "apple.toml",
            '[care.dormant_pruning]\ncloses = [\n  { at = "bud_burst" },\n]',
            'apple.toml:3: at = "bud_burst" is not known',
        ),
        (
            "apple.toml",
            '[care.dormant_pruning]\ncloses = [{ at = "last_freeze" }]',
            'apple.toml:2: at = "last_freeze" lacks threshold_c',
        ),
        (
            "apple.toml",
            '[care.dormant_pruning]\ncloses = [{ at = "month_day", month = 13, day = 1 }]',
            "month = 13 lies outside 1 to 12",
        ),
        (
            "apple.toml",
            "[care.mowing]\nsource = 'from memory'",
            'apple.toml:1: "mowing" is no care',
        ),
        (
            "apple.toml",
            "[care.dormant_pruning.day_in.hot]\ndry_days_after = 2",
            'apple.toml:1: "hot" is no climate',
        ),
        (
            "apple.toml",
            "[[shares]]\nfrom_age = 0\nstructure = 90\nheading = 20\nfruiting = 10\n"
            "source = 'from memory'",
            "add up to 120",
        ),
        (
            "apple.toml",
            "[[shares]]\nfrom_age = 0\nstructure = 90\nheading = 0\nfruiting = 10",
            "apple.toml:1: this entry lacks source",
        ),
        ("apple.toml", "title = 'a'\ntitle = 'b'", "apple.toml:2: is no TOML: cannot overwrite"),
        ("apple.toml", "title = ", "apple.toml:1: is no TOML"),
        ("apple.toml", "forms = ['bonsai']", 'forms has "bonsai"'),
        ("apple.toml", "keeps_spurs = 'yes'", "Write keeps_spurs = true or keeps_spurs = false."),
        ("apple.toml", "step = 'none'", "step should be a list of tables"),
        ("apple.toml", "needs = 3", "needs should be a table"),
        (
            "aple.toml",
            "[needs.early]\nportions = 3",
            'aple.toml: "aple" is no shipped species, so its file must be complete',
        ),
        ("aple.toml", "[needs.early]\nportions = 3", "Did you mean apple?"),
        (
            "medlar.toml",
            MEDLAR.replace('key = "full_bloom"', 'key = "bud_swell"'),
            'stage "bud_swell" is there twice',
        ),
        (
            "medlar.toml",
            MEDLAR.replace("heat_share = 1.0", "heat_share = 0.1"),
            "medlar.toml:32: heat_share = 0.1 is less than 0.3 of the stage before (bud_swell)",
        ),
        ("medlar.toml", MEDLAR.replace("[sources.own_notes]", "[other]"), "names no source"),
        (
            "medlar.toml",
            MEDLAR.replace('latin = "Crataegus germanica"\n', ""),
            "medlar.toml:1: the file lacks latin",
        ),
        (
            "medlar.toml",
            MEDLAR.replace("heat_share = 1.0", "heat_share = 1.0\nkill10_c = -3\nkill90_c = -1"),
            "kill90_c = -1 is warmer than kill10_c = -3",
        ),
    ],
)
def test_a_bad_file_is_told_with_its_line(
    tmp_path: Path, name: str, text: str, expected: str
) -> None:
    assert expected in problems_of(own(tmp_path, name, text))


def test_all_problems_come_at_once(tmp_path: Path) -> None:
    text = "canker_risk = 'x'\nsunburn_risk = 'y'\n[needs.late]\nportions = -1\n"
    told = problems_of(own(tmp_path, "apple.toml", text), own(tmp_path, "fig.toml", "title = 1"))
    for line in ("apple.toml:1", "apple.toml:2", "apple.toml:4", "fig.toml:1"):
        assert f"{line}: " in told


def test_the_same_species_in_two_files_is_told(tmp_path: Path) -> None:
    one, other = own(tmp_path, "apple.toml", ""), own(tmp_path, "Apple.toml", "")
    if one.samefile(other):
        pytest.skip("file names do not tell case apart here")
    assert 'species "apple" already has the file' in problems_of(one, other)


def test_a_file_that_is_no_text_or_not_there_is_told(tmp_path: Path) -> None:
    path = tmp_path / "apple.toml"
    path.write_bytes(b"title = '\xff\xfe'")
    assert "apple.toml: is not UTF-8 text" in problems_of(path)
    assert "fig.toml: cannot be read: No such file" in problems_of(tmp_path / "fig.toml")
