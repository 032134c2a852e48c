"""The estimated leaf fall against that of ginkgo and maple, and against their station's mean."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from orchardcal.climate.dormancy import leaf_fall
from tests.hindcast_study.cases import Floats, Ints, others_mean, rmse
from tests.hindcast_study.korea import AUTUMN_TREES, LATITUDE_DEG, LEAF_FALL, Kind, Station

LEAST_YEARS = 5  # few stations have more


def leaf_fall_errors(stations: Sequence[Station]) -> list[dict[str, object]]:
    """For each tree and end of leaf fall: errors [days] of the estimate and of the mean date."""
    rows: list[dict[str, object]] = []
    for tree in AUTUMN_TREES.values():
        for stage in LEAF_FALL.values():
            estimated, seen, station = _pairs(stations, (tree, stage))
            if not len(seen):
                continue
            error = seen - estimated
            rows.append(
                {
                    "tree": tree,
                    "stage": stage,
                    "station_years": len(seen),
                    "stations": len(set(station)),
                    "estimate_rmse": rmse(error),
                    "estimate_bias": float(error.mean()),
                    "estimate_with_station_offset_rmse": rmse(error - others_mean(error, station)),
                    "station_mean_rmse": rmse(seen - others_mean(seen, station)),
                    "within_14_days": int((np.abs(error) <= 14).sum()),
                }
            )
    return rows


def _pairs(stations: Sequence[Station], kind: Kind) -> tuple[Floats, Floats, Ints]:
    """Estimated day, observed day and station of every case."""
    cases = []
    for one in stations:
        seen = one.seen.get(kind, {})
        if len(seen) < LEAST_YEARS:
            continue
        estimate = dict(zip(one.years, leaf_fall(one.low_c, one.high_c, LATITUDE_DEG), strict=True))
        cases += [(estimate[year], day, one.position) for year, day in seen.items()]
    if not cases:
        return np.empty(0), np.empty(0), np.empty(0, dtype=np.int64)
    table = np.array(cases, dtype=np.float64)
    return table[:, 0], table[:, 1], table[:, 2].astype(np.int64)
