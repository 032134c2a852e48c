"""A small random number generator whose numbers never change with the Python version."""

from __future__ import annotations

from typing import TypeVar

Item = TypeVar("Item")

_64_BITS = (1 << 64) - 1


class RandomNumbers:
    """SplitMix64: the same seed gives the same numbers on any machine.

    Source: G. L. Steele, D. Lea, C. H. Flood, "Fast splittable pseudorandom number generators",
    OOPSLA 2014, with the constants of S. Vigna's public domain splitmix64.c (2015).
    """

    def __init__(self, seed: int) -> None:
        self._state = seed & _64_BITS

    def next_64_bits(self) -> int:
        self._state = (self._state + 0x9E3779B97F4A7C15) & _64_BITS
        mixed = self._state
        mixed = ((mixed ^ (mixed >> 30)) * 0xBF58476D1CE4E5B9) & _64_BITS
        mixed = ((mixed ^ (mixed >> 27)) * 0x94D049BB133111EB) & _64_BITS
        return mixed ^ (mixed >> 31)

    def below(self, limit: int) -> int:
        """A whole number from 0 to limit - 1."""
        return (self.next_64_bits() * limit) >> 64

    def shuffle(self, items: list[Item]) -> None:
        """Puts a list in random order, in place (Fisher and Yates)."""
        for last in range(len(items) - 1, 0, -1):
            other = self.below(last + 1)
            items[last], items[other] = items[other], items[last]
