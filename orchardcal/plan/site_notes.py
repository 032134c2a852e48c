"""What to know of a site's plan as a whole: how sure its climate is, which trees must wait."""

from __future__ import annotations

from datetime import timedelta

from orchardcal.plan.care_tasks import SiteSeason
from orchardcal.sentence import Listed, Sentence, say

GRADES = {
    "A": "Dates rest on {number} observed seasons (climate grade A).",
    "B": "Dates rest on only {number} observed seasons (climate grade B): their edges are rough.",
    "C": (
        "Dates rest on {number} seasons modelled from monthly means (climate grade C): good for"
        " buds and chill, up to eleven days off for frost."
    ),
    "D": (
        "Dates rest on {number} seasons modelled from freeze dates and winter chill (climate grade"
        " D): bud dates are give or take {error} days."
    ),
}


def site_notes(seasons: tuple[SiteSeason, ...]) -> tuple[Sentence, ...]:
    """The climate's grade and gaps, and trees nobody may work on."""
    here = seasons[0]
    ensemble = here.climate.ensemble
    notes = [
        say(GRADES[ensemble.grade], number=ensemble.members, error=round(ensemble.bud_error_days))
    ]
    if ensemble.observed_days:
        last = here.season.day(ensemble.observed_days - 1)
        notes.append(say("The weather of this season is known up to {day}.", day=last))
    if here.near is not None:
        last = here.near.first_day + timedelta(days=len(here.near.low_c) - 1)
        notes.append(say("The coming days up to {day} go by the forecast file.", day=last))
    measured = [year for year in ensemble.years if year in here.climate.hours]
    if here.climate.hours:
        notes.append(
            say(
                "Chill and heat of {number} seasons come from measured hours.", number=len(measured)
            )
        )
    notes.extend(Sentence(text, tuple(sorted(values.items()))) for text, values in ensemble.notes)
    lines = [planting.id for planting in here.site.plantings if planting.near_power_line]
    if lines:
        notes.append(
            say(
                "{trees}: near a power line, so no pruning is planned; call the utility or a"
                " licensed arborist.",
                trees=Listed(tuple(lines)),
            )
        )
    return tuple(notes)
