"""The same flaw in thousands of rows: the first ten in full, then how many more."""

from __future__ import annotations

from collections import Counter

from orchardcal.errors import Problems, Spot

IN_FULL = 10


class Repeats:
    """Collects the flaws of one long file by kind; tell_the_rest() ends it."""

    def __init__(self, shown_as: str, problems: Problems) -> None:
        self.shown_as = shown_as
        self._problems = problems
        self._counts: Counter[str] = Counter()

    @property
    def any(self) -> bool:
        return bool(self._counts)

    def add(self, kind: str, spot: Spot, what: str, instead: str) -> None:
        self._counts[kind] += 1
        if self._counts[kind] <= IN_FULL:
            self._problems.add(spot, what, instead)

    def tell_the_rest(self) -> None:
        """Adds one problem for each kind that was not written out in full."""
        for kind, count in self._counts.items():
            if count > IN_FULL:
                self._problems.add(
                    Spot(self.shown_as),
                    f"has {count - IN_FULL} more rows like that ({kind})",
                    f"Those written out are the first {IN_FULL}.",
                )
