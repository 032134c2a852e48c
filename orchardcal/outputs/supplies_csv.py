"""The season's supplies as a CSV table for spreadsheets: a row per site, and one for all sites."""

from __future__ import annotations

import csv
import io

from orchardcal.journal.journal_csv import csv_cell
from orchardcal.outputs.speech import Speech
from orchardcal.plan.plan import Plan
from orchardcal.plan.season_supplies import Supplies, supplies_of

HEADINGS = (
    "site",
    "paint_mix_l",
    "paint_l",
    "spray_l",
    "alcohol_l",
    "pruners",
    "loppers",
    "pruning_saws",
    "brushes",
)


def supplies_csv(plan: Plan, speech: Speech) -> bytes:
    """UTF-8 with a byte-order mark, as the plan's table; the row of all sites stands last.

    Tools are those of the busiest day, so that the last row is not the sum of the others.
    """
    written = io.StringIO(newline="")
    writer = csv.writer(written)
    writer.writerow(HEADINGS)
    named = [(site.name, supplies_of(site.supplies)) for site in plan.sites]
    in_all = supplies_of(visit for site in plan.sites for visit in site.supplies)
    for name, supplies in (*named, (speech.words("All sites"), in_all)):
        row = _row(supplies, name)
        writer.writerow([csv_cell(row[heading]) for heading in HEADINGS])
    return written.getvalue().encode("utf-8-sig")


def _row(supplies: Supplies, site: str) -> dict[str, object]:
    return {
        "site": site,
        "paint_mix_l": round(supplies.paint_mix_l, 2),
        "paint_l": round(supplies.paint_l, 2),
        "spray_l": round(supplies.spray_l, 2),
        "alcohol_l": round(supplies.alcohol_l, 2),
        "pruners": supplies.tools.pruners,
        "loppers": supplies.tools.loppers,
        "pruning_saws": supplies.tools.saws,
        "brushes": supplies.tools.brushes,
    }
