"""The files of work days, as the main command writes them for two sites of the demo."""

from __future__ import annotations

import csv
import io
import shutil
from pathlib import Path

from click.testing import CliRunner

from orchardcal.commands import orchardcal
from tests.invented import DEMO


def copied(tmp_path: Path) -> Path:
    folder = tmp_path / "programme"
    folder.mkdir(parents=True)
    shutil.copy(DEMO / "programme.toml", folder)
    for site in ("tamarsh", "huon-reach"):
        shutil.copytree(DEMO / site, folder / site)
    return folder


def files(folder: Path, out: Path, *more: str) -> dict[str, bytes]:
    words = ["season", str(folder), "--out", str(out), "--season", "2027", "--as-of", "2026-11-25"]
    ran = CliRunner().invoke(orchardcal, [*words, *more])
    assert ran.exit_code == 0, ran.output
    assert "Volunteer work days:" in ran.output
    return {p.relative_to(out).as_posix(): p.read_bytes() for p in out.rglob("*") if p.is_file()}


def test_a_page_and_a_row_for_each_day_and_none_left_of_a_day_that_moved(tmp_path: Path) -> None:
    folder, out = copied(tmp_path), tmp_path / "out"
    first = files(folder, out)
    pages = {name for name in first if name.startswith("work_days/")}
    rows = list(csv.DictReader(io.StringIO(first["work_days.csv"].decode("utf-8-sig"))))
    assert len(rows) == len(pages) > 2
    pinned = "work_days/huon-reach-2027-06-19.html"
    assert pinned in pages
    (out / "work_days" / "notes.html").write_text("not ours")
    site = folder / "huon-reach" / "site.toml"
    text = site.read_text(encoding="utf-8")
    site.write_text(text.replace("pinned = [2027-06-19]", "pinned = [2027-06-20]"), "utf-8")
    again = files(folder, out)
    assert pinned not in again
    assert "work_days/huon-reach-2027-06-20.html" in again
    assert again["work_days/notes.html"] == b"not ours"


def test_one_process_or_two_write_the_same_bytes(tmp_path: Path) -> None:
    one, two = copied(tmp_path / "one"), copied(tmp_path / "two")
    alone = files(one, tmp_path / "a", "--processes", "1", "--afresh")
    both = files(two, tmp_path / "b", "--processes", "2", "--afresh")
    assert alone == both
