"""The entries of a CSV file that fit this programme, and what is wrong with the others."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from orchardcal.commands.recording import SiteTrees, site_trees, today
from orchardcal.errors import Problems, Spot, known
from orchardcal.journal.entries import UNDONE, Entry
from orchardcal.journal.journal_csv import numbered_entries


def importable(
    folder: Path, there: Sequence[Entry], text: str, shown_as: str, problems: Problems
) -> list[Entry]:
    """The good rows as entries; each other row is a problem with its line.

    there: what the journal holds already. Sites and trees must be the programme's, days past,
    and an undone row must come after what it takes back.
    """
    by_id = {entry.id: entry for entry in there}
    sites = _Sites(folder)
    good = []
    for line, entry in numbered_entries(text, shown_as, problems):
        spot = Spot(shown_as, line)
        before = len(problems.found)
        known_already = by_id.get(entry.id)
        if known_already is not None and known_already != entry:
            problems.add(
                spot,
                f"the journal holds another entry with the id {entry.id}",
                "Entries never change: record a correction, or leave the id of a new row empty.",
            )
        if known_already is None:
            sites.check(entry, spot, problems)
            _check_undoing(entry, by_id, spot, problems)
        if len(problems.found) == before:
            by_id[entry.id] = entry
            good.append(entry)
    return good


class _Sites:
    """The programme's sites, each read once, when a row names it."""

    def __init__(self, folder: Path) -> None:
        self._folder = folder
        self._keys = sorted(path.parent.name for path in folder.glob("*/site.toml"))
        self._read: dict[str, SiteTrees | None] = {}

    def check(self, entry: Entry, spot: Spot, problems: Problems) -> None:
        if entry.day > today():
            problems.add(spot, f"{entry.day} is still to come", "Correct the day.")
        if entry.site not in self._keys:
            problems.add(
                spot, f'there is no site "{entry.site}"', known("sites", entry.site, self._keys)
            )
            return
        if entry.site not in self._read:
            self._read[entry.site] = site_trees(self._folder, entry.site, problems)
        site = self._read[entry.site]
        for planting in entry.plantings if site else ():
            if site and planting not in site.trees:
                problems.add(
                    spot,
                    f'{entry.site} has no tree "{planting}"',
                    f"Its ids are in {entry.site}/trees.csv.",
                )


def _check_undoing(entry: Entry, by_id: dict[str, Entry], spot: Spot, problems: Problems) -> None:
    if entry.kind != UNDONE:
        return
    target = by_id.get(entry.undoes)
    if target is None:
        problems.add(
            spot,
            f"takes back {entry.undoes}, which is neither in the journal nor above",
            "Put the row it takes back above it, or leave this one out.",
        )
    elif target.recorded > entry.recorded:
        problems.add(
            spot,
            f"recorded {entry.recorded}, before what it takes back ({target.recorded})",
            "Correct the instant under recorded.",
        )
