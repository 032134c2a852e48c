"""A year's weather solved from mean freeze dates and winter chill, better with four more numbers.

Two dates and one total do not fix spring warmth or the daily range: freeze dates, chill and the
day chill is met come out usable, bud dates only to about three weeks. The lows and highs of the
coldest and the hottest month fix the rest; then the chill given serves as a check.
"""

from __future__ import annotations

from collections.abc import Callable, Generator, Sequence
from dataclasses import dataclass
from math import exp, log
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from orchardcal.climate.daily_totals import portions_between
from orchardcal.climate.frost import FREEZE_C, first_freeze, last_freeze
from orchardcal.climate.generator import generated_days
from orchardcal.climate.hours_side_by_side import DailyExtremes
from orchardcal.climate.impossible import (
    ClimateRefused,
    impossible_four_numbers,
    impossible_freeze_dates,
    refuse_if_any,
)
from orchardcal.climate.search import Search
from orchardcal.climate.steady_chill import steady_portions
from orchardcal.season import DAYS

Floats = NDArray[np.float64]
T = TypeVar("T")
# A search on its way: it asks for the winter portions of seasons and goes on with the answer.
Asking = Generator[DailyExtremes, Floats, T]
FourNumbers = tuple[float, float, float, float]  # coldest low, high, hottest low, high

CHILL_FROM, CHILL_TO = 92, 304  # 1 Oct-30 Apr, in the south 3 Apr-31 Oct
MONTH_OF_WAVE = 0.9889  # mean of a yearly cosine over the 30 days about its crest
RANGE_SWING = 0.18  # the daily range swings by so much of its mean
DATE_TOLERANCE_DAYS = 1.0
CHILL_TOLERANCE = 0.006
TRUE_OUTCOMES = 8  # at most
QUICK_MEMBERS = 30  # their mean differs little from all, and what differs is made good
FOUR_DATE_TOLERANCE_DAYS = 3.0  # wider, or the freeze dates would bend the spread and so the chill
REFUSED_BEYOND = 2.5  # tolerances
LEAST_FREEZING = 0.5
CHILL_CHECK_REFUSED = 0.4  # with the four numbers: departure of the chill that comes out
DATE_CHECK_REFUSED_DAYS = 30.0


@dataclass(frozen=True)
class Wave:
    """A year: mean low, day of the cold, amplitude, mean and swing of the daily range, spread."""

    mean_low_c: float
    low_day: float
    amplitude_c: float
    range_c: float
    range_swing_c: float
    spread: float

    def seasons(self) -> tuple[Floats, Floats]:
        """Generated lows and highs, each (members, 365)."""
        cosine = np.cos(2 * np.pi * (np.arange(DAYS) - self.low_day) / DAYS)
        mean_low = self.mean_low_c - self.amplitude_c * cosine
        mean_high = mean_low + self.range_c - self.range_swing_c * cosine
        return generated_days(mean_low, mean_high, self.amplitude_c, self.low_day, self.spread)


@dataclass(frozen=True)
class Solved:
    """The seasons found and what they give where numbers were asked of them."""

    wave: Wave
    low_c: Floats
    high_c: Floats
    first_freeze: float
    last_freeze: float
    chill_portions: float


def solving(latitude_deg: float, first: int, last: int, chill_portions: float) -> Asking[Solved]:
    """Searches for seasons with these mean freezes (season days) and mean winter portions.

    Five unknowns and three numbers: among all years that fit, the one nearest to a usual year
    (coldest on day 201 +-7, amplitude 8 +-4 °C, daily range 10.5 +-2.5 °C, spread 1 +-15 %).
    Raises ClimateRefused for what cannot be, or cannot be met within bounds.
    """
    refuse_if_any(impossible_freeze_dates(latitude_deg, first, last, chill_portions))
    start_c = 3.5 + 8.0 * float(np.cos(np.pi * (last - first) / DAYS))
    chill_tolerance = max(0.3, CHILL_TOLERANCE * chill_portions)
    search = Search(
        prior=np.array([start_c, 201.0, 8.0, 10.5, 0.0]),
        prior_sd=np.array([20.0, 7.0, 4.0, 2.5, 0.15]),
        least=np.array([-40.0, 165.0, 1.5, 4.0, log(0.6)]),
        most=np.array([40.0, 235.0, 20.0, 20.0, log(1.7)]),
        target=np.array([first, last, chill_portions]),
        tolerance=np.array([DATE_TOLERANCE_DAYS, DATE_TOLERANCE_DAYS, chill_tolerance]),
    )

    def wave_of(x: Floats) -> Wave:
        mean_low, low_day, amplitude, daily_range, log_spread = (float(value) for value in x)
        swing = RANGE_SWING * daily_range
        return Wave(mean_low, low_day, amplitude, daily_range, swing, exp(log_spread))

    x, outcome = yield from _with_true_chill(search, wave_of, latitude_deg)
    misses = search.misses(outcome)
    if search.furthest_miss(outcome) > REFUSED_BEYOND or search.on_bound(x):
        raise ClimateRefused(
            [
                "No ordinary year has these freeze dates with "
                f"{chill_portions:g} chill portions (nearest: first freeze off by "
                f"{abs(misses[0]) * search.tolerance[0]:.0f} days, last by "
                f"{abs(misses[1]) * search.tolerance[1]:.0f}, chill by "
                f"{abs(misses[2]) * search.tolerance[2]:.0f}). Check the three numbers, add the "
                "four of the coldest and the hottest month, or write monthly normals."
            ]
        )
    return _solution(wave_of(x), outcome)


def solving_with_four(
    latitude_deg: float, first: int, last: int, chill_portions: float, four: FourNumbers
) -> Asking[Solved]:
    """As `solving`, with the mean low and high of the coldest and of the hottest month.

    They give mean, amplitude and range; only the day of the cold and, narrowly (+-5 %), the
    day-to-day spread are fitted to the freeze dates. The chill given is a check.
    """
    refuse_if_any(
        impossible_freeze_dates(latitude_deg, first, last, chill_portions)
        + impossible_four_numbers(*four)
    )
    cold_low, cold_high, hot_low, hot_high = four
    amplitude_c = (hot_low - cold_low) / 2 / MONTH_OF_WAVE
    swing_c = ((hot_high - hot_low) - (cold_high - cold_low)) / 2 / MONTH_OF_WAVE
    search = Search(
        prior=np.array([201.0, 0.0]),
        prior_sd=np.array([7.0, 0.05]),
        least=np.array([165.0, log(0.8)]),
        most=np.array([235.0, log(1.25)]),
        target=np.array([first, last], dtype=np.float64),
        tolerance=np.full(2, FOUR_DATE_TOLERANCE_DAYS),
    )

    def wave_of(x: Floats) -> Wave:
        return Wave(
            mean_low_c=(cold_low + hot_low) / 2,
            low_day=float(x[0]),
            amplitude_c=amplitude_c,
            range_c=(cold_high - cold_low + hot_high - hot_low) / 2,
            range_swing_c=swing_c,
            spread=exp(float(x[1])),
        )

    x, misses = search.run(lambda x: _mean_freezes(wave_of(x).seasons()[0]))
    outcome = yield from _true_outcome(wave_of(x), latitude_deg)
    solution = _solution(wave_of(x), outcome)
    chill_off = abs(solution.chill_portions - chill_portions) / max(chill_portions, 10.0)
    dates_off = float(np.abs(misses * search.tolerance).max())
    if dates_off > DATE_CHECK_REFUSED_DAYS or chill_off > CHILL_CHECK_REFUSED:
        raise ClimateRefused(
            [
                "The coldest and hottest month give freezes from season day "
                f"{solution.first_freeze:.0f} to {solution.last_freeze:.0f} and "
                f"{solution.chill_portions:.0f} chill portions, the other numbers say {first} to "
                f"{last} and {chill_portions:g}; they are not of one place. Check them all."
            ]
        )
    return solution


def answered(searches: Sequence[Asking[T]]) -> list[T | ClimateRefused]:
    """What each search finds, or why it finds nothing.

    All that ask at a time are answered together: the seasons of a dozen places are counted in half
    the time that each takes alone, and to the same last bit.
    """
    ends: dict[int, T | ClimateRefused] = {}
    answers: dict[int, Floats | None] = dict.fromkeys(range(len(searches)))
    while answers:
        asked = {}
        for at, answer in answers.items():
            try:
                asked[at] = searches[at].send(answer)  # type: ignore[arg-type]
            except StopIteration as ended:
                ends[at] = ended.value
            except ClimateRefused as refused:
                ends[at] = refused
        portions = portions_between([*asked.values()], CHILL_FROM, CHILL_TO)
        answers = dict(zip(asked, portions, strict=True))
    return [ends[at] for at in range(len(searches))]


def alone(search: Asking[T]) -> T:
    """What one search finds. Raises ClimateRefused where it finds nothing."""
    (end,) = answered([search])
    if isinstance(end, ClimateRefused):
        raise end
    return end


def _with_true_chill(
    search: Search, wave_of: Callable[[Floats], Wave], latitude_deg: float
) -> Asking[tuple[Floats, Floats]]:
    """The best point by the true outcome, and that outcome, found by searches of a quick one.

    The last target is the chill. The quick searches are asked for more or less of it, by secants,
    until the true chill is right: one to three true outcomes for a site in place of a dozen.
    """
    wanted = asked = float(search.target[-1])
    tried: list[tuple[float, float]] = []
    found: list[tuple[Floats, Floats]] = []
    for _ in range(TRUE_OUTCOMES):
        x, _ = search.asking(asked).run(lambda x: _quick_outcome(wave_of(x)))
        outcome = yield from _true_outcome(wave_of(x), latitude_deg)
        found.append((x, outcome))
        if search.furthest_miss(outcome) < 1.0:
            break
        tried.append((asked, float(outcome[-1])))
        asked = _next_asked(tried, wanted)
    return min(found, key=lambda each: search.furthest_miss(each[1]))


def _next_asked(tried: list[tuple[float, float]], wanted: float) -> float:
    """What to ask for after these pairs of (asked, found)."""
    asked, found = tried[-1]
    slope = asked / found
    if len(tried) > 1:
        asked_before, found_before = tried[-2]
        if found != found_before:
            slope = min(max((asked - asked_before) / (found - found_before), slope / 3), slope * 3)
    return asked + slope * (wanted - found)


def _quick_outcome(wave: Wave) -> Floats:
    low_c, high_c = wave.seasons()
    winter = slice(CHILL_FROM, CHILL_TO)
    portions = steady_portions(low_c[:QUICK_MEMBERS, winter], high_c[:QUICK_MEMBERS, winter])
    return np.append(_mean_freezes(low_c), portions)


def _true_outcome(wave: Wave, latitude_deg: float) -> Asking[Floats]:
    low_c, high_c = wave.seasons()
    portions = yield DailyExtremes(low_c, high_c, latitude_deg)
    return np.append(_mean_freezes(low_c), portions.mean())


def mean_winter_portions(low_c: Floats, high_c: Floats, latitude_deg: float) -> float:
    """Mean chill portions from 1 October to 30 April (in the south 3 April to 31 October)."""
    seasons = DailyExtremes(low_c, high_c, latitude_deg)
    return float(portions_between([seasons], CHILL_FROM, CHILL_TO)[0].mean())


def _mean_freezes(low_c: Floats) -> Floats:
    """Mean first and last freeze; seasons without one count with the coldest day as both."""
    first, last = first_freeze(low_c, FREEZE_C), last_freeze(low_c, FREEZE_C)
    coldest = low_c.argmin(axis=1)
    frozen = np.isfinite(first)
    return np.array([np.where(frozen, f, coldest).mean() for f in (first, last)])


def _solution(wave: Wave, outcome: Floats) -> Solved:
    low_c, high_c = wave.seasons()
    frozen = np.isfinite(first_freeze(low_c, FREEZE_C))
    if float(frozen.mean()) < LEAST_FREEZING:
        raise ClimateRefused(
            [
                "At this place fewer than half of the seasons would freeze, so freeze dates say "
                "too little; write monthly normals or give a daily record."
            ]
        )
    first, last, chill = (float(value) for value in outcome)
    return Solved(wave, low_c, high_c, first, last, chill)
