"""What was found on the stations of odd position, written down before the even ones were read."""

from __future__ import annotations

from orchardcal.climate.bud_model import BudModel

MODELS = {
    "peach": BudModel(chill_from=35.0, heat_need=450.0),
    "pear": BudModel(chill_from=55.0, heat_need=405.0),
    "cherry": BudModel(chill_from=55.0, heat_need=331.0),
}
SHARES = {
    ("peach", "bud burst"): 0.49,
    ("peach", "first bloom"): 0.79,
    ("pear", "bud burst"): 0.49,
    ("pear", "first bloom"): 0.87,
    ("cherry", "bud burst"): 0.465,
    ("cherry", "first bloom"): 0.815,
}
GOALS = {  # [days]: one set, scaled (leave one out), scaled by earlier years only
    ("peach", "first bloom"): (5.2, 4.9, 4.6),
    ("pear", "first bloom"): (5.4, 5.1, 4.6),
    ("cherry", "first bloom"): (3.7, 3.4, 3.2),
    ("peach", "bud burst"): (7.9, 7.3, 6.5),
    ("pear", "bud burst"): (7.9, 7.3, 6.5),
    ("cherry", "bud burst"): (7.9, 7.3, 6.5),
}
# Plain thermal time on daily means, as published for these data before: start (day of the year),
# base [°C]; the sum is found again on the odd stations.
THERMAL_TIME = {
    ("peach", "first bloom"): (46, 0.0),
    ("pear", "first bloom"): (60, 2.0),
    ("cherry", "first bloom"): (60, 2.0),
    ("peach", "bud burst"): (46, 0.0),
    ("pear", "bud burst"): (46, 0.0),
    ("cherry", "bud burst"): (46, 0.0),
}
SEQUENTIAL_PORTIONS = {"peach": 55.0, "pear": 55.0, "cherry": 65.0}  # ASYMCUR heat after these
# The last day for oil: the risk taken and the model's error beside the weather's spread [days].
AUTUMN_FROM_ALL_OTHERS = (0.05, 4.7)
AUTUMN_FROM_EARLIER = (0.05, 5.0)
FORTNIGHTLY_FROM_ALL_OTHERS = (0.045, 5.5)
FORTNIGHTLY_FROM_EARLIER = (0.045, 6.0)
# With a look at the buds on each day of re-planning: the rule's second part (`replanning.py`).
LOOKED_FROM_ALL_OTHERS = (0.035, 5.5)
LOOKED_FROM_EARLIER = (0.025, 6.0)
BAND_ERROR_DAYS = {  # beside the weather's spread, of the P10-P90 band planned in autumn
    "bud burst": 4.5,
    "first bloom": 3.0,
}
