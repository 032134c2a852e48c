"""The colours of the pages in light and in dark, and which of them meet as text and ground."""

from __future__ import annotations

LIGHT = {
    "ground": "#faf7ef",
    "sheet": "#ffffff",
    "ink": "#29241d",
    "muted": "#5c5446",
    "rule": "#ddd5c3",
    "edge": "#857a66",
    "link": "#1f5d40",
    "band": "#e4ecd9",
    "alert": "#94300f",
    "alert-ground": "#fbe9df",
    "closed": "#e7dfcf",
    "look": "#3f6377",
    "prune": "#8b4a20",
    "paint": "#8a6d1d",
    "spray": "#a8284a",
    "gather": "#5a4a9c",
    "look-soft": "#cfdde4",
    "prune-soft": "#ecd5c3",
    "paint-soft": "#efe2b6",
    "spray-soft": "#f3ccd6",
    "gather-soft": "#dcd6f0",
    "odds-0": "#f4f1e8",
    "odds-1": "#e3ebd2",
    "odds-2": "#c9dfb4",
    "odds-3": "#a9cf94",
    "odds-4": "#86bb76",
    "curve": "#8fa39a",
    "curve-now": "#1f5d40",
    "need": "#94300f",
    "frost": "#5b86a3",
    "frost-soft": "#c6dae6",
}
DARK = {
    "ground": "#171a15",
    "sheet": "#20241d",
    "ink": "#efe9dc",
    "muted": "#bdb5a3",
    "rule": "#3b4136",
    "edge": "#8f8874",
    "link": "#93d3aa",
    "band": "#2a3526",
    "alert": "#f3a184",
    "alert-ground": "#40231a",
    "closed": "#353a30",
    "look": "#8fb9d0",
    "prune": "#dc9c6c",
    "paint": "#d8bb63",
    "spray": "#ef8fa9",
    "gather": "#b3a6ee",
    "look-soft": "#2d4350",
    "prune-soft": "#553722",
    "paint-soft": "#4d421d",
    "spray-soft": "#5a2636",
    "gather-soft": "#3a3460",
    "odds-0": "#262a22",
    "odds-1": "#2c3826",
    "odds-2": "#334a2b",
    "odds-3": "#3b5d31",
    "odds-4": "#437038",
    "curve": "#6d8077",
    "curve-now": "#93d3aa",
    "need": "#f3a184",
    "frost": "#8fb9d0",
    "frost-soft": "#2d4350",
}
# Text and the ground it stands on: at least 4.5:1 (WCAG 2.2, success criterion 1.4.3).
TEXT = (
    *(
        (words, ground)
        for words in ("ink", "muted", "link", "alert")
        for ground in ("ground", "sheet")
    ),
    ("ink", "band"),
    ("link", "band"),
    ("muted", "band"),
    ("ink", "closed"),
    ("alert", "alert-ground"),
    ("ink", "alert-ground"),
    *(("ink", f"odds-{step}") for step in range(5)),
    *(("sheet", lane) for lane in ("look", "prune", "paint", "spray", "gather")),
    ("need", "sheet"),
)
# What has to be seen to be understood, and what it stands on: 3:1 (success criterion 1.4.11).
DRAWN = (
    *((lane, "sheet") for lane in ("look", "prune", "paint", "spray", "gather", "frost")),
    *((lane, f"{lane}-soft") for lane in ("look", "prune", "paint", "spray", "gather")),
    ("edge", "sheet"),
    ("edge", "ground"),
    ("curve-now", "sheet"),
    ("link", "ground"),
    ("alert", "sheet"),
    ("ink", "closed"),
)


def custom_properties(colours: dict[str, str]) -> str:
    """The colours as CSS custom properties."""
    return "".join(f"--{name}:{value};" for name, value in colours.items())
