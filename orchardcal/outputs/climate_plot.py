"""A site's chill as a drawing (SVG): every season's portions, and each species' need."""

from __future__ import annotations

from html import escape

import numpy as np
from numpy.typing import NDArray

from orchardcal.outputs.speech import Speech
from orchardcal.season import DAYS, Season

Floats = NDArray[np.float64]
WIDTH, HEIGHT = 760, 420
LEFT, RIGHT, TOP, BOTTOM = 56, 150, 44, 40
FIRST_DAY = 62  # 1 September, 4 March in the south: chill counts from here


def chill_plot(
    portions_by_day: Floats,
    needs: list[tuple[str, float]],
    season: Season,
    title: str,
    speech: Speech,
) -> str:
    """Running chill portions of all seasons as thin lines, their middle as a thick one.

    portions_by_day: shape (members, 365). needs: (species, portions), drawn as level lines.
    """
    top = max(10.0, float(portions_by_day.max()), *(need for _, need in needs)) * 1.05

    def x(day: float) -> float:
        return LEFT + (day - FIRST_DAY) / (DAYS - 1 - FIRST_DAY) * (WIDTH - LEFT - RIGHT)

    def y(portions: float) -> float:
        return HEIGHT - BOTTOM - portions / top * (HEIGHT - TOP - BOTTOM)

    def line(values: Floats) -> str:
        days = range(FIRST_DAY, DAYS, 2)
        return " ".join(f"{x(day):.1f},{y(float(values[day])):.1f}" for day in days)

    middle = np.median(portions_by_day, axis=0)
    shown = portions_by_day[:60]
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDTH} {HEIGHT}" role="img" '
        f'font-family="sans-serif" font-size="12"><title>{escape(title)}</title>',
        f'<rect width="{WIDTH}" height="{HEIGHT}" fill="#fbfaf6"/>',
        f'<text x="{LEFT}" y="22" font-size="15" fill="#2b2620">{escape(title)}</text>',
    ]
    for step in range(0, int(top) + 1, 20):
        parts.append(
            f'<line x1="{LEFT}" x2="{WIDTH - RIGHT}" y1="{y(step):.1f}" y2="{y(step):.1f}" '
            f'stroke="#d8d2c4"/><text x="{LEFT - 8}" y="{y(step) + 4:.1f}" text-anchor="end" '
            f'fill="#5c5347">{step}</text>'
        )
    for day in range(FIRST_DAY, DAYS):
        when = season.day(day)
        if when.day == 1:
            month = speech.day(when).split()[2]
            parts.append(
                f'<text x="{x(day):.1f}" y="{HEIGHT - 16}" fill="#5c5347">{escape(month)}</text>'
            )
    parts += [
        f'<polyline points="{line(one)}" fill="none" stroke="#8aa29a" stroke-opacity="0.45"/>'
        for one in shown
    ]
    parts.append(
        f'<polyline points="{line(middle)}" fill="none" stroke="#1f4e46" stroke-width="2.5"/>'
    )
    for height, name in _spread_labels([(y(need), name) for name, need in needs]):
        need_y = next(y(need) for label, need in needs if label == name)
        parts.append(
            f'<line x1="{LEFT}" x2="{WIDTH - RIGHT}" y1="{need_y:.1f}" y2="{need_y:.1f}" '
            f'stroke="#a6502b" stroke-dasharray="5 4"/><text x="{WIDTH - RIGHT + 6}" '
            f'y="{height + 4:.1f}" fill="#7d3a1d">{escape(name)}</text>'
        )
    parts.append("</svg>")
    return "\n".join(parts) + "\n"


def _spread_labels(wanted: list[tuple[float, str]], apart: float = 13.0) -> list[tuple[float, str]]:
    """Labels from the top down, each moved down until it is clear of the one above."""
    placed: list[tuple[float, str]] = []
    for height, name in sorted(wanted):
        lowest = placed[-1][0] + apart if placed else height
        placed.append((max(height, lowest), name))
    return placed
