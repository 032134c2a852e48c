"""A site's climate figures as tables for a terminal, and as JSON."""

from __future__ import annotations

import json
import math
from collections.abc import Sequence

from orchardcal.outputs.listing import table
from orchardcal.outputs.speech import Speech
from orchardcal.season import Season
from orchardcal.sentence import Celsius
from orchardcal.windows.climate_facts import ClimateFacts, FreezeOdds, Quantiles

CHILL_NAMES = {
    "portions": "chill portions",
    "utah": "Utah units",
    "positive_utah": "positive Utah units",
    "hours_0_72": "hours 0 to 7.2 °C",
    "hours_below_72": "hours below 7.2 °C",
}
RISKS = (0.9, 0.5, 0.1)


def climate_tables(facts: ClimateFacts, season: Season, speech: Speech) -> str:
    """Freeze odds, chill, bud stages and the observed seasons, as aligned text."""
    parts = [
        (
            "Freezes: seasons in 10 in which it still freezes later in spring",
            _freezes(facts, season, speech, "last"),
        ),
        (
            "Freezes: seasons in 10 in which it has frozen by then in autumn",
            _freezes(facts, season, speech, "first"),
        ),
        (
            "Winter chill, from 1 Sep (1 Mar in the south), reached in so many seasons of 10",
            _chill(facts, speech),
        ),
        (
            "Leaf fall and bud stages, come by then in so many seasons of 10",
            _stages(facts, season, speech),
        ),
    ]
    if facts.by_year:
        parts.append(("Season by season", _years(facts, season, speech)))
    return "\n\n".join(f"{title}\n" + "\n".join(rows) for title, rows in parts) + "\n"


def _freezes(facts: ClimateFacts, season: Season, speech: Speech, which: str) -> list[str]:
    rows: list[Sequence[str]] = [
        ("at or below", "9 of 10", "5 of 10", "1 of 10", "seasons with one")
    ]
    for odds in facts.freezes:
        dates = odds.last if which == "last" else odds.first
        shares = RISKS if which == "last" else tuple(reversed(RISKS))
        rows.append(
            (
                speech.value(Celsius(odds.threshold_c)),
                *(_day(dates[share], season, speech) for share in shares),
                f"{odds.with_freeze} of {odds.seasons}",
            )
        )
    if which == "first":
        rows[0] = ("at or below", "1 of 10", "5 of 10", "9 of 10", "seasons with one")
    return list(table(rows))


def _chill(facts: ClimateFacts, speech: Speech) -> list[str]:
    rows: list[Sequence[str]] = [("model", "1 of 10", "5 of 10", "9 of 10")]
    for row in facts.chill:
        rows.append((CHILL_NAMES[row.name], *(speech.value(round(amount)) for amount in row.at)))
    return list(table(rows))


def _stages(facts: ClimateFacts, season: Season, speech: Speech) -> list[str]:
    rows: list[Sequence[str]] = [("of", "stage", "1 of 10", "5 of 10", "9 of 10")]
    for row in (facts.leaf_fall, *facts.stages):
        rows.append((row.name, row.detail, *(_day(day, season, speech) for day in row.at)))
    return list(table(rows))


def _years(facts: ClimateFacts, season: Season, speech: Speech) -> list[str]:
    rows: list[Sequence[str]] = [
        ("season", "portions", "last freeze", "full bloom of the first species")
    ]
    for year, portions, last, bloom in facts.by_year:
        own = Season(year, season.southern)
        rows.append(
            (str(year), str(round(portions)), _day(last, own, speech), _day(bloom, own, speech))
        )
    return list(table(rows))


def _day(day: float | None, season: Season, speech: Speech) -> str:
    if day is None or math.isinf(day):
        return "never"
    _, text = speech.day(season.day(round(day))).split(" ", 1)
    return text


def climate_json(facts: ClimateFacts, season: Season) -> str:
    """The same figures as one JSON object; days as dates of the season, null for never."""
    written = {
        "season": season.harvest_year,
        "freezes": [_freeze_object(odds, season) for odds in facts.freezes],
        "chill": {row.name: dict(zip(("1", "5", "9"), row.at, strict=True)) for row in facts.chill},
        "stages": [_stage_object(row, season) for row in (facts.leaf_fall, *facts.stages)],
        "seasons": [
            {
                "season": year,
                "portions": round(portions, 2),
                "last_freeze": _iso(last, Season(year, season.southern)),
                "full_bloom": _iso(bloom, Season(year, season.southern)),
            }
            for year, portions, last, bloom in facts.by_year
        ],
    }
    return json.dumps(written, indent=1) + "\n"


def _freeze_object(odds: FreezeOdds, season: Season) -> dict[str, object]:
    return {
        "threshold_c": odds.threshold_c,
        "seasons": odds.seasons,
        "with_freeze": odds.with_freeze,
        "last": {str(risk): _iso(day, season) for risk, day in odds.last.items()},
        "first": {str(risk): _iso(day, season) for risk, day in odds.first.items()},
    }


def _stage_object(row: Quantiles, season: Season) -> dict[str, object]:
    days = (_iso(day, season) for day in row.at)
    return {"of": row.name, "stage": row.detail, **dict(zip(("1", "5", "9"), days, strict=True))}


def _iso(day: float | None, season: Season) -> str | None:
    return None if day is None or math.isinf(day) else season.day(round(day)).isoformat()
