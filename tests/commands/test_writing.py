"""Files of one run: all of them, or none and nothing left behind."""

from __future__ import annotations

import signal
from collections.abc import Iterator
from pathlib import Path

import pytest

from orchardcal.commands.writing import write_all
from orchardcal.errors import BadFiles


def test_what_fails_halfway_leaves_nothing_behind(tmp_path: Path) -> None:
    (tmp_path / "staff.ics").write_bytes(b"old")
    (tmp_path / "sites").write_bytes(b"a file where a folder should be")
    with pytest.raises(BadFiles):
        write_all(tmp_path, {"staff.ics": b"new", "plan.csv": b"new", "sites/one.ics": b"new"})
    assert sorted(path.name for path in tmp_path.iterdir()) == ["sites", "staff.ics"]
    assert (tmp_path / "staff.ics").read_bytes() == b"old"


def test_an_interrupt_before_the_last_file_is_made_changes_nothing(tmp_path: Path) -> None:
    (tmp_path / "staff.ics").write_bytes(b"old")

    def made() -> Iterator[tuple[str, bytes]]:
        for number in range(40):
            yield f"sites/{number}.ics", b"new"
        yield "staff.ics", b"new"
        raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        write_all(tmp_path, made())
    assert [path for path in tmp_path.rglob("*") if path.is_file()] == [tmp_path / "staff.ics"]
    assert (tmp_path / "staff.ics").read_bytes() == b"old"


def test_an_interrupt_while_files_move_into_place_waits_for_the_last(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    move = Path.replace

    def interrupted(temporary: Path, path: Path) -> Path:
        signal.raise_signal(signal.SIGINT)
        return move(temporary, path)

    monkeypatch.setattr(Path, "replace", interrupted)
    with pytest.raises(KeyboardInterrupt):
        write_all(tmp_path, {f"{number}.ics": b"new" for number in range(5)})
    assert len(list(tmp_path.glob("[0-9].ics"))) == 5
    assert not list(tmp_path.glob(".*"))


def test_every_path_is_told_and_the_same_bytes_are_left_alone(tmp_path: Path) -> None:
    names = {f"{number}.ics" for number in range(50)}
    assert write_all(tmp_path, ((name, name.encode()) for name in sorted(names))) == names
    before = {path.name: path.stat().st_ino for path in tmp_path.iterdir()}
    write_all(tmp_path, {**{name: name.encode() for name in names}, "7.ics": b"other"})
    after = {path.name: path.stat().st_ino for path in tmp_path.iterdir()}
    assert [name for name in sorted(names) if after[name] != before[name]] == ["7.ics"]
