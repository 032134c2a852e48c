"""Kept reading: only what was read without problem from the very bytes that are there now."""

from __future__ import annotations

from pathlib import Path

import pytest

from orchardcal.commands.kept_reading import KeptReading
from orchardcal.commands.kept_results import KeptResults
from orchardcal.errors import Problems
from orchardcal.sites.record import DailyRecord, read_record

ROWS = ["day,low_c,high_c,rain_mm", *(f"2026-11-{day:02},3.5,12.5,0.0" for day in range(1, 31))]


class Station:
    """A record that is read through kept results; says how often it really was."""

    def __init__(self, folder: Path, kept: Path | None) -> None:
        self.path = folder / "record.csv"
        self.reader = KeptReading(KeptResults(kept))
        self.times_read = 0
        self.problems = Problems()

    def write(self, text: str) -> None:
        self.path.write_text(text, encoding="utf-8")

    def record(self, given: object = ()) -> DailyRecord | None:
        return self.reader(DailyRecord, self._read, (self.path,), given, self.problems)

    def _read(self, found: Problems) -> DailyRecord | None:
        self.times_read += 1
        return read_record(self.path, found, "record.csv")


@pytest.fixture
def station(tmp_path: Path) -> Station:
    station = Station(tmp_path, tmp_path / "kept")
    station.write("\n".join(ROWS))
    return station


def test_the_same_bytes_are_read_once_in_this_run_and_the_next(station: Station) -> None:
    first = station.record()
    assert first == read_record(station.path, Problems(), "")
    assert station.record() is first
    later = Station(station.path.parent, station.path.parent / "kept")
    assert (later.record(), later.times_read, station.times_read) == (first, 0, 1)


@pytest.mark.parametrize("at", range(len(ROWS[0]) + 12, len("\n".join(ROWS)), 97))
def test_another_byte_is_read_anew(station: Station, at: int) -> None:
    """Whatever byte it is, the outcome is that of reading the file without kept results."""
    station.record()
    written = bytearray(station.path.read_bytes())
    written[at] ^= 1
    station.path.write_bytes(bytes(written))
    problems = Problems()
    anew = read_record(station.path, problems, "record.csv")
    assert station.record() == anew
    assert (station.times_read, station.problems) == (2, problems)


def test_what_else_the_reading_depends_on_counts(station: Station) -> None:
    station.record(("tamarsh", 2026))
    station.record(("tamarsh", 2027))
    station.record(("tamarsh", 2026))
    assert station.times_read == 2


def test_a_file_with_a_problem_tells_it_every_time(station: Station) -> None:
    station.write("\n".join([*ROWS, "2026-12-01,30,12,0"]))
    for times in (1, 2):
        assert station.record() is None
        assert (station.times_read, len(station.problems.found)) == (times, times)


def test_what_changed_while_it_was_read_is_not_kept(station: Station) -> None:
    def read(found: Problems) -> DailyRecord | None:
        record = read_record(station.path, found, "record.csv")
        station.write("\n".join(ROWS[:-1]))
        return record

    station.reader(DailyRecord, read, (station.path,), (), station.problems)
    station.write("\n".join(ROWS))
    station.record()
    assert station.times_read == 1


def test_a_file_that_is_not_there_is_left_to_its_reader(station: Station) -> None:
    station.path.unlink()
    assert station.record() is None
    assert "does not exist" in station.problems.found[0].what


def test_without_a_folder_nothing_is_kept(tmp_path: Path) -> None:
    station = Station(tmp_path, None)
    station.write("\n".join(ROWS))
    first = station.record()
    station.write("\n".join(ROWS[:-1]))
    second = station.record()
    assert first is not None
    assert second is not None
    assert len(first.low_c) == len(second.low_c) + 1
