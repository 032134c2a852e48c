"""What is laid aside on disk comes back as it was, in any order, and only while it is wanted."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import closing
from dataclasses import replace
from pathlib import Path

import pytest

from orchardcal.commands.laid_aside import LaidAside, LaidRows
from orchardcal.journal.published import GONE
from orchardcal.outputs.feed import feed_files, feeds, in_order, published
from orchardcal.outputs.speech import Speech
from tests.benchmarks.invented_programme import write_programme
from tests.commands.running import run
from tests.outputs.invented_plan import PLAN

SPEECH = Speech()
ROWS = published(PLAN, (), SPEECH)
SITES = {row.site for row in ROWS}


@pytest.fixture
def aside() -> Iterator[LaidAside]:
    with closing(LaidAside()) as made:
        yield made


def rows_of(site: str) -> tuple:  # type: ignore[type-arg]
    return tuple(row for row in ROWS if row.site == site)


def test_pieces_come_back_in_any_order_while_more_are_added(aside: LaidAside) -> None:
    places = [aside.add(bytes([number]) * number) for number in range(50)]
    assert aside.piece(places[7]) == b"\x07" * 7
    last = aside.add(b"last")
    for number in (49, 0, 12, 48):
        assert aside.piece(places[number]) == bytes([number]) * number
    assert aside.piece(last) == b"last"
    aside.close()
    with pytest.raises(ValueError, match="closed"):
        aside.piece(last)


def test_feeds_of_rows_laid_aside_are_those_of_rows_in_memory(aside: LaidAside) -> None:
    laid = LaidRows(aside)
    for site in sorted(SITES, reverse=True):
        laid.add(rows_of(site), rest=False)
    shown = sorted(laid.shown, key=in_order)
    whole = feeds(PLAN, ROWS, SPEECH)
    for file in feed_files(PLAN, shown, SPEECH, laid):
        assert bytes(file) == whole[file.path]
        assert file.size == len(whole[file.path])
    assert {row.uid for row in laid.whole()} == {row.uid for row in ROWS}


def test_rows_that_rest_are_shown_and_not_asked_for_again(aside: LaidAside) -> None:
    laid = LaidRows(aside)
    resting, *others = sorted(SITES)
    laid.add(rows_of(resting), rest=True)
    for site in others:
        laid.add(rows_of(site), rest=False)
    assert {row.site for row in laid.shown} == SITES
    assert {row.site for row in laid.whole()} == set(others)


def test_rows_that_no_feed_shows_are_remembered_all_the_same(aside: LaidAside) -> None:
    laid = LaidRows(aside)
    gone = [replace(row, status=GONE, vevent=b"") for row in ROWS]
    laid.add(gone, rest=False)
    laid.add([], rest=False)
    assert laid.shown == []
    assert list(laid.whole()) == gone


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="needs a disk that is always full")
def test_a_full_disk_is_told_and_changes_nothing(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    folder, out = tmp_path / "programme", tmp_path / "out"
    write_programme(folder, 1)
    with Path("/dev/full").open("r+b", buffering=0) as full:
        monkeypatch.setattr("tempfile.TemporaryFile", lambda: full)
        said = run("season", str(folder), "--out", str(out), "--as-of", "2026-11-25")
    assert said.code == 2
    assert "No space left on device" in said.err
    assert "TMPDIR" in said.err
    assert not out.exists()
