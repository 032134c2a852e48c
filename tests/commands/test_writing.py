"""Files of one run: all of them, or none and nothing left behind."""

from __future__ import annotations

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
