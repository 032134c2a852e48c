"""Where a problem is, what it is, what to write instead; the exceptions and their exit codes.

    OrchardcalError        exit 1
      BadFiles             exit 2   the owner must edit a file (all problems of the run)
      NothingToPlan        exit 3   a valid request without a possible answer
      NotSent              exit 4   a mail or calendar server said no; what was sent stays recorded
      StoreTrouble         exit 5   the journal cannot be used: damaged, newer, locked or unwritable

Readers collect problems and raise once. Nothing else is caught, so a bug stays a traceback.
"""

from __future__ import annotations

import difflib
from collections.abc import Iterable
from dataclasses import dataclass, field


@dataclass(frozen=True, order=True)
class Spot:
    """A file as the user named it and, where known, a line in it."""

    path: str
    line: int | None = None

    def __str__(self) -> str:
        return self.path if self.line is None else f"{self.path}:{self.line}"


@dataclass(frozen=True, order=True)
class Problem:
    """One thing wrong: what is there, with its value, and what to write instead."""

    spot: Spot
    what: str
    instead: str = ""

    def __str__(self) -> str:
        head = f"{self.spot}: {self.what}"
        return f"{head}\n    {self.instead}" if self.instead else head


class OrchardcalError(Exception):
    """Anything a user can mend."""

    exit_code = 1


class BadFiles(OrchardcalError):
    """One or more files must be edited; carries every problem found."""

    exit_code = 2

    def __init__(self, problems: Iterable[Problem]) -> None:
        self.problems = tuple(sorted(set(problems), key=_place))
        super().__init__("\n".join(str(problem) for problem in self.problems))


def _place(problem: Problem) -> tuple[str, int, str]:
    return problem.spot.path, problem.spot.line or 0, problem.what


class NothingToPlan(OrchardcalError):
    exit_code = 3


class NotSent(OrchardcalError):
    exit_code = 4


class StoreTrouble(OrchardcalError):
    exit_code = 5


@dataclass
class Problems:
    """A collector: readers add to it, and whoever owns the run raises once."""

    found: list[Problem] = field(default_factory=list)

    def add(self, spot: Spot, what: str, instead: str = "") -> None:
        self.found.append(Problem(spot, what, instead))

    def raise_if_any(self) -> None:
        if self.found:
            raise BadFiles(self.found)

    def __bool__(self) -> bool:
        return bool(self.found)


def known(kind: str, value: str, choices: Iterable[str]) -> str:
    """The allowed values in one line, with the nearest one to what was written.

    >>> known("species", "aple", ["apple", "pear"])
    'Known species: apple, pear. Did you mean apple?'
    """
    listed = sorted(choices)
    near = difflib.get_close_matches(value, listed, n=1)
    hint = f" Did you mean {near[0]}?" if near else ""
    return f"Known {kind}: {', '.join(listed)}.{hint}"
