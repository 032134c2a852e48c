"""A digest of content tells any two values apart and refuses what it cannot read."""

from __future__ import annotations

from array import array
from datetime import date
from pathlib import Path

import numpy as np
import pytest

from orchardcal.commands.content_digest import content_digest


def test_no_two_values_share_a_digest() -> None:
    values: list[object] = [
        *(1, 1.0, True, "1", b"1", None, 0.0, -0.0, "None", date(2026, 11, 25)),
        *((), (1,), [1], ((1,),), (1, 2), ("1", "2"), ("1\n'2'",), {1: 2}, {2: 1}, {1, 2}),
        *(frozenset({1, 2}), {"a": 1, "b": 2}, {"b": 2, "a": 1}, ("a", ("b",)), (("a",), "b")),
        *(array("d", [1.0]), array("f", [1.0]), array("d", [1.0, 1.0]), Path("1")),
        *(np.zeros(2), np.zeros((2, 1)), np.zeros(2, np.float32), np.float64(1), np.int64(1)),
    ]
    assert len({content_digest(value) for value in values}) == len(values)
    with pytest.raises(TypeError, match="has no digest"):
        content_digest(object())
