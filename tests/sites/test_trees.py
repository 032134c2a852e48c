"""Tree lists from any spreadsheet are read alike, and odd text comes through unchanged."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date

import pytest

from orchardcal.errors import BadFiles
from orchardcal.sites.site import Amount, SeenStage, Site

Read = Callable[..., Site]


@pytest.mark.parametrize(
    "trees",
    [
        "id,species,cultivar,count,trunk_cm\nA-01,apple,Liberty,2,14.5\n",
        "id;species;cultivar;count;trunk_cm\nA-01;apple;Liberty;2;14,5\n",
        "id\tspecies\tcultivar\tcount\ttrunk_cm\nA-01\tapple\tLiberty\t2\t14.5\n",
        "\ufeffid,species,cultivar,count,trunk_cm\r\nA-01,apple,Liberty,2,14.5\r\n",
        "\ufeffID;Species;Cultivar;Count;Trunk_cm\r\nA-01;Apple;Liberty;2;14,5\r\n\r\n;;;;\r\n",
        "# our trees\nid,species,cultivar,count,trunk_cm\nA-01, apple ,Liberty,2,14.5",
        'id,species,cultivar,count,trunk_cm\n"A-01","apple","Liberty","2","14,5"\n',
    ],
)
def test_every_spreadsheets_csv_gives_the_same_trees(read_site_of: Read, trees: str) -> None:
    (planting,) = read_site_of(trees=trees).plantings
    assert (planting.id, planting.species, planting.cultivar) == ("A-01", "apple", "Liberty")
    assert planting.count == 2
    assert planting.trunk_diameter_m == pytest.approx(0.145)


@pytest.mark.parametrize(
    "text",
    [
        'a comma, a "quotation" and\na second line',
        "=1+1",
        "@SUM(A1)",
        "<script>alert(1)</script>",
        "شجرة تفاح",
        "ערך",
        "🍎👩🏽‍🌾",
        "semi;colon",
        "back\\slash, and n\\n",
    ],
)
def test_odd_text_is_kept_as_it_is(read_site_of: Read, text: str) -> None:
    quoted = text.replace('"', '""')
    trees = f'id,species,cultivar,notes\nA-01,apple,"{quoted}","{quoted}"\nA-02,pear,,\n'
    first, second = read_site_of(trees=trees).plantings
    assert (first.cultivar, first.notes) == (text, text)
    assert second.spot.line == 3 + text.count("\n") * 2


def test_inches_and_feet_are_converted(read_site_of: Read) -> None:
    """NIST SP 811, appendix B.8: 1 in is 0.0254 m, 1 ft is 0.3048 m."""
    trees = "id,species,trunk_in,height_ft\nA-01,apple,10,10\n"
    (planting,) = read_site_of(trees=trees).plantings
    assert planting.trunk_diameter_m == pytest.approx(0.254)
    assert planting.height_m == pytest.approx(3.048)


def test_everything_a_row_can_say(read_site_of: Read) -> None:
    trees = (
        "id,species,count,planted,form,chill_need,heat_need,seen,power_line\n"
        "A-01,Pear,,2019-03-01,open center,45 portions,4500 asymcur,,x\n"
        'A-02,apple,3,2022,,"800,5 utah",,2025-05-03 bloom; 2026-05-08 Full-Bloom,\n'
    )
    pear, apple = read_site_of(trees=trees).plantings
    assert (pear.species, pear.count, pear.planted_year) == ("pear_european", 1, 2019)
    assert (pear.form, pear.near_power_line) == ("open centre", True)
    assert (pear.chill_need, pear.heat_need) == (Amount(45, "portions"), Amount(4500, "asymcur"))
    assert (apple.chill_need, apple.form) == (Amount(800.5, "utah"), "unknown")
    assert apple.seen == (
        SeenStage("full_bloom", date(2025, 5, 3)),
        SeenStage("full_bloom", date(2026, 5, 8)),
    )


@pytest.mark.parametrize(
    ("cell", "said"),
    [("1,200 portions", 'chill_need is "1,200 portions"'), ("-5 portions", '"-5 portions"')],
)
def test_an_amount_that_may_mean_two_things_is_asked_about(
    read_site_of: Read, cell: str, said: str
) -> None:
    with pytest.raises(BadFiles, match=said):
        read_site_of(trees=f'id,species,chill_need\nA-01,apple,"{cell}"\n')
