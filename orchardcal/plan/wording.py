"""What a job's readers are told beside its reasons: title, steps, what to bring, cautions."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from orchardcal import care as cares
from orchardcal.plan.quantities import (
    age_of,
    paint_mix_l,
    painting_tools,
    pruning_tools,
    spray_l,
)
from orchardcal.plan.season_supplies import PAINT_OF_MIX
from orchardcal.plan.task import Task
from orchardcal.sentence import Celsius, Listed, Sentence, Volume, Words, say
from orchardcal.sites.site import Planting
from orchardcal.species.rules import Caution, Shares, SpeciesRules, Step

PRUNING = (cares.DORMANT_PRUNING, cares.IN_LEAF_PRUNING, cares.DEFERRED_CUT)
COLD_VOLUNTEERS_C, HOT_VOLUNTEERS_C = 0.0, 32.0
COMMON = "common practice, no source"


def title(care: str, plantings: Sequence[Planting], rules: dict[str, SpeciesRules]) -> Sentence:
    """As "Dormant pruning: 4 apples, 2 European pears"."""
    return say("{care}: {trees}", care=Words(cares.TITLES[care]), trees=tree_list(plantings, rules))


def tree_list(plantings: Sequence[Planting], rules: dict[str, SpeciesRules]) -> Listed:
    """The trees counted by species, most first."""
    counts: dict[str, int] = {}
    for planting in plantings:
        counts[planting.species] = counts.get(planting.species, 0) + planting.count
    ordered = sorted(counts.items(), key=lambda pair: (-pair[1], pair[0]))
    return Listed(tuple(_counted(rules[species], count) for species, count in ordered))


def _counted(rules: SpeciesRules, count: int) -> Sentence:
    return say("{count} " + rules.title, plural="{count} " + rules.plural, count=count)


def steps(
    task: Task, rules: dict[str, SpeciesRules], left_over: tuple[Sentence, ...] = ()
) -> tuple[Sentence, ...]:
    """What to do: a line for each planting, what was left over, then the steps in order."""
    year = task.season.harvest_year
    lines = [tree_line(planting, task.care, rules, year) for planting in task.plantings]
    told: list[Sentence] = []
    care = task.windows[0].care if task.care == cares.DEFERRED_CUT else task.care
    for planting in task.plantings:
        fit = steps_for(planting, rules[planting.species], year)
        told += [in_full(step) for step in fit if step.care == care]
    return (*task.note, *lines, *left_over, *dict.fromkeys(told))


def steps_for(planting: Planting, rules: SpeciesRules, year: int) -> list[Step]:
    """The steps of every care that fit the planting's age and training form, in order.

    A tree of unknown form is told the steps of every form its species is grown in.
    """
    age = age_of(planting, year)
    forms = rules.forms if planting.form == "unknown" else (planting.form,)
    return [
        step
        for step in rules.steps
        if step.first_age <= age <= step.last_age
        and (not step.forms or any(form in step.forms for form in forms))
    ]


def in_full(told: Step | Caution) -> Sentence:
    """A step or caution as the calendar says it."""
    return say(told.text, source=told.source)


def in_short(told: Step | Caution) -> Sentence:
    """A step or caution in fewer words, in full where it has no short form."""
    return say(told.short or told.text, source=told.source)


def tree_line(planting: Planting, care: str, rules: dict[str, SpeciesRules], year: int) -> Sentence:
    """A planting, and for its pruning the year's shares of the cuts and how much may come off."""
    known = rules[planting.species]
    age = planting.age(year)
    name = say("{id} {trees}", id=planting.id, trees=_counted(known, planting.count))
    if age is None:
        what = say("{tree}, age unknown", tree=name)
    else:
        what = say("{tree}, year {age} in the ground", tree=name, age=age)
    if care not in (cares.DORMANT_PRUNING, cares.IN_LEAF_PRUNING):
        return say("{tree}.", tree=what)
    share = shares_at(known, age_of(planting, year))
    return say(
        "{tree}, {form}: of the cuts {structure} % for structure, {heading} % heading,"
        " {fruiting} % for fruit; take off at most {removal} % of the wood.",
        tree=what,
        form=Words("form unknown" if planting.form == "unknown" else planting.form),
        structure=share.structure,
        heading=share.heading,
        fruiting=share.fruiting,
        removal=round(known.removal_percent.typical),
        source=share.source,
    )


def shares_at(rules: SpeciesRules, age: int) -> Shares:
    """How a year's cuts divide at this age."""
    rows = [row for row in rules.shares if row.from_age <= age]
    return max(rows, key=lambda row: row.from_age)


def supplies(task: Task, people: int, rules: dict[str, SpeciesRules]) -> tuple[Sentence, ...]:
    """Tools and materials for the job and so many people."""
    if task.care in PRUNING:
        tools = pruning_tools(people)
        return (
            _tool("{count} bypass pruner", "{count} bypass pruners", tools.pruners),
            _tool("{count} lopper", "{count} loppers", tools.loppers),
            _tool("{count} pruning saw", "{count} pruning saws", tools.saws),
            say("70 % alcohol and rags: clean the tools between trees at least", source=COMMON),
            say("gloves and safety glasses for everyone, a tarp for the wood, a first-aid kit"),
        )
    if task.care == cares.WHITEWASH_PAINTING:
        mix = paint_mix_l(task.plantings)
        return (
            say(
                "{mix} of white paint mix: {paint} water-based interior latex and as much water",
                mix=Volume(round(mix, 2)),
                paint=Volume(round(PAINT_OF_MIX * mix, 2)),
                source=COMMON,
            ),
            _tool("{count} brush", "{count} brushes", painting_tools(people).brushes),
            say("a bucket with a lid, rags, gloves, safety glasses"),
        )
    if task.care == cares.DORMANT_OIL_SPRAY:
        return (
            say(
                "about {volume} of spray to run-off; the amount of oil is what the label says for"
                " this crop and stage",
                volume=Volume(round(spray_l(task.plantings, task.season.harvest_year), 1)),
                source=COMMON,
            ),
            say("the label, the protective clothing it asks for, and the spray log"),
        )
    if task.care == cares.SPRAY_NOTICE:
        return (say("the notice, printed, and pins or tape"),)
    return (say("pruners, a hand lens, the tree list and something to write with"),)


def _tool(one: str, many: str, count: int) -> Sentence:
    return say(one, plural=many, count=count, source=COMMON)


def cautions(task: Task, rules: dict[str, SpeciesRules]) -> tuple[Sentence, ...]:
    """The cautions of the work and of its species, those of a tree near a power line first."""
    told: list[Sentence] = []
    if any(planting.near_power_line for planting in task.plantings):
        told.append(near_power_line([p.id for p in task.plantings if p.near_power_line]))
    if task.care in (*PRUNING, cares.WHITEWASH_PAINTING):
        told.append(too_cold_or_hot())
    if task.care == cares.DORMANT_OIL_SPRAY:
        told.append(
            say("Nobody else on the ground until the spray is dry and the label's time is over.")
        )
    for planting in task.plantings:
        told += [in_full(one) for one in cautions_of(rules[planting.species], task.care)]
    return tuple(dict.fromkeys(told))


def cautions_of(rules: SpeciesRules, care: str) -> list[Caution]:
    """The cautions of a care on a species."""
    return [one for one in rules.cautions if not one.cares or care in one.cares]


def near_power_line(plantings: Sequence[str]) -> Sentence:
    """Who alone may work on these plantings."""
    return say(
        "{trees} near a power line: leave to the utility or a licensed arborist; nobody else works"
        " there.",
        trees=Listed(tuple(plantings)),
    )


def too_cold_or_hot() -> Sentence:
    """Weather in which volunteers stop."""
    return say(
        "Volunteers stop below {cold} and above {hot}.",
        cold=Celsius(COLD_VOLUNTEERS_C),
        hot=Celsius(HOT_VOLUNTEERS_C),
        source=COMMON,
    )


def spraying_sign(day: date, notice_h: int, before_h: int, after_h: int) -> Sentence:
    """What the notice says of its own times."""
    return say(
        "Tell families and staff {notice} hours before {day}; put the signs up {before} hours"
        " before and leave them {after} hours after. Check state law and school policy.",
        notice=notice_h,
        day=day,
        before=before_h,
        after=after_h,
    )
