"""The kinds of care: their keys and the plain words that feeds, mail and pages use for them."""

from __future__ import annotations

DORMANCY_CHECK = "dormancy_check"
DORMANT_PRUNING = "dormant_pruning"
IN_LEAF_PRUNING = "in_leaf_pruning"
WHITEWASH_PAINTING = "whitewash_painting"
OIL_SCOUTING = "oil_scouting"
DORMANT_OIL_SPRAY = "dormant_oil_spray"
SPRAY_NOTICE = "spray_notice"
DEFERRED_CUT = "deferred_cut"
LOOK_AT_CUTS = "look_at_cuts"
WORK_DAY = "work_day"

TITLES = {
    DORMANCY_CHECK: "Dormancy check",
    DORMANT_PRUNING: "Dormant pruning",
    IN_LEAF_PRUNING: "In-leaf pruning",
    WHITEWASH_PAINTING: "Whitewash painting",
    OIL_SCOUTING: "Oil scouting",
    DORMANT_OIL_SPRAY: "Dormant oil spray",
    SPRAY_NOTICE: "Spray notice",
    DEFERRED_CUT: "Deferred cut",
    LOOK_AT_CUTS: "Look at cuts",
    WORK_DAY: "Work day",
}
