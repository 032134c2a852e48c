"""A run that finds kept results writes the very bytes of one that made everything anew."""

from __future__ import annotations

import shutil
import subprocess
import sys
import zlib
from collections.abc import Callable
from dataclasses import replace
from datetime import date, timedelta
from itertools import cycle
from pathlib import Path

import pytest

from orchardcal.commands import kept_results
from orchardcal.commands.kept_results import KeptResults, cache_folder, packed, unpacked
from orchardcal.journal.entries import Entry, with_id_of_content
from orchardcal.journal.published import WINDOW
from orchardcal.journal.store import STORE_NAME, Store
from orchardcal.outputs.site_told import SiteTold
from tests.commands.season_ground import AS_OF, SITES, Ground, replaced


def record_days(folder: Path) -> None:
    """The last hundred days of the record become 3 °C warmer."""
    path = folder / "huon-reach" / "record.csv"
    rows = path.read_text(encoding="utf-8").splitlines()
    for at in range(len(rows) - 100, len(rows)):
        day, low, high, *rest = rows[at].split(",")
        rows[at] = ",".join([day, f"{float(low) + 3:.1f}", f"{float(high) + 3:.1f}", *rest])
    path.write_text("\n".join([*rows, ""]), encoding="utf-8")


def a_forecast(folder: Path) -> None:
    rows = [f"2026-11-{day},8.0,19.0,12.0" for day in range(25, 31)]
    text = "\n".join(["day,low_c,high_c,rain_mm", *rows, ""])
    (folder / "huon-reach" / "forecast.csv").write_text(text, encoding="utf-8")


def language_and_units(folder: Path) -> None:
    replaced("programme.toml", 'language = "en"', 'language = "es"')(folder)
    replaced("programme.toml", 'units = "metric"', 'units = "us"')(folder)


def name_and_address(folder: Path) -> None:
    replaced("programme.toml", "Nine Gates", "Ten Gates")(folder)
    replaced("programme.toml", "calendars.nine", "feeds.nine")(folder)


def a_species_file(folder: Path) -> None:
    (folder / "species").mkdir()
    text = 'title = "quince bush"\nplural = "quince bushes"\n'
    (folder / "species" / "quince.toml").write_text(text, encoding="utf-8")


def a_journal_entry(folder: Path) -> None:
    entry = Entry(
        recorded="2026-11-24T09:00:00Z",
        id="",
        kind="skipped",
        site="tamarsh",
        day=date(2026, 11, 24),
        care="dormant_pruning",
        plantings=("R1",),
        season=2027,
        note="too wet",
    )
    with Store.open(folder / STORE_NAME) as store:
        assert store.add([with_id_of_content(entry)]) == 1


def one_sign_of_the_record(folder: Path) -> None:
    path = folder / "huon-reach" / "record.csv"
    written = path.read_bytes()
    at = written.index(b".", len(written) // 2) + 1  # the tenths of a temperature
    digit = b"1" if written[at : at + 1] != b"1" else b"2"
    path.write_bytes(written[:at] + digit + written[at + 1 :])


def what_subscribers_saw(folder: Path) -> None:
    """One job of tamarsh was published for a day later, with a word of its own."""
    with Store.open(folder / STORE_NAME) as store:
        rows = list(store.published())
        at = next(n for n, row in enumerate(rows) if row.site == "tamarsh" and row.status != WINDOW)
        day = rows[at].first + timedelta(days=1)
        rows[at] = replace(rows[at], first=day, last=day, fingerprint="other", sequence=7)
        store.publish(rows)


TOLD = 1  # kept of each site: its part of all that is written
READ = 1  # of a site's own two files, of a species file; of a record come two, with its means

# An edit, and how many results are made anew for it.
EDITS = {
    "a tree": (replaced("tamarsh/trees.csv", "Conference;2;", "Conference;3;"), READ + TOLD),
    "record days": (record_days, 2 * READ + TOLD),
    "one sign of the record": (one_sign_of_the_record, 2 * READ + TOLD),
    "a forecast": (a_forecast, TOLD),
    "a site's hours": (
        replaced("tamarsh/site.toml", 'hours = "', 'hours = "10:00-15:00" # "'),
        READ + TOLD,
    ),
    "language and units": (language_and_units, 2 * TOLD),
    "name and address": (name_and_address, 2 * TOLD),
    "a species": (a_species_file, READ + 2 * READ + TOLD),
    "the journal": (a_journal_entry, TOLD),
    "what subscribers saw": (what_subscribers_saw, TOLD),
}
UNSEEN = {"one sign of the record"}  # a tenth of a degree on one day of twelve years


@pytest.mark.parametrize("edit", EDITS)
def test_after_an_edit_all_is_as_made_afresh(ground: Ground, edit: str) -> None:
    change, made_anew = EDITS[edit]
    kept = ground.results()
    change(ground.folder)
    found = ground.run()
    assert len(ground.results().keys() - kept.keys()) == made_anew
    ground.restore()
    change(ground.folder)
    shutil.rmtree(ground.cache)
    assert ground.run() == found
    assert edit in UNSEEN or found != ground.written


def test_another_day_makes_everything_anew(ground: Ground) -> None:
    kept = ground.results()
    found = ground.run(as_of="2026-11-26")
    assert len(ground.results().keys() - kept.keys()) == 2 * TOLD
    ground.restore()
    shutil.rmtree(ground.cache)
    assert ground.run(as_of="2026-11-26") == found


def test_a_run_without_changes_makes_nothing(ground: Ground) -> None:
    kept = ground.results()
    assert ground.run() == ground.written
    assert ground.results() == kept
    ground.restore()
    assert ground.run("--afresh") == ground.written
    assert ground.results().keys() == kept.keys()


def test_a_wrong_result_would_be_seen_and_afresh_mends_it(ground: Ground) -> None:
    """Kept pages are really used; --afresh uses none and leaves right ones behind."""
    kept = KeptResults(cache_folder())
    wrong = (("sites/tamarsh.html", b"wrong"),)
    for key in ground.results():
        told = told_under(key, kept)
        if told is not None and told.glance.site == "tamarsh":
            assert told.files is not None
            told = replace(told, files=replace(told.files, own=wrong))
            kept.keep_bytes(key, packed(told))
    assert ground.run()["sites/tamarsh.html"] == b"wrong"
    assert ground.run("--afresh") == ground.written
    assert ground.run() == ground.written


def told_under(key: str, kept: KeptResults) -> SiteTold | None:
    """What is told of a site, None if something else is kept under the key."""
    content = kept.found_bytes(key)
    assert content is not None
    try:
        return unpacked(content, SiteTold)
    except zlib.error:
        return None


def cut(content: bytes) -> bytes:
    return content[: len(content) // 2]


def flipped(content: bytes) -> bytes:
    """One bit of the middle is another."""
    middle = len(content) // 2
    return content[:middle] + bytes([content[middle] ^ 1]) + content[middle + 1 :]


def test_damaged_and_foreign_files_are_no_results(ground: Ground) -> None:
    damages: tuple[Callable[[bytes], bytes], ...] = (
        cut,
        flipped,
        lambda _: b"",
        lambda _: b"cos\nsystem\n(S'exit 1'\ntR." * 9,
    )
    for path, damage in zip(kept_files(ground), cycle(damages), strict=False):
        path.write_bytes(damage(path.read_bytes()))
    assert ground.run() == ground.written


def test_a_result_under_another_key_is_no_result(ground: Ground) -> None:
    """Each file holds what belongs to the next one."""
    files = kept_files(ground)
    contents = [path.read_bytes() for path in files]
    for path, content in zip(files, [*contents[1:], contents[0]], strict=True):
        path.write_bytes(content)
    assert ground.run() == ground.written


def test_a_folder_that_cannot_be_is_no_trouble(
    ground: Ground, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    (tmp_path / "file").write_text("no folder")
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "file"))
    assert ground.run() == ground.written
    assert (tmp_path / "file").read_text() == "no folder"


def test_another_program_finds_nothing(ground: Ground, monkeypatch: pytest.MonkeyPatch) -> None:
    kept = ground.results()
    monkeypatch.setattr(kept_results, "made_by", lambda: "a later version")
    assert ground.run() == ground.written
    assert len(ground.results().keys() - kept.keys()) == len(kept)


@pytest.mark.parametrize("site", SITES)
def test_a_sites_own_files_are_those_of_a_programme_of_it_alone(ground: Ground, site: str) -> None:
    for other in set(SITES) - {site}:
        shutil.rmtree(ground.folder / other)
    (ground.folder / STORE_NAME).unlink()
    alone = ground.run()
    own = [name for name in alone if site in name and not name.endswith(".ics")]
    assert own
    assert {name: alone[name] for name in own} == {name: ground.written[name] for name in own}


def test_two_processes_write_what_one_does(ground: Ground) -> None:
    shutil.rmtree(ground.cache)
    assert ground.run("--processes", "2") == ground.written
    ground.restore()
    assert ground.run() == ground.written


def test_one_changed_site_starts_no_process(
    ground: Ground, monkeypatch: pytest.MonkeyPatch
) -> None:
    EDITS["a tree"][0](ground.folder)
    monkeypatch.setattr("concurrent.futures.ProcessPoolExecutor", None)
    assert "sites/tamarsh.html" in ground.run("--processes", "2")


def test_two_runs_at_once_keep_whole_results(ground: Ground, tmp_path: Path) -> None:
    """Two programmes of the same sites, one cache: both write what one alone does."""
    shutil.rmtree(ground.cache)
    started = []
    for number in range(2):
        folder = tmp_path / f"programme {number}"
        shutil.copytree(ground.pristine, folder)
        words = ["season", str(folder), "--out", str(tmp_path / f"out {number}"), "--as-of", AS_OF]
        command = [sys.executable, "-m", "orchardcal", *words]
        started.append(subprocess.Popen(command, stdout=subprocess.DEVNULL))
    assert [run.wait(60) for run in started] == [0, 0]
    for number in range(2):
        for path in (tmp_path / f"out {number}").rglob("*.*"):
            name = path.relative_to(tmp_path / f"out {number}").as_posix()
            assert path.read_bytes() == ground.written[name], name
    assert not [name for name in ground.results() if name.startswith("new-")]


def kept_files(ground: Ground) -> list[Path]:
    found = sorted(path for path in ground.cache.rglob("*") if path.is_file())
    assert found
    return found
