"""Reliability of the freeze odds: how often the season left out lay beyond each date."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

import numpy as np

from orchardcal.climate.frost import first_freeze, freeze_odds, last_freeze
from orchardcal.climate.odds import wilson
from tests.hindcast_study.korea import Station

SEASONS_OF_RECORD = (5, 10, 20, 30)
RISKS = (0.1, 0.5, 0.9)
THRESHOLDS_C = (0.0, -2.2)


def freeze_reliability(stations: Sequence[Station]) -> list[dict[str, object]]:
    """For each length of record and risk: seasons later (spring) or earlier (autumn) than the date.

    The record of a season left out is the stretch of that many whole seasons of the station after
    it, going on from the first where the record ends. Where the record has too few freezing
    seasons for a date at that risk, none is given and none is judged.
    """
    rows: list[dict[str, object]] = []
    for seasons in SEASONS_OF_RECORD:
        for threshold_c in THRESHOLDS_C:
            beyond: Counter[tuple[str, float]] = Counter()
            asked: Counter[tuple[str, float]] = Counter()
            for one in stations:
                lasts = last_freeze(one.low_c, threshold_c)
                firsts = first_freeze(one.low_c, threshold_c)
                for at in range(len(one.years) if len(one.years) > seasons else 0):
                    record = (at + 1 + np.arange(seasons)) % len(one.years)
                    odds = freeze_odds(one.low_c[record], threshold_c)
                    froze = bool(np.isfinite(lasts[at]))
                    for risk in RISKS:
                        last, first = odds.last[risk], odds.first[risk]
                        if last is not None and first is not None:
                            asked["last", risk] += 1
                            asked["first", risk] += 1
                            beyond["last", risk] += froze and bool(lasts[at] > last)
                            beyond["first", risk] += froze and bool(firsts[at] < first)
            for (end, risk), count in asked.items():
                low, high = wilson(beyond[end, risk], count)
                rows.append(
                    {
                        "seasons_of_record": seasons,
                        "threshold_c": threshold_c,
                        "freeze": end,
                        "risk": risk,
                        "beyond": beyond[end, risk],
                        "seasons_judged": count,
                        "interval_80": [low, high],
                    }
                )
    return rows
