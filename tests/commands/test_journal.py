"""Listing, exporting, importing and taking back what was recorded."""

from __future__ import annotations

import csv
import io
from pathlib import Path

import pytest

from orchardcal.journal.saying import current
from tests.commands.recording_folder import Folder, make_folder

FORM = """Timestamp;Date;School;What happened;Work;Tree;Who;Number of trees;Comment
2026/01/09 3:05:11 PM;2026-01-09;millbrook;done;Dormant pruning;A-02;Ana;2;"first, rows"
2026/01/10 3:05:11 PM;10.01.2026;millbrook;done;Dormant pruning;A-02;Ana;1;
2026/01/10 3:05:12 PM;10.01.2026;millbrook;done;Dormant pruning;A-02;Ana;1;
"""


@pytest.fixture
def folder(tmp_path: Path) -> Folder:
    return make_folder(tmp_path)


@pytest.fixture
def recorded(folder: Folder) -> Folder:
    folder.run("done", "millbrook", "dormant pruning", "--tree", "A-01", "--note", "=1+1")
    folder.run("saw", "karoo", "dormant")
    return folder


def test_the_list_says_what_was_recorded(recorded: Folder) -> None:
    pruned, seen = recorded.entries()
    first, second = recorded.run("journal").out.splitlines()
    assert first.startswith(f"{pruned.id}  ")
    assert first.endswith("  millbrook: dormant pruning done: A-01; “=1+1”")
    assert second.startswith(f"{seen.id}  ")
    assert second.endswith(f" {seen.day.year}  karoo: seen dormant: A-01, A-02, B-01")
    assert "karoo" not in recorded.run("journal", "--site", "millbrook").out


def test_listing_an_empty_folder_leaves_it_as_it_is(folder: Folder) -> None:
    before = sorted(folder.path.rglob("*"))
    assert folder.run("journal").out == "Nothing is recorded yet.\n"
    assert sorted(folder.path.rglob("*")) == before


def test_an_export_comes_back_whole_in_another_folder(recorded: Folder, tmp_path: Path) -> None:
    (tmp_path / "other").mkdir()
    other = make_folder(tmp_path / "other")
    file = str(tmp_path / "out.csv")
    assert recorded.run("journal", "--export", file).code == 0
    assert "added: 2;" in other.run("journal", "--import", file).out
    assert other.entries() == recorded.entries()
    assert "added: 0; here already: 2" in other.run("journal", "--import", file).out
    assert other.entries() == recorded.entries()


def test_an_export_begins_with_the_mark_of_utf_8(recorded: Folder, tmp_path: Path) -> None:
    recorded.run("journal", "--export", str(tmp_path / "out.csv"))
    assert (tmp_path / "out.csv").read_bytes().startswith(b"\xef\xbb\xbfrecorded,id,kind,")


def test_an_export_to_the_terminal_is_plain_csv(recorded: Folder) -> None:
    rows = list(csv.DictReader(io.StringIO(recorded.run("journal", "--export", "-").out)))
    assert [row["site"] for row in rows] == ["millbrook", "karoo"]
    assert rows[0]["note"] == "'=1+1"


def test_an_export_that_cannot_be_written_is_said(recorded: Folder, tmp_path: Path) -> None:
    said = recorded.run("journal", "--export", str(tmp_path / "nowhere" / "out.csv"))
    assert said.code == 1
    assert "cannot be written" in said.err


def test_a_journal_that_travelled_is_read_at_first_use(recorded: Folder, tmp_path: Path) -> None:
    (tmp_path / "other").mkdir()
    other = make_folder(tmp_path / "other")
    recorded.run("journal", "--export", str(other.path / "journal.csv"))
    assert other.run("journal").out == recorded.run("journal").out  # read, not yet made
    other.run("saw", "millbrook", "growing")
    assert other.entries()[:2] == recorded.entries()
    assert len(other.entries()) == 3


def test_a_forms_rows_come_in_once(folder: Folder, tmp_path: Path) -> None:
    (tmp_path / "form.csv").write_text(FORM, encoding="utf-8")
    said = folder.run("journal", "--import", str(tmp_path / "form.csv"))
    assert said.code == 0, said.err
    assert "Columns left alone: Timestamp." in said.out
    assert "added: 3;" in said.out  # two rows alike are two pieces of work
    assert "added: 0;" in folder.run("journal", "--import", str(tmp_path / "form.csv")).out
    assert [(entry.trees, entry.by) for entry in folder.entries()] == [
        (2, "Ana"),
        (1, "Ana"),
        (1, "Ana"),
    ]


def test_bad_rows_hold_back_the_good_ones_unless_asked(folder: Folder, tmp_path: Path) -> None:
    (tmp_path / "form.csv").write_text(
        "kind,site,day,care,plantings,note\n"
        'done,millbrook,2026-01-09,dormant pruning,A-01,"two\nlines"\n'
        "done,milbrook,2026-01-09,dormant pruning,A-01,\n"
        "done,millbrook,01/09/2026,mowing,A-01,\n"
        "done,millbrook,2999-01-09,dormant pruning,A-77,\n",
        encoding="utf-8",
    )
    file = str(tmp_path / "form.csv")
    said = folder.run("journal", "--import", file)
    assert said.code == 2
    assert folder.entries() == ()
    for message in (
        f'{file}:4: there is no site "milbrook"',
        f'{file}:5: "01/09/2026" under day is no day',
        f'{file}:5: care "mowing" is unknown',
        f"{file}:6: 2999-01-09 is still to come",
        f'{file}:6: millbrook has no tree "A-77"',
    ):
        assert message in said.err
    said = folder.run("journal", "--import", file, "--partly")
    assert said.code == 0
    assert f"{file}:4:" in said.err
    assert "added: 1; here already: 0; rows left out: 3." in said.out
    assert folder.entries()[0].note == "two\nlines"


@pytest.mark.parametrize(
    ("content", "message"),
    [
        (b"", "the file is empty"),
        (b"\xef\xbb\xbf\r\n", "the file is empty"),
        (b"kind,site,day\ndone,Mont\xe9,2026-01-01\n", "is not UTF-8"),
        (b"a,b\n1,2\n", 'no column is called "kind"'),
        (b'kind,site,day\n"done,millbrook\n', "cannot be told apart"),
        (b"kind,site,day,day\n", 'two columns are called "day"'),
    ],
)
def test_a_file_that_is_no_journal_is_refused(
    folder: Folder, tmp_path: Path, content: bytes, message: str
) -> None:
    (tmp_path / "form.csv").write_bytes(content)
    said = folder.run("journal", "--import", str(tmp_path / "form.csv"))
    assert said.code == 2
    assert message in said.err


def test_a_missing_and_a_huge_file_are_refused(folder: Folder, tmp_path: Path) -> None:
    assert "cannot be read" in folder.run("journal", "--import", str(tmp_path / "no.csv")).err
    with (tmp_path / "huge.csv").open("wb") as file:
        file.truncate(200_000_000)
    assert "200 MB" in folder.run("journal", "--import", str(tmp_path / "huge.csv")).err


def test_taking_back_keeps_both_and_can_be_taken_back(recorded: Folder) -> None:
    first = recorded.entries()[0]
    said = recorded.run("journal", "--undo", first.id[:6], "--note", "wrong tree")
    assert said.code == 0, said.err
    assert "It said:" in said.out
    assert len(recorded.entries()) == 3
    assert first not in current(recorded.entries())
    assert "“=1+1” (taken back)" in recorded.run("journal").out
    assert "taken back already" in recorded.run("journal", "--undo", first.id).err
    undoing = recorded.entries()[-1]
    assert recorded.run("journal", "--undo", undoing.id).code == 0
    assert first in current(recorded.entries())


@pytest.mark.parametrize("written", ["", "j", "jzzzzzz"])
def test_an_unknown_id_is_said(recorded: Folder, written: str) -> None:
    said = recorded.run("journal", "--undo", written)
    assert said.code == 2
    assert "no entry has the id" in said.err


def test_an_undone_row_needs_what_it_takes_back(recorded: Folder, tmp_path: Path) -> None:
    (tmp_path / "rows.csv").write_text(
        "kind,site,day,recorded,undoes\nundone,millbrook,2026-01-09,,jnothere\n"
        f"undone,karoo,2026-01-09,2020-01-01T00:00:00Z,{recorded.entries()[0].id}\n",
        encoding="utf-8",
    )
    said = recorded.run("journal", "--import", str(tmp_path / "rows.csv"))
    assert "takes back jnothere, which is neither" in said.err
    assert "before what it takes back" in said.err


def test_an_id_is_never_used_for_two_entries(recorded: Folder, tmp_path: Path) -> None:
    entry = recorded.entries()[0]
    (tmp_path / "rows.csv").write_text(
        f"id,kind,site,day,care\n{entry.id},done,karoo,2026-01-09,dormant pruning\n",
        encoding="utf-8",
    )
    said = recorded.run("journal", "--import", str(tmp_path / "rows.csv"))
    assert "holds another entry with the id" in said.err


def test_a_note_cannot_steer_the_terminal(folder: Folder) -> None:
    folder.run("done", "millbrook", "dormant pruning", "--note", "a\x1b[2Jb")
    assert "\x1b" not in folder.run("journal").out
