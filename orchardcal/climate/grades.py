"""The ensemble of a place from whatever is known of it, graded by how far to trust it."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from math import hypot

import numpy as np
from numpy.typing import NDArray

from orchardcal.climate.ensemble import Ensemble
from orchardcal.climate.generator import generated_seasons
from orchardcal.climate.impossible import (
    ClimateRefused,
    impossible_latitude,
    impossible_normals,
    refuse_if_any,
)
from orchardcal.climate.normals import MonthlyNormals, normals_given, normals_of_seasons
from orchardcal.climate.record import Note, SeasonsOfRecord, seasons_of_record
from orchardcal.climate.solver import (
    Asking,
    FourNumbers,
    Solved,
    alone,
    solving,
    solving_with_four,
)
from orchardcal.season import Season, is_southern

Floats = NDArray[np.float64]
GRADE_A_SEASONS, GRADE_B_SEASONS, LEAST_SEASONS = 20, 10, 3
MODEL_ERROR_DAYS = 5.0  # of a bud date from chill and heat, one standard deviation
FOUR_NUMBERS_ERROR_DAYS = 6.7  # rms of bud dates: six constructed climates, four real records
FREEZE_DATES_ERROR_DAYS = 21.0


def ensemble_from_record(
    latitude_deg: float,
    first_day: date,
    low_c: Sequence[float] | Floats,
    high_c: Sequence[float] | Floats,
    rain_mm: Sequence[float] | Floats | None,
) -> Ensemble:
    """The whole seasons of a daily record: grade A from 20, B from 10, C (as normals) from 3.

    low_c, high_c, rain_mm: a value a day from first_day on, nan where missing. Raises
    ClimateRefused for fewer seasons, for monthly means no place of that latitude has.
    """
    refuse_if_any(impossible_latitude(latitude_deg))
    southern = is_southern(latitude_deg)
    seasons = seasons_of_record(first_day, low_c, high_c, rain_mm, southern)
    count = len(seasons.years)
    if count < LEAST_SEASONS:
        raise ClimateRefused([_too_few(seasons)])
    normals = normals_of_seasons(seasons.low_c, seasons.high_c, seasons.rain_mm, southern)
    lows, highs = (monthly.round(1).tolist() for monthly in (normals.low_c, normals.high_c))
    refuse_if_any(impossible_normals(latitude_deg, lows, highs))
    if count < GRADE_B_SEASONS:
        note: Note = (
            "The record has {count} whole seasons, too few to count over; their monthly means "
            "were turned into generated seasons.",
            {"count": count},
        )
        return _generated(latitude_deg, normals, (*seasons.notes, note))
    return Ensemble(
        latitude_deg=latitude_deg,
        grade="A" if count >= GRADE_A_SEASONS else "B",
        low_c=seasons.low_c,
        high_c=seasons.high_c,
        rain_mm=seasons.rain_mm,
        years=seasons.years,
        bud_error_days=MODEL_ERROR_DAYS,
        notes=seasons.notes,
    )


def ensemble_from_normals(
    latitude_deg: float,
    low_c: Sequence[float],
    high_c: Sequence[float],
    rain_days: Sequence[float] | None = None,
    rain_mm: Sequence[float] | None = None,
) -> Ensemble:
    """Generated seasons from twelve monthly means, January first: grade C.

    Rain is generated where both rain_days (days of 1 mm or more) and rain_mm are given. Raises
    ClimateRefused for normals that cannot be.
    """
    refuse_if_any(impossible_normals(latitude_deg, low_c, high_c, rain_days, rain_mm))
    return _generated(latitude_deg, normals_given(low_c, high_c, rain_days, rain_mm), ())


def ensemble_from_freeze_dates(
    latitude_deg: float,
    last_freeze: tuple[int, int],
    first_freeze: tuple[int, int],
    chill_portions: float,
    four: FourNumbers | None = None,
) -> Ensemble:
    """Generated seasons from mean freeze dates (month, day) and winter chill: grade D.

    last_freeze is the spring date, first_freeze the autumn one. chill_portions: mean of the
    Dynamic model, 1 Oct-30 Apr. four: mean low and high of the coldest month, then of the
    hottest. Raises ClimateRefused for numbers that cannot be.
    """
    return alone(
        seeking_freeze_dates(latitude_deg, last_freeze, first_freeze, chill_portions, four)
    )


def seeking_freeze_dates(
    latitude_deg: float,
    last_freeze: tuple[int, int],
    first_freeze: tuple[int, int],
    chill_portions: float,
    four: FourNumbers | None = None,
) -> Asking[Ensemble]:
    """The same as a search, to be answered together with others (`solver.answered`)."""
    southern = is_southern(latitude_deg)
    first, last = (season_day_of(*day, southern) for day in (first_freeze, last_freeze))
    if four is None:
        solution = yield from solving(latitude_deg, first, last, chill_portions)
        error_days = FREEZE_DATES_ERROR_DAYS
    else:
        solution = yield from solving_with_four(latitude_deg, first, last, chill_portions, four)
        error_days = hypot(MODEL_ERROR_DAYS, FOUR_NUMBERS_ERROR_DAYS)
    members = solution.low_c.shape[0]
    return Ensemble(
        latitude_deg=latitude_deg,
        grade="D",
        low_c=solution.low_c,
        high_c=solution.high_c,
        rain_mm=None,
        years=tuple(range(1, members + 1)),
        bud_error_days=error_days,
        notes=_solver_notes(solution, first, last, chill_portions),
    )


def season_day_of(month: int, day: int, southern: bool) -> int:
    """The season day of a date without a year; 29 February counts as the 28th."""
    season = Season(2027, southern)  # any season without a leap day
    year = season.first.year if month >= season.first.month else season.last.year
    return season.season_day(date(year, month, 28 if (month, day) == (2, 29) else day))


def _generated(latitude_deg: float, normals: MonthlyNormals, notes: tuple[Note, ...]) -> Ensemble:
    low_c, high_c, rain_mm = generated_seasons(normals, is_southern(latitude_deg))
    return Ensemble(
        latitude_deg=latitude_deg,
        grade="C",
        low_c=low_c,
        high_c=high_c,
        rain_mm=rain_mm,
        years=tuple(range(1, low_c.shape[0] + 1)),
        bud_error_days=MODEL_ERROR_DAYS,
        notes=notes,
    )


def _too_few(seasons: SeasonsOfRecord) -> str:
    said = " ".join(text.format(**values) for text, values in seasons.notes)
    head = (
        f"The record has {len(seasons.years)} whole seasons; {LEAST_SEASONS} or more are needed, "
        f"{GRADE_B_SEASONS} to count over. Add years, or write monthly normals instead."
    )
    return f"{head} {said}".strip()


def _solver_notes(
    solution: Solved, first: int, last: int, chill_portions: float
) -> tuple[Note, ...]:
    notes: list[Note] = [
        (
            "The seasons were generated from two freeze dates and {portions} chill portions; "
            "theirs come to {found} portions.",
            {"portions": chill_portions, "found": round(solution.chill_portions)},
        )
    ]
    off = max(abs(solution.first_freeze - first), abs(solution.last_freeze - last))
    if off > 2:
        notes.append(
            (
                "Their mean freeze dates lie up to {days} days from those given.",
                {"days": round(off)},
            )
        )
    return tuple(notes)
