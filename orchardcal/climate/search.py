"""The point nearest to a usual one that gives the values asked for."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
EVALUATIONS = 40


@dataclass(frozen=True)
class Search:
    """Gauss-Newton steps of least departure from a usual year, weighted by its spread.

    x moves by d + S J' (J S J' + R)^-1 (-r - J d), d = prior - x, r the miss of the targets, S
    and R the squares of prior_sd and tolerance; J from differences once, then kept current by
    Broyden's rank-one updates.
    """

    prior: Floats
    prior_sd: Floats
    least: Floats
    most: Floats
    target: Floats
    tolerance: Floats

    def asking(self, last_target: float) -> Search:
        """The same search with another last target, met three times as closely."""
        closer = np.append(self.tolerance[:-1], self.tolerance[-1] / 3)
        return replace(self, target=np.append(self.target[:-1], last_target), tolerance=closer)

    def run(self, outcome: Callable[[Floats], Floats]) -> tuple[Floats, Floats]:
        """The best point found and its misses in tolerances."""

        def miss(x: Floats) -> Floats:
            return self.misses(outcome(x))

        x = self.prior.copy()
        r = miss(x)
        slopes = self._slopes(miss, x, r)
        best, best_r = x, r
        evaluations = 1 + len(x)
        since_slopes = 0
        while evaluations < EVALUATIONS:
            step = self._step(x, r, slopes)
            if float(np.abs(step / self.prior_sd).max()) < 0.01:
                break
            new_r = miss(x + step)
            evaluations += 1
            since_slopes += 1
            better = self._cost(x + step, new_r) < self._cost(best, best_r)
            slopes = slopes + np.outer(new_r - r - slopes @ step, self._weighted(step))
            x, r = x + step, new_r
            if better:
                best, best_r = x, r
            if float(np.abs(r).max()) < 1.0 and better:
                break
            if not better and since_slopes > 3:
                x, r = best, best_r
                slopes = self._slopes(miss, x, r)
                evaluations += len(x)
                since_slopes = 0
        return best, best_r

    def misses(self, outcome: Floats) -> Floats:
        """How far an outcome is from the targets, in tolerances."""
        return (outcome - self.target) / self.tolerance

    def furthest_miss(self, outcome: Floats) -> float:
        return float(np.abs(self.misses(outcome)).max())

    def on_bound(self, x: Floats) -> bool:
        return bool(((x <= self.least + 1e-6) | (x >= self.most - 1e-6)).any())

    def _cost(self, x: Floats, r: Floats) -> float:
        return float((r**2).sum() + (((x - self.prior) / self.prior_sd) ** 2).sum())

    def _slopes(self, miss: Callable[[Floats], Floats], x: Floats, r: Floats) -> Floats:
        columns = []
        for position, sd in enumerate(self.prior_sd):
            moved = x.copy()
            moved[position] += min(0.2 * sd, 1.0)
            columns.append((miss(moved) - r) / (moved[position] - x[position]))
        return np.column_stack(columns)

    def _step(self, x: Floats, r: Floats, slopes: Floats) -> Floats:
        back = self.prior - x
        variance = self.prior_sd**2
        carried = slopes * variance
        inner = carried @ slopes.T + np.eye(len(r))
        step = back + carried.T @ np.linalg.solve(inner, -r - slopes @ back)
        longest = float(np.abs(step / self.prior_sd).max())
        step = step / max(1.0, longest / 1.5)
        return np.asarray(np.clip(x + step, self.least, self.most) - x)

    def _weighted(self, step: Floats) -> Floats:
        scaled = step / self.prior_sd**2
        return np.asarray(scaled / float(step @ scaled))
