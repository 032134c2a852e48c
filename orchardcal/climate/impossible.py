"""Climate input that cannot be: found before anything is generated, each with what to write."""

from __future__ import annotations

from collections.abc import Sequence
from statistics import fmean

import numpy as np

from orchardcal.climate.months import MONTHS

HIGHEST_LATITUDE_DEG = 66.0
TROPICS_DEG = 20.0
HIGHEST_MONTHLY_MEAN_C = 46.0  # Furnace Creek, July, is just below 47
LOWEST_MONTHLY_MEAN_C = -55.0
MONTH_NAMES = (
    *("January", "February", "March", "April", "May", "June", "July"),
    *("August", "September", "October", "November", "December"),
)
MONTH_DAYS = (31, 29, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)
LEAST_CHANGE_C = 2.0  # between the coldest and the warmest month, to tell a hemisphere

# Portions, 1 Oct-30 Apr, that generated years with a frost season so long come to: at most with a
# swing of 2.5 °C about the mean and a daily range of 6 °C, at least with 18 °C and 10 to 14 °C.
FROST_SEASON_DAYS = (20, 45, 75, 105, 135, 165, 195, 225, 255)
MOST_PORTIONS = (147, 154, 159, 161, 161, 160, 157, 154, 152)
LEAST_PORTIONS = (16, 28, 44, 64, 86, 97, 93, 73, 54)
PORTIONS_LEEWAY = 0.10
SHORTEST_FROST_SEASON, LONGEST_FROST_SEASON = 15, 300


class ClimateRefused(ValueError):
    """Climate data no ensemble can be made of; `messages` says why and what to write instead."""

    def __init__(self, messages: Sequence[str]) -> None:
        self.messages = tuple(messages)
        super().__init__("\n".join(self.messages))


def refuse_if_any(messages: Sequence[str]) -> None:
    if messages:
        raise ClimateRefused(messages)


def impossible_latitude(latitude_deg: float) -> list[str]:
    """Why a latitude is refused, if it is."""
    if abs(latitude_deg) <= HIGHEST_LATITUDE_DEG:
        return []
    return [
        f"Latitude {latitude_deg:g} lies beyond {HIGHEST_LATITUDE_DEG:g} degrees, where the day "
        "length rules do not hold; write one between -66 and 66."
    ]


def impossible_normals(
    latitude_deg: float,
    low_c: Sequence[float],
    high_c: Sequence[float],
    rain_days: Sequence[float] | None = None,
    rain_mm: Sequence[float] | None = None,
) -> list[str]:
    """Why monthly normals, January first, are refused; empty if they are not."""
    found = impossible_latitude(latitude_deg)
    for name, values in (
        ("low", low_c),
        ("high", high_c),
        ("rain days", rain_days),
        ("rain", rain_mm),
    ):
        if values is not None and len(values) != MONTHS:
            found.append(
                f"Monthly normals of {name} need 12 values, January first, not {len(values)}."
            )
    if found:
        return found
    for month, low, high in zip(MONTH_NAMES, low_c, high_c, strict=True):
        if low > high:
            found.append(
                f"{month} has a mean low of {low:g} °C above its high of {high:g} °C; swap them."
            )
        for kind, value in (("low", low), ("high", high)):
            if not LOWEST_MONTHLY_MEAN_C <= value <= HIGHEST_MONTHLY_MEAN_C:
                found.append(
                    f"{month} has a mean {kind} of {value:g} °C, which no place has; is it in °F?"
                )
    means = [fmean(pair) for pair in zip(low_c, high_c, strict=True)]
    found += wrong_hemisphere(latitude_deg, means)
    known_days: Sequence[float] = () if rain_days is None else rain_days
    known_amounts: Sequence[float] = () if rain_mm is None else rain_mm
    for month, days, most in zip(MONTH_NAMES, known_days, MONTH_DAYS, strict=False):
        if not 0 <= days <= most:
            found.append(f"{month} has {days:g} rain days; write 0 to {most}.")
    for month, amount in zip(MONTH_NAMES, known_amounts, strict=False):
        if amount < 0:
            found.append(f"{month} has {amount:g} mm of rain; write 0 or more.")
    if rain_days is not None and rain_mm is not None:
        for month, days, amount in zip(MONTH_NAMES, rain_days, rain_mm, strict=True):
            if days == 0 and amount >= 1:
                found.append(
                    f"{month} has {amount:g} mm of rain on 0 rain days; write its rain days."
                )
    return found


def wrong_hemisphere(latitude_deg: float, monthly_mean_c: Sequence[float]) -> list[str]:
    """Whether the coldest month lies in the other hemisphere's winter, beyond 20 degrees."""
    if abs(latitude_deg) <= TROPICS_DEG:
        return []
    if max(monthly_mean_c) - min(monthly_mean_c) < LEAST_CHANGE_C:
        return []
    coldest = int(np.argmin(monthly_mean_c))
    other_winter = (10, 11, 0, 1, 2) if latitude_deg < 0 else (4, 5, 6, 7, 8)
    if coldest not in other_winter:
        return []
    return [
        f"The coldest month is {MONTH_NAMES[coldest]}, but at latitude {latitude_deg:g} winter is "
        f"half a year away; write latitude {-latitude_deg:g}, or check the order of the months."
    ]


def impossible_freeze_dates(
    latitude_deg: float, first_freeze: int, last_freeze: int, chill_portions: float
) -> list[str]:
    """Why mean freeze dates (season days) and mean winter chill are refused, before solving."""
    found = impossible_latitude(latitude_deg)
    length = last_freeze - first_freeze
    if length <= 0:
        found.append(
            "The mean last freeze comes before the mean first freeze of the same winter; "
            "last_freeze is the spring date, first_freeze the autumn one: swap them, or check the "
            "sign of the latitude."
        )
        return found
    if not SHORTEST_FROST_SEASON <= length <= LONGEST_FROST_SEASON:
        found.append(
            f"From first to last freeze are {length} days; a place with {SHORTEST_FROST_SEASON} to "
            f"{LONGEST_FROST_SEASON} can be solved. Write monthly normals instead."
        )
        return found
    least, most = feasible_portions(length)
    if not least <= chill_portions <= most:
        found.append(
            f"{chill_portions:g} chill portions cannot go with {length} days from first to last "
            f"freeze; such a place has {least:.0f} to {most:.0f} (Dynamic model, 1 Oct-30 Apr, in "
            "the south 3 Apr-31 Oct). Is it in hours or Utah units?"
        )
    return found


def feasible_portions(frost_season_days: float) -> tuple[float, float]:
    """The least and most winter chill a frost season of so many days can go with, 10 % leeway."""
    least = float(np.interp(frost_season_days, FROST_SEASON_DAYS, LEAST_PORTIONS))
    most = float(np.interp(frost_season_days, FROST_SEASON_DAYS, MOST_PORTIONS))
    return least * (1 - PORTIONS_LEEWAY), most * (1 + PORTIONS_LEEWAY)


def impossible_four_numbers(
    coldest_low_c: float, coldest_high_c: float, hottest_low_c: float, hottest_high_c: float
) -> list[str]:
    """Why the lows and highs of the coldest and the hottest month are refused."""
    found = []
    for name, low, high in (
        ("coldest", coldest_low_c, coldest_high_c),
        ("hottest", hottest_low_c, hottest_high_c),
    ):
        if low > high:
            found.append(
                f"The {name} month has a mean low of {low:g} °C above its high of "
                f"{high:g} °C; swap them."
            )
        for value in (low, high):
            if not LOWEST_MONTHLY_MEAN_C <= value <= HIGHEST_MONTHLY_MEAN_C:
                found.append(f"The {name} month has {value:g} °C, which no place has; is it in °F?")
    if coldest_low_c + coldest_high_c >= hottest_low_c + hottest_high_c:
        found.append("The coldest month is not colder than the hottest; swap them.")
    return found
