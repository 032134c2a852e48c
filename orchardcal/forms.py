"""The training forms of trees: what trees.csv may say and what species rules speak of."""

from __future__ import annotations

FORMS = (
    "central leader",
    "modified leader",
    "open centre",
    "espalier",
    "multi-stem bush",
    "trellis",
    "cordon",
    "unknown",
)
