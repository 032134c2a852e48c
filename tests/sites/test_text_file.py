"""Files too large, unreadable or of another kind are refused with a message, unread."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from orchardcal.errors import Problems
from orchardcal.sites.record import read_record
from orchardcal.sites.text_file import text_of


def _said(path: Path) -> str:
    problems = Problems()
    assert text_of(path, "given.csv", problems, limit_mb=20, instead="Do this.") is None
    (problem,) = problems.found
    return str(problem)


def test_a_file_of_200_mb_is_refused_before_it_is_read(tmp_path: Path) -> None:
    path = tmp_path / "record.csv"
    with path.open("wb") as file:
        file.truncate(200_000_000)  # sparse: takes no room
    problems = Problems()
    assert read_record(path, problems, "record.csv") is None
    assert str(problems.found[0]).startswith(
        "record.csv: is 200 MB long; at most 20 MB are read\n    Keep only"
    )


@pytest.mark.parametrize("content", [b"", b"  \r\n\n", b"\xef\xbb\xbf"])
def test_an_empty_file_is_said_to_be_empty(tmp_path: Path, content: bytes) -> None:
    path = tmp_path / "a.csv"
    path.write_bytes(content)
    assert _said(path) == "given.csv: is empty\n    Do this."


def test_a_folder_in_place_of_a_file(tmp_path: Path) -> None:
    assert "is a folder, not a file" in _said(tmp_path)


def test_a_file_that_is_not_there(tmp_path: Path) -> None:
    assert _said(tmp_path / "a.csv") == "given.csv: does not exist\n    Do this."


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="needs a pipe with a name")
def test_a_pipe_is_no_plain_file(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe")
    assert "is not a plain file" in _said(tmp_path / "pipe")


def test_a_file_that_cannot_be_read(tmp_path: Path) -> None:
    path = tmp_path / "loop.csv"
    path.symlink_to(path)
    assert "given.csv: cannot be read (" in _said(path)


def test_a_file_of_bytes_that_are_no_text(tmp_path: Path) -> None:
    path = tmp_path / "a.csv"
    path.write_bytes(b"day,low\n\0\0\n")
    assert "given.csv:2: holds a NUL character" in _said(path)
    path.write_bytes("day\n".encode("utf-16"))
    assert "given.csv:1: is not UTF-8 text (byte 0xFF)" in _said(path)
