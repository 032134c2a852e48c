"""Facts of the invented plan's sites, and the plan with other names in every field people write."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import numpy as np

from orchardcal.care import DORMANT_OIL_SPRAY, IN_LEAF_PRUNING
from orchardcal.outputs.page.facts import Chill, Closed, SiteFacts, Tree
from orchardcal.outputs.page.pages import pages
from orchardcal.outputs.speech import Speech
from orchardcal.plan.plan import DONE, OVERDUE, Job, NotPlaced, Plan, SitePlan
from orchardcal.season import Season, Span
from orchardcal.sentence import Sentence, Words, say
from orchardcal.windows.climate_facts import FreezeOdds, Quantiles
from tests.outputs.invented_plan import KERERU, LARKFIELD, PLAN, PRUNE

NORTH, SOUTH = Season(2027, southern=False), Season(2027, southern=True)
WINTER_BREAK = Span(date(2026, 12, 19), date(2027, 1, 3))
SCHOOL_DAYS = frozenset(
    day for day in (date(2027, 1, 4) + timedelta(days=at) for at in range(60)) if day.weekday() < 5
)
RISKS = (0.1, 0.3, 0.5, 0.7, 0.9)
KNOWN_DAYS = 148  # up to 25 November


def tree_line(planting: str) -> Sentence:
    """What the plan says of one tree in a job's steps."""
    tree = say("{id} {trees}", id=planting, trees="4 apples")
    return say("{tree}, {form}.", tree=tree, form=Words("form unknown"))


def chill(season: Season, known_days: int) -> Chill:
    """Three past seasons that gain 0.2, 0.4 and 0.6 portions a day from 1 September on."""
    days = np.clip(np.arange(365) - 61, 0, None)
    past = np.outer([0.2, 0.4, 0.6], days)
    return Chill(
        season=season,
        past=past,
        observed=True,
        so_far=0.5 * days[:known_days],
        ahead=np.array([0.3 * days, 0.4 * days, 0.5 * days]),
        needs=(("grape", 20.0), ("apple", 60.0), ("quince", 60.0)),
        met=(Quantiles("apple", "chill met", (160.0, 210.0, float("inf"))),),
    )


def site_facts(season: Season, name: str, known_days: int, *trees: Tree) -> SiteFacts:
    north = not season.southern
    return SiteFacts(
        season=season,
        trees=trees,
        closed=(Closed(WINTER_BREAK, name),) if north else (),
        pupil_days=SCHOOL_DAYS if north else frozenset(),
        volunteers=True,
        chill=chill(season, known_days),
        freezes=(
            FreezeOdds(
                threshold_c=-2.2,
                seasons=30,
                with_freeze=30,
                last={0.1: 310.0, 0.3: 300.0, 0.5: 292.0, 0.7: 285.0, 0.9: 275.0},
                first={0.1: 85.0, 0.3: 92.0, 0.5: 100.0, 0.7: 107.0, 0.9: 112.0},
                mean_last=292.0,
                mean_first=100.0,
            ),
            FreezeOdds(-9.0, 30, 0, dict.fromkeys(RISKS), dict.fromkeys(RISKS), None, None),
        ),
    )


def named(words: str) -> tuple[Plan, dict[str, SiteFacts]]:
    """A plan and facts with the words in every field that people write, plain names else."""

    def name(plain: str) -> str:
        return f"{words}{plain}" if words else plain

    ids = tuple(name(planting) for planting in PRUNE.plantings)

    def job(plain: Job) -> Job:
        return replace(
            plain,
            plantings=ids,
            title=say("Dormant pruning: {trees}", trees=name("4 apples")),
            why=(*plain.why, say("{what}", what=name("a reason"))),
            do=tuple(tree_line(planting) for planting in ids),
            bring=(say("{what}", what=name("a tool")),),
            then=(say("{what}", what=name("what follows")),),
            cautions=(say("{what}", what=name("a caution")),),
        )

    not_placed = tuple(
        NotPlaced(
            site="larkfield",
            care=care,
            season=2027,
            plantings=ids,
            kind=kind,
            why=(say("{what}", what=name("why not")), say("And {more}.", more=name("more"))),
            nearest=say('{day} would do, if "{name}" could be set aside.', day=day, name=words),
        )
        for care, kind, day in (
            (DORMANT_OIL_SPRAY, "no day", date(2027, 1, 24)),
            (IN_LEAF_PRUNING, "never", date(2027, 6, 24)),
        )
    )
    first, *others = (job(each) for each in LARKFIELD.jobs)
    late = replace(first, uid="late", day=date(2026, 11, 20), state=OVERDUE)
    done = replace(first, uid="done", day=date(2026, 11, 2), state=DONE)
    larkfield = replace(
        LARKFIELD,
        name=name("Larkfield School"),
        where=name("orchard behind the gym"),
        jobs=(done, late, first, *others),
        windows=tuple(
            replace(window, plantings=ids, title=say("{what}", what=name("Oil may go on")))
            for window in LARKFIELD.windows
        ),
        not_placed=not_placed,
        notes=(say("{what}", what=name("a note")),),
        pupils_take_part=True,
    )
    kereru = replace(KERERU, name=name("Kererū Street Kindergarten"))
    plan = replace(PLAN, name=name("Two Orchards"), sites=(larkfield, kereru))
    trees = tuple(
        Tree(
            planting,
            say("{count} apple", plural="{count} apples", count=4),
            name("Reka"),
            age,
            "central leader",
            line,
        )
        for planting, age, line in zip(ids, (3, None), (False, True), strict=True)
    )
    facts = {
        "larkfield": site_facts(NORTH, name("Winter break"), KNOWN_DAYS, *trees),
        "kereru": site_facts(SOUTH, "", 0),
    }
    return plan, facts


def written(words: str = "", speech: Speech | None = None) -> dict[str, bytes]:
    """Every page of the invented plan."""
    return dict(pages(*named(words), speech or Speech()))


def many_sites(number: int) -> tuple[Plan, dict[str, SiteFacts]]:
    """The invented plan with the northern site so many times over."""
    plan, facts = named("")
    larkfield = plan.sites[0]

    def copy(at: int) -> SitePlan:
        key = f"site-{at:03}"
        jobs = tuple(replace(job, site=key, uid=f"{job.uid}-{at}") for job in larkfield.jobs)
        return replace(larkfield, site=key, name=f"School number {at}", jobs=jobs)

    sites = tuple(copy(at) for at in range(number))
    return replace(plan, sites=sites), {site.site: facts["larkfield"] for site in sites}
