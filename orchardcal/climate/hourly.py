"""Hourly air temperature between the daily low and high, in solar time."""

from __future__ import annotations

from functools import lru_cache

import numpy as np
from numpy.lib.stride_tricks import sliding_window_view
from numpy.typing import NDArray

from orchardcal.season import DAYS, is_southern

Floats = NDArray[np.float64]

DAILY_VALUES = 5  # low and high of the day before, low and high of the day, low of the day after
SHORTEST_DAY_H, LONGEST_DAY_H = 4.0, 22.0
HOURS_TO_HIGH_AFTER_NOON = 2.0


def day_length_h(latitude_deg: float) -> Floats:
    """Hours from sunrise to sunset on each season day of the latitude's hemisphere.

    Counts the upper rim of the sun through standard refraction, as almanacs do; longer by 6 to 25
    minutes than the plain geometry of irrigation handbooks. 0 in polar night, 24 in polar day.

    latitude_deg: north positive [degrees], -90 to 90.
    Returns [h], shape (365,), season day 0 = 1 Jul in the north, 1 Jan in the south.

    Source: Spencer (1971), Search 2(5):172, Fourier series of the solar declination (as printed
        in Iqbal 1983, An Introduction to Solar Radiation, eq. 1.3.1); horizon at -0.8333 degrees
        as in the NOAA solar calculator.
    Departs from it: nothing. One year serves all; a leap year's dates move it by under 5 minutes.

    >>> [round(float(day_length_h(latitude)[173]), 1) for latitude in (0.0, 35.0, 60.0)]
    [12.1, 9.8, 5.9]
    """
    latitude = np.radians(latitude_deg)
    declination = _declination_rad(latitude_deg)
    horizon = np.sin(np.radians(-0.8333))
    cosine = (horizon - np.sin(latitude) * np.sin(declination)) / (
        np.cos(latitude) * np.cos(declination)
    )
    half_day: Floats = np.arccos(np.clip(cosine, -1, 1))
    return 24 / np.pi * half_day


def hourly_c(low_c: Floats, high_c: Floats, latitude_deg: float) -> Floats:
    """Hourly temperature of whole seasons from their daily lows and highs.

    A sine from sunrise over the high, two hours after noon, to sunset; then a logarithmic fall to
    the next day's low at sunrise. Hours are solar (noon = 12): against clock hours the curve is
    shifted as a whole, which changes no season total. First and last day stand in for the days
    beside them.

    low_c, high_c: daily extremes [°C], shape (..., 365), season day 0 first, no gaps.
    latitude_deg: north positive [degrees].
    Returns [°C], shape (..., 8760), hour 0 of season day 0 first.

    Source: Linvill (1990), HortScience 25(1):14-16, doi:10.21273/HORTSCI.25.1.14.
    Departs from it: the sunset temperature holds for the first hour of the night, up to where its
        logarithm begins (ln t, t >= 1; the paper was not opened). chillR and xclim write ln(1 + t)
        and cool at once. Against observed hours of January to March at Newark, Kennedy, LaGuardia
        and Greensboro, ln(1 + t) is 0.25 to 0.47 °C too cold and its heat 6 to 13 % short; ln t
        0.12 to 0.23 °C and 0 to 7 %. Day length is held within 4 to 22 h, so that the sine reaches
        the high and the night has a length; that matters only beyond 63 degrees.

    >>> spring_day = hourly_c(np.full(365, 2.0), np.full(365, 16.0), 45.0)[274 * 24 : 275 * 24]
    >>> int(spring_day.argmin()), int(spring_day.argmax()), round(float(spring_day[22]), 1)
    (5, 14, 6.5)
    """
    shape = np.shape(low_c)
    if shape != np.shape(high_c) or shape[-1] != DAYS:
        raise ValueError(f"lows {shape} and highs {np.shape(high_c)} must both be (..., {DAYS})")
    values = neighbouring_values(np.reshape(low_c, (-1, DAYS)), np.reshape(high_c, (-1, DAYS)))
    hours = np.matmul(hourly_weights(latitude_deg), values)
    return np.ascontiguousarray(hours.reshape(DAYS * 24, -1).T).reshape(*shape[:-1], DAYS * 24)


@lru_cache(maxsize=32)
def hourly_weights(latitude_deg: float) -> Floats:
    """What share each of five daily values has in each hour of `hourly_c`.

    The curve is linear in the daily values, so one set of weights serves all members and sites of
    a latitude exactly.

    Returns shape (365, 24, 5), read-only; last axis: low and high of the day before, low and high
    of the day, low of the day after (`neighbouring_values`). They add up to 1.
    """
    length = np.clip(day_length_h(latitude_deg), SHORTEST_DAY_H, LONGEST_DAY_H)[:, None]
    length_before = np.vstack((length[:1], length[:-1]))
    length_after = np.vstack((length[1:], length[-1:]))
    hour = np.arange(24.0)
    sunrise, sunset = 12 - length / 2, 12 + length / 2
    morning, evening = hour <= sunrise, hour > sunset

    high_share = _rise(hour - sunrise, length)
    fall_since_yesterday = _fall(hour + 12 - length_before / 2, 24 - length_before / 2 - length / 2)
    fall_to_tomorrow = _fall(hour - sunset, 24 - length / 2 - length_after / 2)
    at_sunset, at_sunset_before = _rise(length, length), _rise(length_before, length_before)

    nought = np.zeros_like(high_share)
    by_part_of_day = (
        # before sunrise: from yesterday's sunset to today's low
        (
            (1 - fall_since_yesterday) * (1 - at_sunset_before),
            (1 - fall_since_yesterday) * at_sunset_before,
            fall_since_yesterday,
            nought,
            nought,
        ),
        # after sunset: from today's sunset to tomorrow's low
        (
            nought,
            nought,
            (1 - fall_to_tomorrow) * (1 - at_sunset),
            (1 - fall_to_tomorrow) * at_sunset,
            fall_to_tomorrow,
        ),
        # between them
        (nought, nought, 1 - high_share, high_share, nought),
    )
    before_sunrise, after_sunset, day = (np.stack(part, axis=-1) for part in by_part_of_day)
    weights: Floats = np.where(
        morning[..., None], before_sunrise, np.where(evening[..., None], after_sunset, day)
    )
    weights.flags.writeable = False
    return weights


def neighbouring_values(low_c: Floats, high_c: Floats) -> Floats:
    """The five daily values each day's hours are made of; edge days are their own neighbours.

    low_c, high_c: [°C], shape (members, days). Returns [°C], shape (days, 5, members): a view in
    which neighbouring days share their values.
    """
    members, days = np.shape(low_c)
    laid = np.empty((laid_rows(days), members))
    lay_days(low_c, high_c, laid)
    return windows_of(laid)


def laid_rows(days: int) -> int:
    """How many rows `lay_days` fills."""
    return 2 * days + 3


def lay_days(low_c: Floats, high_c: Floats, laid: Floats) -> None:
    """Lays low and high of each day one below the other, with the days before and after them.

    low_c, high_c: [°C], shape (members, days). laid: filled, shape (2 * days + 3, members).
    """
    laid[2:-1:2], laid[3:-1:2] = days_first(low_c), days_first(high_c)
    laid[0], laid[1], laid[-1] = laid[2], laid[3], laid[-3]


def windows_of(laid: Floats) -> Floats:
    """Of rows as `lay_days` lays them the five of each day, shape (days, 5, members); a view."""
    return np.swapaxes(sliding_window_view(laid, DAILY_VALUES, axis=0)[::2], 1, 2)


def days_first(daily: Floats) -> Floats:
    """Shape (..., days) laid out as (days, lanes): the members side by side in memory."""
    flat = np.asarray(daily, dtype=np.float64).reshape(-1, np.shape(daily)[-1])
    return np.ascontiguousarray(flat.T)


def _declination_rad(latitude_deg: float) -> Floats:
    """The sun's declination on each season day of the latitude's hemisphere."""
    first_day_of_year = 0 if is_southern(latitude_deg) else 181
    g = 2 * np.pi * ((np.arange(DAYS) + first_day_of_year) % DAYS) / DAYS
    declination: Floats = (
        0.006918
        - 0.399912 * np.cos(g)
        + 0.070257 * np.sin(g)
        - 0.006758 * np.cos(2 * g)
        + 0.000907 * np.sin(2 * g)
        - 0.002697 * np.cos(3 * g)
        + 0.00148 * np.sin(3 * g)
    )
    return declination


def _rise(since_sunrise_h: Floats, length_h: Floats) -> Floats:
    """The high's share of the temperature by day; 1 two hours after noon."""
    share: Floats = np.sin(np.pi * since_sunrise_h / (length_h + 2 * HOURS_TO_HIGH_AFTER_NOON))
    return share


def _fall(since_sunset_h: Floats, night_h: Floats) -> Floats:
    """How far the night has fallen from its sunset temperature (0) to the next low (1).

    night_h is at least 2, by the bound on the day's length.
    """
    share: Floats = np.log(np.maximum(since_sunset_h, 1)) / np.log(night_h)
    return share
