"""The facts of a demo site's page against its own files, read here another way."""

from __future__ import annotations

import csv
import tomllib
from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path

import numpy as np
import pytest

from orchardcal.commands.programme import Loaded, load
from orchardcal.outputs.page.facts import SiteFacts
from orchardcal.outputs.page.pages import pages
from orchardcal.outputs.page.site_facts import site_facts
from orchardcal.outputs.speech import Speech
from orchardcal.pipeline import plan_programme, site_seasons
from orchardcal.season import Season
from tests.outputs.page.page_tree import text_of, tree_of

SITE = "cedar-bluff"
IN_SEASON, A_YEAR_LATER = date(2025, 1, 15), date(2026, 1, 15)


@pytest.fixture(scope="module")
def loaded(repository: Path) -> Loaded:
    return load(repository / "demo_sites")


@pytest.fixture(scope="module")
def folder(repository: Path) -> Path:
    return repository / "demo_sites" / SITE


def facts_on(loaded: Loaded, as_of: date) -> SiteFacts:
    site = loaded.programme.site(SITE)
    return site_facts(site_seasons(site, loaded.weather[SITE], loaded.rules, (), None, as_of))


@pytest.fixture(scope="module")
def facts(loaded: Loaded) -> SiteFacts:
    return facts_on(loaded, IN_SEASON)


def test_this_season_is_what_a_year_later_is_a_past_one(loaded: Loaded, facts: SiteFacts) -> None:
    """The curve up to the as-of day equals the same season's, seen when it was over.

    The last days may differ: their evening hours depend on a morning not yet known.
    """
    known = (IN_SEASON - Season(2025, southern=False).first).days + 1
    assert facts.chill.so_far.shape == (known,)
    later = facts_on(loaded, A_YEAR_LATER).chill.past
    own = later[-1]  # the latest whole season
    assert facts.chill.so_far[:-2] == pytest.approx(own[: known - 2], abs=0.01)


def test_past_seasons_keep_their_own_autumn(facts: SiteFacts, folder: Path) -> None:
    """Not this season's days laid over every one of them. Whole seasons counted in the file."""
    with (folder / "record.csv").open(encoding="utf-8") as file:
        first = date.fromisoformat(next(csv.DictReader(file))["day"])
    assert (first.month, first.day) == (7, 1)
    assert facts.chill.past.shape == (2024 - first.year, 365)
    christmas = (date(2024, 12, 25) - date(2024, 7, 1)).days
    assert np.ptp(facts.chill.past[:, christmas]) > 5
    assert np.ptp(facts.chill.ahead[:, christmas]) < 1e-9  # known by now


def test_portions_only_grow(facts: SiteFacts) -> None:
    """A portion once counted is kept (Fishman, Erez and Couvillon 1987)."""
    assert (np.diff(facts.chill.past, axis=1) >= 0).all()
    assert (np.diff(facts.chill.so_far) >= 0).all()


def test_closures_are_those_of_the_file(loaded: Loaded, folder: Path) -> None:
    given = tomllib.loads((folder / "site.toml").read_text(encoding="utf-8"))
    found = facts_on(loaded, date(2026, 11, 25))
    spans = {(one.name, one.span.first, one.span.last) for one in found.closed}
    for closure in given["closure"]:
        if "last" in closure:
            inside = [one for one in found.closed if one.name == closure["name"]]
            assert inside
            day = closure["first"]
            while day <= closure["last"]:
                assert found.closed_name(day)
                day += timedelta(days=1)
    staff_days = {first for name, first, _ in spans if name == "Staff day"}
    fridays = {
        day
        for month in (9, 10, 11, 1, 2, 4)
        for at in range(1, 8)
        if (day := date(2026 if month > 6 else 2027, month, at)).weekday() == 4
    }
    in_the_break = {date(2027, 1, 1)}
    assert staff_days == fridays - in_the_break  # the first Friday of these months
    terms = [(term["first"], term["last"]) for term in given["pupils"]["term"]]
    for day in found.pupil_days:
        assert any(first <= day <= last for first, last in terms)
        assert day.weekday() < 5
        assert not found.closed_name(day)


def test_trees_are_those_of_the_file(facts: SiteFacts, folder: Path) -> None:
    with (folder / "trees.csv").open(encoding="utf-8") as file:
        rows = list(csv.DictReader(file))
    assert [(tree.id, tree.cultivar, tree.form) for tree in facts.trees] == [
        (row["id"], row["cultivar"], row["form"]) for row in rows
    ]
    assert [tree.near_power_line for tree in facts.trees] == [
        row["power_line"] == "yes" for row in rows
    ]


def test_freezes_are_counted_in_whole_seasons(facts: SiteFacts) -> None:
    """Every winter of a cold continental site freezes."""
    freeze = next(odds for odds in facts.freezes if odds.threshold_c == 0.0)
    assert freeze.with_freeze == freeze.seasons == len(facts.chill.past)


def test_the_demo_has_a_page_for_each_site(loaded: Loaded) -> None:
    """Two sites, to be quick: one with a record, one without."""
    kept = [site for site in loaded.programme.sites if site.key in (SITE, "red-mesa")]
    day = date(2026, 11, 25)
    programme = replace(loaded.programme, sites=tuple(kept))
    plan = plan_programme(programme, loaded.weather, loaded.rules, (), (), None, day)
    facts = {
        site.key: site_facts(
            site_seasons(site, loaded.weather[site.key], loaded.rules, (), None, day)
        )
        for site in kept
    }
    written = dict(pages(plan, facts, Speech()))
    assert set(written) == {
        "index.html",
        "load.html",
        f"sites/{SITE}.html",
        "sites/red-mesa.html",
    }
    for site in plan.sites:
        text = text_of(tree_of(written[f"sites/{site.site}.html"]))
        for job in site.jobs:
            assert Speech().sentence(job.title) in text
            assert all(Speech().sentence(why) in text for why in job.why)
            assert all(Speech().sentence(caution) in text for caution in job.cautions)
        for entry in site.not_placed:
            assert all(Speech().sentence(why) in text for why in entry.why)
        for window in site.windows:
            assert all(Speech().sentence(why) in text for why in window.why)
