"""Putting off a cut: when to look again, once more, another at the same tree, and deciding it."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from orchardcal.commands.until import day_until
from orchardcal.errors import Problems
from orchardcal.journal.cuts import put_off
from tests.commands.recording_folder import Folder, make_folder


@pytest.fixture
def folder(tmp_path: Path) -> Folder:
    return make_folder(tmp_path)


def later(written: str, day: date, southern: bool = False) -> date | None:
    problems = Problems()
    until = day_until(written, day, southern, problems)
    assert (until is None) == bool(problems)
    return until


@pytest.mark.parametrize(
    ("day", "written", "expected"),
    [  # dateutil documentation, "relativedelta examples": adding months and years
        (date(2003, 1, 27), "1 month", date(2003, 2, 27)),
        (date(2003, 1, 31), "1 month", date(2003, 2, 28)),
        (date(2003, 1, 31), "2 months", date(2003, 3, 31)),
        (date(2000, 2, 28), "1 year", date(2001, 2, 28)),
        (date(1999, 2, 28), "1 year", date(2000, 2, 28)),
        (date(2000, 2, 29), "1 year", date(2001, 2, 28)),
    ],
)
def test_months_and_years_are_those_of_the_calendar(
    day: date, written: str, expected: date
) -> None:
    assert later(written, day) == expected


@pytest.mark.parametrize(
    ("written", "expected"),
    [
        ("2 weeks", date(2027, 1, 23)),
        ("Two weeks", date(2027, 1, 23)),
        ("in 10 days", date(2027, 1, 19)),
        ("a year", date(2028, 1, 9)),
        ("2027-03-20", date(2027, 3, 20)),
    ],
)
def test_a_time_to_look_again(written: str, expected: date) -> None:
    assert later(written, date(2027, 1, 9)) == expected


def test_a_season_on_is_the_next_season_of_care() -> None:
    """design: seasons begin on 1 July in the north and on 1 January in the south."""
    assert later("a season", date(2027, 1, 9)) == date(2027, 7, 1)
    assert later("1 season", date(2027, 7, 9), southern=True) == date(2028, 1, 1)


@pytest.mark.parametrize(
    "written",
    [
        "soon",
        "2 moons",
        "2027-02-30",
        "2026-01-01",
        "2027-01-09",
        "0 days",
        "11 years",
        "9999 years",
    ],
)
def test_no_time_to_look_again(written: str) -> None:
    assert later(written, date(2027, 1, 9)) is None


def test_a_cut_is_put_off_again_and_then_made(folder: Folder) -> None:
    put = ("millbrook", "A-02", "--note", "limb over the path")
    assert folder.run("defer", *put, "--until", "2 weeks", "--on", "2026-01-09").code == 0
    said = folder.run("defer", *put, "--until", "1 year", "--on", "2026-01-23", "--by", "Ana")
    assert "its history is kept" in said.out
    (cut,) = put_off(folder.entries())
    assert (cut.planting, cut.care, cut.times_put_off) == ("A-02", "dormant_pruning", 2)
    assert cut.look_again == date(2027, 1, 23)
    folder.run("done", "millbrook", "deferred cut", "--tree", "A-02", "--on", "2026-02-01")
    (cut,) = put_off(folder.entries())
    assert not cut.open
    assert cut.decision is not None
    assert (cut.decision.kind, cut.decision.day) == ("done", date(2026, 2, 1))


def test_two_cuts_at_one_tree_are_told_apart(folder: Folder) -> None:
    put = ("defer", "millbrook", "A-02", "--until", "1 year", "--note")
    folder.run(*put, "low limb")
    folder.run(*put, "crossing limb", "--another")
    low, crossing = put_off(folder.entries())
    assert (low.note, crossing.note) == ("low limb", "crossing limb")

    said = folder.run("done", "millbrook", "deferred cut", "--tree", "A-02")
    assert said.code == 2
    assert "--cut ID" in said.err
    assert low.reference in said.err
    assert folder.run(*put, "which?").code == 2

    said = folder.run("done", "millbrook", "deferred cut", "--cut", crossing.reference)
    assert said.code == 0, said.err
    low, crossing = put_off(folder.entries())
    assert (low.open, crossing.open) == (True, False)


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        (("A-9", "--until", "1 year", "--note", "x"), 'no tree "A-9"'),
        (("A-01", "--until", "later", "--note", "x"), "no time to look again"),
        (("A-01", "--until", "1 year", "--note", " "), "the note is empty"),
        (("A-01", "--until", "1 year", "--note", "x", "--care", "whitewash"), "Known cares"),
        (
            ("A-01", "--until", "1 year", "--note", "x", "--care", "dormant oil spray"),
            "is no pruning",
        ),
        (("A-01", "--until", "1 year", "--note", "x", "--cut", "jbad"), "no cuts put off"),
    ],
)
def test_a_mistake_gets_one_clear_message(
    folder: Folder, arguments: tuple[str, ...], message: str
) -> None:
    said = folder.run("defer", "millbrook", *arguments)
    assert said.code == 2
    assert message in said.err
    assert folder.entries() == ()
