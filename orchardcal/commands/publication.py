"""What feeds hold after a plan: rows stand where an earlier run had nothing to revise in them.

The rows of a site follow from its plan, the words of it, and the rows before them. A run that
changes none of a site's rows gives the store the key of all they were made from, these very rows
included. While the store still has that key for them, a run of the same key would change none
either: it takes them as they are and words nothing. The key holds the as-of day and the program
itself; the store takes it away from rows that anybody touches.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from orchardcal.commands.speaking_planner import SpeakingPlanner
from orchardcal.journal.published import Published, touched_sites
from orchardcal.outputs.feed import published
from orchardcal.outputs.speech import Speech
from orchardcal.plan.plan import Plan


@dataclass(frozen=True)
class Publication:
    """made_from: the keys of the sites whose rows another run of the same would leave alone."""

    rows: tuple[Published, ...]
    made_from: dict[str, str]


def publication(
    plan: Plan,
    before: Sequence[Published],
    known_from: Mapping[str, str],
    speech: Speech,
    planner: SpeakingPlanner,
) -> Publication:
    """before: what the feeds held so far. known_from: by site the key that the store has of it."""
    keys = planner.keys_of_texts(plan, speech)
    standing = {site for site, key in keys.items() if known_from.get(site) == key}
    rows = published(plan, before, speech, planner.texts, standing)
    touched = touched_sites(before, rows)
    return Publication(rows, {site: key for site, key in keys.items() if site not in touched})
