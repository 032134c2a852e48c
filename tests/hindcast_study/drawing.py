"""The study's errors as a drawing (SVG): each way of dating beside the others, a row per stage."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from html import escape

WIDTH, ROW, LEFT, RIGHT, TOP, BOTTOM = 760, 34, 150, 24, 74, 44
MOST_DAYS = 9
# way of dating -> how it is called in the drawing, colour, radius, whether filled
MARKS: Mapping[str, tuple[str, str, int, bool]] = {
    "baseline: the station's mean date": ("the place's own mean date", "#7a6a5a", 6, False),
    "one set": ("this model, no date known", "#b4532a", 6, True),
    "scaled, recent years first, earlier only": ("with earlier dates", "#1f6b4a", 6, True),
    "floor: nine-year running median": ("floor: nine-year median", "#1f6b4a", 4, False),
}


def errors_drawing(dates: Sequence[Mapping[str, object]], stations: str) -> str:
    """Root mean square errors in days, a row for each species and stage, zero on the left.

    dates: the study's rows of that name. stations: which ones were judged.
    """
    rmse = {(row["species"], row["stage"], row["way"]): row.get("rmse") for row in dates}
    kinds = list(dict.fromkeys((row["species"], row["stage"]) for row in dates))
    height = TOP + ROW * len(kinds) + BOTTOM
    bottom = height - BOTTOM
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDTH} {height}" role="img"'
        ' font-family="sans-serif" font-size="13" fill="#2b2a26">',
        f"<title>Error of the dates of bloom and bud burst, stations of {escape(stations)}</title>",
        f'<rect width="{WIDTH}" height="{height}" fill="#fbf8f0"/>',
    ]
    for at, (words, colour, radius, filled) in enumerate(MARKS.values()):
        x = LEFT + at % 2 * 270
        y = 22 + at // 2 * 22
        parts.append(_mark(x, y, colour, radius, filled))
        parts.append(f'<text x="{x + 14}" y="{y + 5}">{escape(words)}</text>')
    for days in range(0, MOST_DAYS + 1):
        x = _x(days)
        parts.append(f'<path d="M{x:.1f} {TOP}V{bottom}" stroke="#ddd5c3"/>')
        parts.append(f'<text x="{x:.1f}" y="{bottom + 18}" text-anchor="middle">{days}</text>')
    parts.append(
        f'<text x="{_x(MOST_DAYS / 2):.1f}" y="{bottom + 36}" text-anchor="middle">root mean square'
        " error, days</text>"
    )
    for at, (species, stage) in enumerate(kinds):
        y = TOP + ROW * at + ROW // 2
        found = [rmse.get((species, stage, way)) for way in MARKS]
        days = [float(one) for one in found if isinstance(one, float | int)]
        parts.append(
            f'<text x="{LEFT - 14}" y="{y + 5}" text-anchor="end">{species}, {stage}</text>'
            f'<path d="M{_x(min(days)):.1f} {y}H{_x(max(days)):.1f}" stroke="#b9ae98"/>'
        )
        for value, (_, colour, radius, filled) in zip(found, MARKS.values(), strict=True):
            if isinstance(value, float | int):
                parts.append(_mark(_x(value), y, colour, radius, filled))
    return "\n".join([*parts, "</svg>"]) + "\n"


def _x(days: float) -> float:
    return LEFT + days / MOST_DAYS * (WIDTH - LEFT - RIGHT)


def _mark(x: float, y: float, colour: str, radius: int, filled: bool) -> str:
    fill = colour if filled else "#fbf8f0"
    return (
        f'<circle cx="{x:.1f}" cy="{y}" r="{radius}" fill="{fill}" stroke="{colour}"'
        ' stroke-width="2"/>'
    )
