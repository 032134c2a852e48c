"""Recording that work is left out, and why."""

from __future__ import annotations

from pathlib import Path

import pytest

from orchardcal.journal.cuts import put_off
from orchardcal.journal.entries import SKIPPED
from tests.commands.recording_folder import Folder, make_folder


@pytest.fixture
def folder(tmp_path: Path) -> Folder:
    return make_folder(tmp_path)


def test_the_reason_is_kept(folder: Folder) -> None:
    said = folder.run("skip", "millbrook", "dormant oil spray", "--why", "no permit this year")
    assert said.code == 0, said.err
    (entry,) = folder.entries()
    assert (entry.kind, entry.care, entry.note) == (
        SKIPPED,
        "dormant_oil_spray",
        "no permit this year",
    )
    assert entry.plantings == ("A-01", "A-02", "B-01")


@pytest.mark.parametrize("why", [(), ("--why", "  ")])
def test_without_a_reason_nothing_is_kept(folder: Folder, why: tuple[str, ...]) -> None:
    said = folder.run("skip", "millbrook", "dormant oil spray", *why)
    assert said.code == 2
    assert "--why" in said.err
    assert folder.entries() == ()


def test_a_cut_put_off_can_be_kept_for_good(folder: Folder) -> None:
    folder.run("defer", "millbrook", "A-01", "--until", "1 year", "--note", "low limb")
    said = folder.run("skip", "millbrook", "deferred cut", "--tree", "A-01", "--why", "may stay")
    assert said.code == 0, said.err
    (cut,) = put_off(folder.entries())
    assert not cut.open
    assert [step.kind for step in cut.steps] == ["deferred", "skipped"]
