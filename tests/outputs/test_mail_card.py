"""The short form of a pruning says all that its job says of the trees, above all what hurts."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest

from orchardcal.care import DEFERRED_CUT, DORMANT_PRUNING
from orchardcal.outputs.mail_card import IN_FULL, card_blocks
from orchardcal.outputs.mail_html import html_letter
from orchardcal.outputs.mail_letter import LEAD, Block, Letter
from orchardcal.outputs.mail_text import plain_letter, spoken
from orchardcal.outputs.mail_visit import visit
from orchardcal.outputs.speech import Speech
from orchardcal.plan.pruning_card import PruningCard, pruning_cards
from orchardcal.plan.wording import PRUNING
from orchardcal.sentence import Sentence, say
from orchardcal.sites.site import Planting, SprayRule
from orchardcal.species.rules import Caution, Step
from tests.invented import planting, shipped
from tests.outputs.invented_plan import LARKFIELD
from tests.outputs.invented_prunings import CARES, cards, every_group, pruning

ENGLISH, SPANISH = Speech("en", "metric"), Speech("es", "metric")
GROUPS = [(care, group) for group in every_group() for care in CARES]
SHORTENED = sorted(
    {
        one.text: one
        for rules in shipped().values()
        for one in (*rules.steps, *rules.cautions)
        if one.short
    }.items()
)
COUNTED = {"two": "2", "three": "3", "four": "4", "five": "5", "six": "6", "ten": "10"}


def text_of(sentences: tuple[Sentence, ...]) -> str:
    return " ".join(spoken(one, ENGLISH) for one in sentences)


def the_card(care: str, *group: Planting) -> PruningCard:
    (card,) = cards(care, *group)
    return card


def test_every_card_has_each_part() -> None:
    for care, group in GROUPS:
        card = the_card(care, *group)
        assert card.order, (care, group[0])
        assert card.clean, (care, group[0])
        assert "% structure" in text_of(card.shares)
        assert "% fruit" in text_of(card.shares)
        assert "Take off at most" in text_of(card.stop)
        where = text_of(card.place)
        assert "collar" in where or "Heading" in where or group[0].species in ("quince", "grape")


def test_every_card_cautions_of_what_hurts() -> None:
    """Lines: 10 feet, 29 CFR 1910.333(c)(3)(i); ladders, blades, pupils, licensed practice."""
    for care, group in GROUPS:
        card = the_card(care, *group)
        said = text_of(card.cautions)
        for hazard in (
            r"Power lines: people, ladders, poles 3 m \(10 ft\) away",
            r"only the utility or a trained arborist",
            r"Volunteers and pupils stay on the ground; tripod ladder: trained adults",
            r"Blades: closed shoes, gloves; eye protection",
            r"Pupils: hand tools only, one adult to five; saws only beside an adult",
            r"no power tools",
        ):
            assert re.search(hazard, said), (hazard, care, group[0])
        assert text_of(card.power_line) == (
            "Only the utility or a licensed arborist works here; nobody else."
        )
        assert "Volunteers stop below 0 °C and above 32 °C." in text_of(card.stop)


@pytest.mark.parametrize(
    ("species", "hazard"),
    [
        ("fig", "sap burns skin in the sun"),
        ("pomegranate", "Thorns"),
        ("mulberry", "sap can irritate skin"),
        ("jujube", "Thorns"),
        ("citrus", "Thorns"),
    ],
)
def test_what_hurts_on_one_species_is_on_its_card(species: str, hazard: str) -> None:
    for care in CARES:
        assert hazard in text_of(the_card(care, planting("A", species)).cautions)


def test_only_a_tree_near_a_line_is_kept_for_the_utility() -> None:
    assert the_card(DORMANT_PRUNING, planting("A", "apple")).power_line == ()


@pytest.mark.parametrize(
    ("species", "care", "said"),
    [
        ("apple", "dormant_pruning", "cleaning the tool at every cut"),
        ("sweet_cherry", "in_leaf_pruning", "Canker: at least 15 cm (6 in) below its edge"),
        ("apricot", "in_leaf_pruning", "at least 30 cm (12 in) below the last stain"),
        ("olive", "in_leaf_pruning", "in dry weather only, cleaning the tool at every cut"),
        ("loquat", "in_leaf_pruning", "Fire blight: 30 cm (12 in) below the dead bark"),
    ],
)
def test_disease_is_cut_out_as_the_rules_ask(species: str, care: str, said: str) -> None:
    """Fire blight: UC IPM Pest Notes 7414; cankers and stains as in each rule's own source."""
    assert said in text_of(the_card(care, planting("A", species)).place)


def test_all_a_job_says_of_its_trees_is_on_a_card_or_said_in_full() -> None:
    for care, group in GROUPS:
        job = pruning(care, group)
        (card,) = cards(care, *group)
        assert set(job.do) | set(job.cautions) <= card.in_full, (care, group[0])


@pytest.mark.parametrize("told", [one for _, one in SHORTENED], ids=[text for text, _ in SHORTENED])
def test_a_short_form_is_shorter_and_has_no_other_number(told: Step | Caution) -> None:
    assert len(told.short) < len(told.text)
    assert _numbers(told.short) <= _numbers(told.text)


@pytest.mark.parametrize("told", [one for _, one in SHORTENED], ids=[text for text, _ in SHORTENED])
def test_spanish_keeps_the_numbers(told: Step | Caution) -> None:
    short = spoken(say(told.short), SPANISH)
    assert short != told.short or told.short == told.text
    assert set(re.findall(r"\d+", short)) >= set(re.findall(r"\d+", told.short))


def test_every_pruning_step_and_caution_of_the_shipped_species_is_short() -> None:
    """Three lines of a phone's column at most: such a screen holds some forty of them."""
    for rules in shipped().values():
        steps = [step for step in rules.steps if step.care in PRUNING]
        cautions = [one for one in rules.cautions if not one.cares or set(one.cares) & set(PRUNING)]
        for one in (*steps, *cautions):
            assert len(one.short or one.text) <= 120, one.text


def test_plantings_pruned_alike_share_a_card_and_others_have_their_own() -> None:
    group = [
        planting("A", "apple", 2015, form="open centre"),
        planting("B", "apple", 2014, form="open centre"),
        planting("C", "apple", 2025, form="open centre"),
        planting("D", "pear_european", 2015, form="open centre"),
        planting("E", "apple", 2015, form="open centre", near_power_line=True),
    ]
    found = [spoken(card.trees, ENGLISH) for card in cards(DORMANT_PRUNING, *group)]
    assert found == [
        "A and B: 4 apples, open centre, years 12 to 13 in the ground",
        "C: 2 apples, open centre, year 2 in the ground",
        "D: 2 European pears, open centre, year 12 in the ground",
        "E: 2 apples, open centre, year 12 in the ground",
    ]


def test_a_tree_is_told_the_steps_of_its_own_form() -> None:
    """A frame of 3 to 5 limbs is an open centre, one leader a leader form (PNW 400, UC 8502)."""
    for form, yes, no in (
        ("open centre", "3 to 5 limbs", "Keep one leader"),
        ("central leader", "Keep one leader", "3 to 5 limbs"),
    ):
        said = text_of(the_card(DORMANT_PRUNING, planting("A", "apple", 2025, form=form)).order)
        assert yes in said
        assert no not in said


def test_a_cut_put_off_has_a_card_without_shares() -> None:
    one = planting("A", "apple")
    job = replace(pruning(DORMANT_PRUNING, [one]), care=DEFERRED_CUT)
    (card,) = pruning_cards(job, {"A": one}, shipped())
    assert (card.shares, "at most" in text_of(card.stop)) == ((), False)
    assert card.order


def test_a_letter_says_it_in_short_once_and_where_it_stands_in_full() -> None:
    group = (planting("A", "apple"), planting("B", "fig", near_power_line=True))
    left = say("{id}: last time this was left.", id="A")
    talk = say("Show the first-aid kit.")
    job = pruning(DORMANT_PRUNING, group)
    job = replace(job, do=(*job.do, left), cautions=(*job.cautions, talk))
    by_uid = {job.uid: pruning_cards(job, {one.id: one for one in group}, shipped())}
    blocks = visit([job], LARKFIELD, SprayRule(), "", by_uid, volunteers=False)
    lines = _plain(blocks).splitlines()
    assert max(len(line) for line in lines) < 78
    text = " ".join(" ".join(lines).split())
    assert text.count(spoken(IN_FULL, ENGLISH)) == 1
    assert text.count("A: last time this was left.") == 1
    assert text.count("Show the first-aid kit.") == 1
    assert "Blades are sharp" not in text
    assert text.count("Blades: closed shoes") == len(by_uid[job.uid]) == 2
    for label in ("Order of cuts: 1. ", "Where to cut: ", "When to stop: ", "Take care: "):
        assert label in text


def test_a_card_is_one_element_of_the_page() -> None:
    page = _page(card_blocks(cards(DORMANT_PRUNING, planting("<b>A", "apple"))))
    assert page.count('<div class="card">') == 1
    assert "<b>A" not in page
    assert "&lt;b&gt;A" in page


def _plain(blocks: tuple[Block, ...]) -> str:
    return plain_letter(Letter("ada", LEAD, say("Dormant pruning"), blocks, ()), ENGLISH)


def _page(blocks: tuple[Block, ...]) -> str:
    return html_letter(Letter("ada", LEAD, say("Dormant pruning"), blocks, ()), ENGLISH)


def _numbers(text: str) -> set[str]:
    words = re.findall(r"[a-z]+|\d+", text.lower())
    return {COUNTED.get(word, word) for word in words if word in COUNTED or word.isdigit()}
