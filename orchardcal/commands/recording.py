"""What the commands that record work have in common: options, the site's trees, the writing."""

from __future__ import annotations

import difflib
import os
import uuid
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from pathlib import Path

import click

from orchardcal.care import DORMANCY_CHECK, OIL_SCOUTING, TITLES, WORK_DAY
from orchardcal.commands.clock import now as now
from orchardcal.commands.clock import today as today
from orchardcal.errors import Problems, Spot, known
from orchardcal.journal.entries import Entry, care_named, plain
from orchardcal.journal.in_words import day_in_words, entry_in_words, trees_in_words
from orchardcal.journal.store import STORE_NAME, Store
from orchardcal.season import Season, is_southern
from orchardcal.sites.csv_table import csv_table
from orchardcal.sites.text_file import text_of
from orchardcal.sites.toml_table import toml_table
from orchardcal.sites.trees import HEADER, LIMIT_MB, OTHER_NAMES

TREES_NAME, SITE_NAME, PROGRAMME_NAME = "trees.csv", "site.toml", "programme.toml"


@dataclass(frozen=True)
class Tree:
    """What recording needs of a line of trees.csv."""

    id: str
    species: str
    count: int
    planted_year: int | None


@dataclass(frozen=True)
class SiteTrees:
    """A site as recording needs it; `orchardcal check` reads the rest."""

    key: str
    southern: bool
    trees: Mapping[str, Tree]

    def season(self, day: date) -> int:
        return Season.containing(day, self.southern).harvest_year


def new_id() -> str:
    """An id for an entry made here: two people may record the same thing in the same second."""
    return "j" + uuid.uuid4().hex[:11]


def day_given(written: str) -> date:
    """A day from the command line: 2026-12-01, "today" or "yesterday"."""
    word = plain(written)
    if word in ("today", "yesterday"):
        return today() - timedelta(days=word == "yesterday")
    try:
        return date.fromisoformat(written)
    except ValueError:
        raise click.BadParameter(
            f'"{written}" is no day. Write it as 2026-12-01, or "yesterday".'
        ) from None


def text_given(written: str) -> str:
    """Text from the command line, whose bytes must be text to be kept."""
    try:
        written.encode()
    except UnicodeEncodeError:
        raise click.BadParameter("it holds bytes that are no text; write it once more.") from None
    return written.strip()


folder_option = click.option(
    "-C",
    "--folder",
    type=click.Path(path_type=Path),
    default=".",
    help="The programme folder, if it is not the current one.",
)


tree_option = click.option(
    "--tree",
    "trees_named",
    multiple=True,
    type=text_given,
    metavar="ID",
    help="A tree or planting by its id in trees.csv; give it once for each. Without it: all.",
)


on_option = click.option(
    "--on",
    "day",
    type=day_given,
    metavar="DATE",
    help="The day it happened; today if left out.",
)


by_option = click.option("--by", type=text_given, default="", metavar="NAME", help="Who did it.")


cut_option = click.option(
    "--cut",
    "cut",
    type=text_given,
    default="",
    metavar="ID",
    help="Which cut put off this is about, where a tree has several.",
)


def store_path(folder: Path) -> Path:
    """Where a programme keeps its journal; a folder that is no programme is a problem."""
    if not (folder / PROGRAMME_NAME).is_file():
        problems = Problems()
        problems.add(
            Spot(str(folder)),
            f"no {PROGRAMME_NAME} is in this folder",
            "Name the programme folder with --folder, or make one with orchardcal start.",
        )
        problems.raise_if_any()
    return folder / STORE_NAME


def site_trees(folder: Path, written: str, problems: Problems) -> SiteTrees | None:
    """The site called so, as far as recording needs it, or None after a problem."""
    key = written.rstrip("/" + os.sep)
    sites = sorted(path.parent.name for path in folder.glob(f"*/{SITE_NAME}"))
    if key not in sites:
        problems.add(Spot(str(folder)), f'there is no site "{key}"', known("sites", key, sites))
        return None
    shown = f"{key}/{SITE_NAME}"
    table = toml_table(folder / key / SITE_NAME, shown, problems, "Run orchardcal check.")
    text = text_of(
        folder / key / TREES_NAME,
        f"{key}/{TREES_NAME}",
        problems,
        limit_mb=LIMIT_MB,
        instead=HEADER,
    )
    if table is None or text is None:
        return None
    latitude_deg = table.number(
        "latitude", -90.0, 90.0, required="Write the site's latitude, as latitude = 44.02."
    )
    rows = csv_table(text, f"{key}/{TREES_NAME}", problems)
    if rows is not None and "id" not in rows.header:
        problems.add(Spot(f"{key}/{TREES_NAME}", rows.header_line), 'has no column "id"', HEADER)
        return None
    if latitude_deg is None or rows is None:
        return None
    trees = [_tree(cells) for _, cells in rows.records()]
    return SiteTrees(key, is_southern(latitude_deg), {tree.id: tree for tree in trees if tree.id})


def _tree(cells: Mapping[str, str]) -> Tree:
    cells = {OTHER_NAMES.get(name, name): cell for name, cell in cells.items()}
    year = cells.get("planted", "")
    count = cells.get("count", "")
    return Tree(
        cells.get("id", ""),
        cells.get("species", ""),
        int(count) if count.isascii() and count.isdigit() else 1,
        int(year) if year.isascii() and year.isdigit() else None,
    )


def plantings_meant(
    site: SiteTrees, named: Sequence[str], day: date, problems: Problems
) -> tuple[str, ...]:
    """The ids meant; where none is named, all that were in the ground in the year of the day.

    Written out, so that a tree planted later is not among them. A day to come, an unknown tree,
    or a tree planted after the day is a problem.
    """
    if day > today():
        problems.add(
            Spot("--on"), f"{day_in_words(day)} is still to come", "Record it when it has happened."
        )
    for tree in named:
        if tree not in site.trees:
            near = difflib.get_close_matches(tree, site.trees, n=3)
            problems.add(
                Spot(f"{site.key}/{TREES_NAME}"),
                f'there is no tree "{tree}"',
                f"Did you mean {' or '.join(near)}?" if near else "Its ids are in the column id.",
            )
    asked = [site.trees[one] for one in dict.fromkeys(named or site.trees) if one in site.trees]
    later = [tree for tree in asked if tree.planted_year and tree.planted_year > day.year]
    if later and (named or len(later) == len(asked)):
        problems.add(
            Spot("--on"),
            f"{day_in_words(day)} is before {trees_in_words([tree.id for tree in later])} came"
            f" into the ground ({min(tree.planted_year or 0 for tree in later)})",
            f"Correct the day, or the year planted in {site.key}/{TREES_NAME}.",
        )
    return tuple(tree.id for tree in asked if tree not in later)


def care_meant(written: str, problems: Problems) -> str:
    """The key of a care that can be recorded as done or skipped."""
    care = care_named(written)
    if care is None:
        titles = [plain(title) for title in TITLES.values()]
        problems.add(
            Spot("CARE"), f'"{written}" is no care', known("cares", plain(written), titles)
        )
    return care or ""


def needs_an_answer(care: str, site: str, problems: Problems) -> None:
    """A look at the trees is recorded by what was seen, a work day by what was done on it."""
    answers = {
        DORMANCY_CHECK: f"Say what you saw: orchardcal saw {site} dormant (or nearly, growing).",
        OIL_SCOUTING: f'Say what you saw: orchardcal saw {site} "mite eggs" (or "no pests").',
    }
    if care in answers:
        problems.add(Spot("CARE"), f"{plain(care)} has a result", answers[care])
    if care == WORK_DAY:
        problems.add(Spot("CARE"), "a work day is done by its work", "Record each care done on it.")


def record(folder: Path, store: Store, entry: Entry) -> None:
    """Writes one entry and says so, with how to take it back."""
    store.add([entry])
    click.echo(f"{entry.site}, {day_in_words(entry.day)}: {entry_in_words(entry)}")
    where = "" if folder == Path() else f" --folder {folder}"
    click.echo(
        f"Recorded as {entry.id}. To take it back: orchardcal journal{where} --undo {entry.id}"
    )
