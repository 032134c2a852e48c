"""The store: what goes in comes out, several may write, and nothing foreign is touched.

Offsets and the application id's place: "SQLite Database File Format", section 1.3 (sqlite.org).
"""

from __future__ import annotations

import sqlite3
import threading
from collections.abc import Callable
from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest

from orchardcal.errors import BadFiles, StoreTrouble
from orchardcal.journal.entries import DONE, Entry
from orchardcal.journal.journal_csv import entries_to_csv
from orchardcal.journal.store import CSV_NAME, STORE_NAME, Store
from orchardcal.journal.tables import APPLICATION_ID, STEPS

USER_VERSION_AT, APPLICATION_ID_AT = 60, 68


def entry(number: int, site: str = "millbrook") -> Entry:
    return Entry(
        recorded=f"2026-12-01T09:{number // 60:02}:{number % 60:02}Z",
        id=f"j{number:011x}",
        kind=DONE,
        site=site,
        day=date(2026, 12, 1),
        care="dormant_pruning",
        plantings=("A-01", "Ä 2"),
        season=2027,
        minutes=0,
        note='said "so"\r\n🌳 שלום',
        until=date(2027, 1, 1),
    )


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / STORE_NAME


def test_what_goes_in_comes_out_in_recorded_order(path: Path) -> None:
    with Store.open(path) as store:
        assert store.add([entry(2), entry(1, "karoo"), entry(3)]) == 3
        assert store.entries() == (entry(1, "karoo"), entry(2), entry(3))
    with Store.open(path) as store:
        assert store.entries("millbrook") == (entry(2), entry(3))


def test_within_a_second_the_order_of_writing_counts(path: Path) -> None:
    later_id_first = [replace(entry(1), id="jz"), replace(entry(1), id="ja")]
    with Store.open(path) as store:
        store.add(later_id_first)
        assert list(store.entries()) == later_id_first


def test_the_same_entry_is_added_once(path: Path) -> None:
    with Store.open(path) as store:
        assert store.add([entry(1)]) == 1
        assert store.add([entry(1), entry(2)]) == 1
        assert len(store.entries()) == 2


def test_an_id_with_other_content_adds_nothing_at_all(path: Path) -> None:
    with Store.open(path) as store:
        store.add([entry(1)])
        with pytest.raises(StoreTrouble, match="other content"):
            store.add([entry(2), replace(entry(1), minutes=5)])
        assert store.entries() == (entry(1),)


def test_entries_cannot_be_changed_even_by_hand(path: Path) -> None:
    with Store.open(path) as store:
        store.add([entry(1)])
    connection = sqlite3.connect(path)
    for statement in ("UPDATE entries SET note = 'x'", "DELETE FROM entries"):
        with pytest.raises(sqlite3.IntegrityError, match="never"):
            connection.execute(statement)
    connection.close()


def test_the_file_says_its_version_and_that_it_is_ours(path: Path) -> None:
    with Store.open(path):
        pass
    head = path.read_bytes()[:100]
    assert head[:16] == b"SQLite format 3\0"
    assert int.from_bytes(head[USER_VERSION_AT:][:4]) == len(STEPS)
    assert int.from_bytes(head[APPLICATION_ID_AT:][:4]) == APPLICATION_ID
    assert head[18:20] == b"\x02\x02"  # file format write and read version 2: write-ahead log
    assert [file.name for file in path.parent.iterdir()] == [STORE_NAME]


def test_opening_only_to_read_makes_nothing(path: Path) -> None:
    with Store.open(path, create=False) as store:
        assert store.entries() == ()
        assert store.published() == ()
        with pytest.raises(StoreTrouble):
            store.add([entry(1)])
    assert list(path.parent.iterdir()) == []


def test_reading_only_sees_what_another_has_open(path: Path) -> None:
    with Store.open(path) as writer:
        writer.add([entry(1)])
        with Store.open(path, create=False) as reader:
            writer.add([entry(2)])
            assert reader.entries() == (entry(1),)
    before = path.read_bytes()
    with Store.open(path, create=False) as reader:
        assert len(reader.entries()) == 2
    assert path.read_bytes() == before
    assert [file.name for file in path.parent.iterdir()] == [STORE_NAME]


def test_a_journal_csv_becomes_the_store_once(path: Path) -> None:
    csv_file = path.with_name(CSV_NAME)
    csv_file.write_bytes(entries_to_csv([entry(1), entry(2)]).encode())
    with Store.open(path, create=False) as store:
        assert len(store.entries()) == 2
    assert not path.exists()
    with Store.open(path) as store:
        assert store.entries() == (entry(1), entry(2))
        store.add([entry(3)])
    csv_file.write_bytes(entries_to_csv([entry(9)]).encode())
    with Store.open(path) as store:
        assert store.entries() == (entry(1), entry(2), entry(3))


def test_a_bad_journal_csv_makes_no_store(path: Path) -> None:
    path.with_name(CSV_NAME).write_text("kind,site,day\ndone,,x\n", encoding="utf-8")
    with pytest.raises(BadFiles, match=r"journal\.csv:2: the row names no site"):  # noqa: SIM117
        with Store.open(path):
            pass
    assert not path.exists()


def newer(path: Path) -> None:
    data = bytearray(path.read_bytes())
    data[USER_VERSION_AT : USER_VERSION_AT + 4] = (len(STEPS) + 1).to_bytes(4)
    path.write_bytes(data)


def foreign(path: Path) -> None:
    path.unlink()
    connection = sqlite3.connect(path)
    connection.execute("CREATE TABLE recipes (title)")
    connection.close()


def no_database(path: Path) -> None:
    path.write_bytes(b"PK\x03\x04 a spreadsheet saved under this name" * 100)


def cut_short(path: Path) -> None:
    path.write_bytes(path.read_bytes()[:9000])


def scribbled_over(path: Path) -> None:
    data = bytearray(path.read_bytes())
    data[4096:] = bytes(len(data) - 4096)
    path.write_bytes(data)


def without_tables(path: Path) -> None:
    connection = sqlite3.connect(path)
    connection.execute("DROP TABLE published")
    connection.close()


@pytest.mark.parametrize(
    ("harm", "message"),
    [
        (newer, "newer orchardcal"),
        (foreign, "holds something else than a journal"),
        (no_database, "damaged"),
        (cut_short, "damaged"),
        (scribbled_over, "damaged"),
        (without_tables, "its tables are missing"),
    ],
)
@pytest.mark.parametrize("create", [True, False])
def test_what_cannot_be_used_is_said_and_not_touched(
    path: Path, harm: Callable[[Path], None], message: str, create: bool
) -> None:
    with Store.open(path) as store:
        store.add([entry(number) for number in range(50)])
    harm(path)
    before = path.read_bytes()
    with pytest.raises(StoreTrouble, match=message) as trouble, Store.open(path, create):
        pass
    assert path.read_bytes() == before
    if message == "damaged":
        assert "journal.csv" in str(trouble.value)
        assert "not touched" in str(trouble.value)


def test_a_damaged_store_is_restored_from_an_export_as_the_message_says(path: Path) -> None:
    with Store.open(path) as store:
        store.add([entry(1), entry(2)])
        path.with_name(CSV_NAME).write_bytes(entries_to_csv(store.entries()).encode("utf-8-sig"))
    no_database(path)
    path.rename(path.with_name("journal.damaged"))
    with Store.open(path) as store:
        assert store.entries() == (entry(1), entry(2))


def test_a_value_that_cannot_be_read_is_damage(path: Path) -> None:
    with Store.open(path) as store:
        store.add([entry(1)])
    connection = sqlite3.connect(path)
    connection.execute("DROP TRIGGER entries_never_change")
    connection.execute("UPDATE entries SET day = 'someday'")
    connection.commit()
    connection.close()
    with Store.open(path) as store, pytest.raises(StoreTrouble, match="someday"):
        store.entries()


def test_a_log_without_its_store_is_not_played_into_a_new_one(path: Path) -> None:
    path.with_name(STORE_NAME + "-wal").write_bytes(b"x" * 100)
    with pytest.raises(StoreTrouble, match=r"Bring journal\.sqlite back"), Store.open(path):
        pass
    assert not path.exists()


def test_a_making_that_was_killed_is_taken_up_again(path: Path) -> None:
    """A hot rollback journal: "Atomic Commit In SQLite", section 4.2 (sqlite.org)."""
    maker = sqlite3.connect(path, isolation_level=None)
    maker.execute("PRAGMA cache_size = 0")
    maker.execute("CREATE TABLE entries (id)")
    maker.execute("BEGIN")
    maker.execute("CREATE TABLE half (made)")
    maker.execute("INSERT INTO half VALUES (zeroblob(100000))")
    killed = path.parent / "killed"
    killed.mkdir()
    for name in (STORE_NAME, STORE_NAME + "-journal"):
        (killed / name).write_bytes((path.parent / name).read_bytes())
    maker.close()
    assert (killed / (STORE_NAME + "-journal")).stat().st_size
    with pytest.raises(StoreTrouble, match="something else"), Store.open(killed / STORE_NAME):
        pass  # rolled back to the table of someone else: read, and refused
    connection = sqlite3.connect(killed / STORE_NAME)
    assert connection.execute("SELECT name FROM sqlite_master").fetchall() == [("entries",)]
    connection.close()


def test_a_folder_in_the_place_of_the_store_is_said(path: Path) -> None:
    path.mkdir()
    with pytest.raises(StoreTrouble, match="is not a file"), Store.open(path):
        pass


def test_a_missing_folder_is_said(path: Path) -> None:
    with pytest.raises(StoreTrouble, match="cannot be opened"):  # noqa: SIM117
        with Store.open(path.parent / "nowhere" / STORE_NAME):
            pass


def test_a_store_held_by_another_is_said(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("orchardcal.journal.store.BUSY_S", 0.05)
    with Store.open(path) as store:
        holder = sqlite3.connect(path, isolation_level=None)
        holder.execute("BEGIN IMMEDIATE")
        with pytest.raises(StoreTrouble, match="another command has been writing"):
            store.add([entry(1)])
        holder.execute("ROLLBACK")
        holder.close()
        store.add([entry(1)])


def test_many_writers_at_once_lose_nothing(path: Path) -> None:
    """Six writers, ten entries each, the store opened for each; none is there at first."""
    failed: list[BaseException] = []

    def write(writer: int) -> None:
        try:
            for number in range(10):
                with Store.open(path) as store:
                    store.add([entry(writer * 100 + number)])
        except BaseException as error:
            failed.append(error)

    threads = [threading.Thread(target=write, args=(writer,)) for writer in range(6)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert failed == []
    with Store.open(path) as store:
        assert len(store.entries()) == 60


def test_a_later_step_is_added_to_a_store_in_use(
    path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    with Store.open(path) as store:
        store.add([entry(1)])
    more = (*STEPS, ("CREATE TABLE mailed (key TEXT PRIMARY KEY)",))
    for module in ("store", "store_trouble"):
        monkeypatch.setattr(f"orchardcal.journal.{module}.STEPS", more)
    for create in (False, True, True):
        with Store.open(path, create) as store:
            assert store.entries() == (entry(1),)
    connection = sqlite3.connect(path)
    assert connection.execute("PRAGMA user_version").fetchone() == (len(STEPS) + 1,)
    assert connection.execute("SELECT count(*) FROM mailed").fetchone() == (0,)
    connection.close()
