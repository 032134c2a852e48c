"""The facts of a site's page, gathered from what its plan was made from."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date, timedelta

import numpy as np

from orchardcal.outputs.page.facts import Chill, Closed, Floats, SiteFacts, Tree
from orchardcal.plan.care_tasks import SiteSeason
from orchardcal.season import Span
from orchardcal.sentence import say
from orchardcal.sites.free_days import closed_days, pupil_days
from orchardcal.windows.climate_facts import ClimateFacts, climate_facts
from orchardcal.windows.site_climate import SiteClimate
from orchardcal.windows.stages import needs_of

SHARES = (0.1, 0.5, 0.9)
OBSERVED_GRADES = ("A", "B")
SEASONS_DRAWN = 60  # thin lines of the chill drawing: more are a blot, and heavy to carry


def site_facts(seasons: Sequence[SiteSeason]) -> SiteFacts:
    """The facts of one site for the seasons planned, the first of which gives the climate.

    seasons: as `plan.site_plan` takes them.
    """
    here = seasons[0]
    site = here.site
    span = Span(here.season.first, seasons[-1].season.last)
    climate = climate_facts(here.climate, site.plantings, here.rules)
    return SiteFacts(
        season=here.season,
        trees=tuple(_trees(here)),
        closed=_stretches(closed_days(site, span)),
        pupil_days=pupil_days(site, span),
        volunteers=site.volunteers,
        chill=_chill(here, climate),
        freezes=climate.freezes,
    )


def _trees(here: SiteSeason) -> Iterable[Tree]:
    for planting in here.site.plantings:
        rules = here.rules[planting.species]
        yield Tree(
            id=planting.id,
            counted=say(
                "{count} " + rules.title, plural="{count} " + rules.plural, count=planting.count
            ),
            cultivar=planting.cultivar,
            age=planting.age(here.season.harvest_year),
            form=planting.form,
            near_power_line=planting.near_power_line,
        )


def _stretches(closed: dict[date, str]) -> tuple[Closed, ...]:
    """Days one after another under one name, put together."""
    found: list[Closed] = []
    for day, name in sorted(closed.items()):
        last = found[-1] if found else None
        if last and last.name == name and last.span.last + timedelta(days=1) == day:
            found[-1] = Closed(Span(last.span.first, day), name)
        else:
            found.append(Closed(Span(day, day), name))
    return tuple(found)


def _chill(here: SiteSeason, climate: ClimateFacts) -> Chill:
    running = climate.portions_by_day
    known = here.climate.ensemble.observed_days
    needs: dict[str, float] = {}
    for planting in here.site.plantings:
        rules = here.rules[planting.species]
        if rules.deciduous and rules.needs:
            chill = needs_of(planting, rules, "typical").chill
            if chill.model == "portions":
                needs.setdefault(rules.title, chill.amount)
    return Chill(
        season=here.season,
        past=(_past(here.climate) if known else running)[:SEASONS_DRAWN],
        observed=here.climate.ensemble.grade in OBSERVED_GRADES,
        so_far=np.median(running[:, :known], axis=0) if known else running[0, :0],
        ahead=np.quantile(running, SHARES, axis=0),
        needs=tuple(sorted(needs.items(), key=lambda need: (need[1], need[0]))),
        met=tuple(row for row in climate.stages if row.detail == "chill met"),
    )


def _past(climate: SiteClimate) -> Floats:
    """Whole past seasons, without this season's own days laid over them."""
    return np.cumsum(climate.without_this_season().daily("portions"), axis=1)
