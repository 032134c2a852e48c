"""The season day by which chill or heat has reached a need."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]


def chill_met(daily: Floats, need: float) -> Floats:
    """The first season day by whose end the chill since the start adds up to the need.

    daily: chill each day adds, any one model, shape (members, days); zero before the chill start.
    need: amount of the same model.
    Returns season days, shape (members,); inf where the season never gets there, which is an
    answer and not a gap: such a tree buds late, unevenly or not at all.

    >>> chill_met(np.array([[0.0, 1.0, 1.0], [0.0, 0.5, 0.0]]), 2.0).tolist()
    [2.0, inf]
    """
    return _first_day(np.cumsum(daily, axis=-1) >= need)


def heat_reached(gdh_daily: Floats, start_days: Floats, needs: Floats) -> Floats:
    """The first season day by whose end the heat from the start day on adds up to each need.

    gdh_daily: heat each day adds, one model, shape (members, days).
    start_days: season day heat begins to count, that day included, shape (members,), mostly
        `chill_met`; inf where it never does.
    needs: amounts of the same model, shape (stages,), one for each bud stage.
    Returns season days, shape (members, stages); inf where not reached within the season.

    >>> heat_reached(np.full((2, 4), 10.0), np.array([1.0, np.inf]), np.array([10.0, 25.0]))
    array([[ 1.,  3.],
           [inf, inf]])
    """
    counting = np.arange(gdh_daily.shape[-1]) >= np.asarray(start_days)[:, None]
    heat = np.cumsum(np.where(counting, gdh_daily, 0.0), axis=-1)
    enough = heat[:, None, :] >= np.asarray(needs)[:, None]
    return _first_day(enough & counting[:, None, :])


def _first_day(reached: NDArray[np.bool_]) -> Floats:
    return np.where(reached.any(axis=-1), reached.argmax(axis=-1).astype(np.float64), np.inf)
