"""A digest of content: the same for the same values in every run, another for any other."""

from __future__ import annotations

import sys
from array import array
from dataclasses import fields, is_dataclass
from datetime import date, datetime, time
from functools import cache
from hashlib import sha256
from pathlib import PurePath
from typing import TYPE_CHECKING, Any, TypeGuard

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

WRITTEN_EXACTLY = {str, int, float, bool, type(None), date, datetime, time}


def content_digest(value: object) -> str:
    """SHA-256 over a value and all within it, by type and content.

    value: dataclasses, tuples, lists, dicts, sets, arrays, paths and what `repr` writes exactly.
    Dicts count in their own order, which what is made from them may follow; sets in sorted order,
    so that Python's hash seed does not show. Raises TypeError for any other type: nothing is left
    out unseen.
    """
    lines: list[str] = []
    _write(value, lines)
    return sha256("\n".join(lines).encode("utf-8", "surrogatepass")).hexdigest()


class SharedDigests:
    """Digests of values that are the same objects for many sites, each worked out once.

    The values are held here, so that none can come in another's place in memory.
    """

    def __init__(self) -> None:
        self._digests: dict[int, tuple[object, str]] = {}

    def of(self, value: object) -> str:
        """As content_digest."""
        if id(value) not in self._digests:
            self._digests[id(value)] = value, content_digest(value)
        return self._digests[id(value)][1]


def _write(value: object, lines: list[str]) -> None:
    """Adds the value line by line: its type, how much follows, and what; no two values alike."""
    kind: Any = type(value)
    if kind in WRITTEN_EXACTLY:
        lines.append(repr(value))
    elif isinstance(value, tuple | list):
        lines.append(f"{_named(kind)} {len(value)}")
        for item in value:
            _write(item, lines)
    elif is_dataclass(value):
        lines.append(_named(kind))
        for name in _field_names(kind):
            _write(getattr(value, name), lines)
    elif isinstance(value, dict):
        lines.append(f"{_named(kind)} {len(value)}")
        for pair in value.items():
            _write(pair, lines)
    elif isinstance(value, set | frozenset):
        lines.append(f"{_named(kind)} {len(value)}")
        lines.extend(sorted(content_digest(item) for item in value))
    elif isinstance(value, bytes):
        lines.append(f"bytes {len(value)} {sha256(value).hexdigest()}")
    elif isinstance(value, array):
        lines.append(f"array {value.typecode} {len(value)} {sha256(value).hexdigest()}")
    elif _is_numbers(value):
        content = sha256(value.tobytes()).hexdigest()
        lines.append(f"{_named(kind)} {value.dtype.str} {value.shape} {content}")
    elif isinstance(value, PurePath):
        lines.append(repr(value))
    else:
        raise TypeError(f"{kind.__qualname__} has no digest of its content")


def _is_numbers(value: object) -> TypeGuard[NDArray[Any] | np.generic]:
    """Whether it is an array or a scalar of numpy's, which is not loaded where there is none."""
    numpy = sys.modules.get("numpy")
    if numpy is None or not isinstance(value, numpy.ndarray | numpy.generic):
        return False
    return not value.dtype.hasobject


def _named(kind: type) -> str:
    return f"{kind.__module__}.{kind.__qualname__}"


@cache
def _field_names(kind: type[Any]) -> tuple[str, ...]:
    return tuple(field.name for field in fields(kind))
