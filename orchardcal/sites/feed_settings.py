"""Feeds of their own for a care, a person, a crew or some sites: [[feed]] in programme.toml."""

from __future__ import annotations

import re
from collections.abc import Collection
from dataclasses import dataclass

from orchardcal.care import TITLES
from orchardcal.errors import known
from orchardcal.sites.toml_table import TomlTable

NAME = re.compile(r"[a-z0-9][a-z0-9_-]{0,63}")


@dataclass(frozen=True)
class FeedSettings:
    """One feed that holds part of the staff's: what passes every filter that is given.

    name: its file is feeds/NAME.ics. title: how calendar lists show it, "" for the name.
    cares: keys of care.TITLES; sites: keys of sites; lead: a key of the people, whose sites are
    meant; crew: a key of the crews. Empty ones let everything pass. windows: with the windows, or
    the dated work alone.
    """

    name: str
    title: str = ""
    cares: tuple[str, ...] = ()
    sites: tuple[str, ...] = ()
    lead: str = ""
    crew: str = ""
    windows: bool = True


def feed_settings(
    table: TomlTable, people: Collection[str], sites: Collection[str], crews: Collection[str] = ()
) -> tuple[FeedSettings, ...]:
    """Every [[feed]] of the programme, in the order written."""
    found: list[FeedSettings] = []
    for feed in table.tables("feed"):
        name = feed.text("name", lines=False, required='Write name = "pruning": its file name.')
        if name and not NAME.fullmatch(name):
            feed.wrong(
                "name",
                f'name is "{name}"',
                "It becomes part of a web address: write small letters a-z, digits, - and _.",
            )
        if name in {one.name for one in found}:
            feed.wrong("name", f'two feeds are called "{name}"', "Give each a name of its own.")
        cares = _names(feed, "cares", TITLES)
        keys = _names(feed, "sites", sites)
        lead = feed.text("lead", lines=False)
        if lead and lead not in people:
            feed.wrong(
                "lead", f'lead is "{lead}", nobody under [people]', known("people", lead, people)
            )
        crew = feed.text("crew", lines=False)
        if crew and crew not in crews:
            feed.wrong("crew", f'crew is "{crew}", none under [crews]', known("crews", crew, crews))
        title, windows = feed.text("title", lines=False), feed.flag("windows", True)
        feed.refuse_unknown_keys()
        given = [feed.values.get(key) for key in ("cares", "sites", "lead", "crew")]
        if not any(given) and windows:
            feed.wrong(
                "",
                "filters nothing, so it would be the staff's feed once more",
                'Write what it holds: cares = ["dormant_pruning"], sites = ["millbrook"], lead or'
                " crew.",
            )
        found.append(FeedSettings(name, title, cares, keys, lead, crew, windows))
    return tuple(found)


def _names(feed: TomlTable, key: str, choices: Collection[str]) -> tuple[str, ...]:
    """A list of names, each of which must be among the choices."""
    value = feed.raw(key)
    if value is None:
        return ()
    if not isinstance(value, list) or not all(isinstance(one, str) for one in value):
        feed.wrong(key, f"{key} is no list of names", f'Write them in brackets: {key} = ["…"].')
        return ()
    for one in value:
        if one not in choices:
            feed.wrong(key, f'{key} holds "{one}"', known(key, one, choices))
    return tuple(dict.fromkeys(value))
