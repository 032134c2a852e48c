"""How to prune trees alike this year, in few words: which cuts, where, when to stop, cautions.

The words are the short forms beside the full ones in the species' rules. A card shortens what its
job says of these trees and adds nothing to it.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from orchardcal import care as cares
from orchardcal.plan.plan import Job
from orchardcal.plan.quantities import age_of
from orchardcal.plan.wording import (
    PRUNING,
    cautions_of,
    in_full,
    in_short,
    near_power_line,
    shares_at,
    steps_for,
    too_cold_or_hot,
    tree_line,
    tree_list,
)
from orchardcal.sentence import Listed, Sentence, Value, Words, say
from orchardcal.sites.site import Planting
from orchardcal.species.rules import PARTS, SpeciesRules

MOST_IDS = 5  # of plantings named on one card; the calendar names all

ALONE_THERE = say("Only the utility or a licensed arborist works here; nobody else.")


@dataclass(frozen=True)
class PruningCard:
    """One planting, or several that are pruned alike.

    power_line: who alone works there, () away from lines. shares: how the year's cuts divide.
    order: the cuts in turn; place: where to cut; stop: when to end; clean: tools and wood.
    in_full: the sentences of the job that are said here in short, or word for word.
    """

    trees: Sentence
    power_line: tuple[Sentence, ...]
    shares: tuple[Sentence, ...]
    order: tuple[Sentence, ...]
    place: tuple[Sentence, ...]
    stop: tuple[Sentence, ...]
    clean: tuple[Sentence, ...]
    cautions: tuple[Sentence, ...]
    in_full: frozenset[Sentence]


def pruning_cards(
    job: Job, plantings: Mapping[str, Planting], rules: dict[str, SpeciesRules]
) -> tuple[PruningCard, ...]:
    """A card for each kind of tree of a pruning; none for other work. plantings: of its site."""
    if job.care not in PRUNING:
        return ()
    groups: dict[tuple[object, ...], list[Planting]] = {}
    for key in job.plantings:
        one = plantings[key]
        groups.setdefault(_likeness(one, job, rules[one.species]), []).append(one)
    near = near_power_line([key for key in job.plantings if plantings[key].near_power_line])
    return tuple(_card(group, near, job, rules) for group in groups.values())


def _likeness(one: Planting, job: Job, known: SpeciesRules) -> tuple[object, ...]:
    """What plantings must have in common to be on one card."""
    return (
        one.form,
        one.near_power_line,
        one.age(job.season) is None,
        _shares(one, job, known),
        _enough(job, known),
        tuple(steps_for(one, known, job.season)),
        tuple(cautions_of(known, job.care)),
    )


def _card(
    group: Sequence[Planting], near: Sentence, job: Job, rules: dict[str, SpeciesRules]
) -> PruningCard:
    """near: the job's own sentence on all of its trees near a power line."""
    known = rules[group[0].species]
    said = set(job.do)
    # A cut put off has the steps of the pruning it was put off from: those that its job says.
    steps = [one for one in steps_for(group[0], known, job.season) if in_full(one) in said]
    cautions = cautions_of(known, job.care)
    part = {
        name: tuple(dict.fromkeys(in_short(step) for step in steps if step.part == name))
        for name in PARTS
    }
    alone = (ALONE_THERE,) if group[0].near_power_line else ()
    told = {
        *(tree_line(one, job.care, rules, job.season) for one in group),
        *(in_full(step) for step in steps),
        *(in_full(caution) for caution in cautions),
        too_cold_or_hot(),
        *((near,) if alone else ()),
    }
    return PruningCard(
        trees=_trees(group, job, rules),
        power_line=alone,
        shares=_shares(group[0], job, known),
        order=part["order"],
        place=part["place"],
        stop=(*_enough(job, known), *part["stop"], too_cold_or_hot()),
        clean=part["clean"],
        cautions=tuple(dict.fromkeys(in_short(one) for one in cautions)),
        in_full=frozenset(told),
    )


def _trees(group: Sequence[Planting], job: Job, rules: dict[str, SpeciesRules]) -> Sentence:
    ids: list[Value] = [one.id for one in group]
    if len(ids) > MOST_IDS:
        ids = [*ids[: MOST_IDS - 1], say("{number} more", number=len(ids) - MOST_IDS + 1)]
    named = say(
        "{ids}: {trees}, {form}",
        ids=Listed(tuple(ids)),
        trees=tree_list(group, rules),
        form=Words("form unknown" if group[0].form == "unknown" else group[0].form),
    )
    ages = [age_of(one, job.season) for one in group]
    if group[0].age(job.season) is None:
        return say("{tree}, age unknown", tree=named)
    if min(ages) == max(ages):
        return say("{tree}, year {age} in the ground", tree=named, age=ages[0])
    return say(
        "{tree}, years {youngest} to {oldest} in the ground",
        tree=named,
        youngest=min(ages),
        oldest=max(ages),
    )


def _shares(one: Planting, job: Job, known: SpeciesRules) -> tuple[Sentence, ...]:
    """How the year's cuts divide; a single cut that was put off has no shares."""
    if job.care == cares.DEFERRED_CUT:
        return ()
    share = shares_at(known, age_of(one, job.season))
    return (
        say(
            "{structure} % structure, {heading} % heading, {fruiting} % fruit.",
            structure=share.structure,
            heading=share.heading,
            fruiting=share.fruiting,
            source=share.source,
        ),
    )


def _enough(job: Job, known: SpeciesRules) -> tuple[Sentence, ...]:
    if job.care == cares.DEFERRED_CUT:
        return ()
    removal = known.removal_percent
    return (
        say(
            "Take off at most {removal} % of the wood.",
            removal=round(removal.typical),
            source=removal.source,
        ),
    )
