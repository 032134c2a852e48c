"""The journal as CSV: whole there and back, whatever a spreadsheet does to it.

RFC 4180: the quoting of separators, quotes and line breaks. OWASP, "CSV Injection": the signs a
cell must not begin with.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest
from hypothesis import given, settings
from hypothesis import strategies as some

from orchardcal.care import TITLES
from orchardcal.errors import Problems
from orchardcal.journal.entries import DEFERRED, DONE, Entry
from orchardcal.journal.journal_csv import columns_left_out, entries_from_csv, entries_to_csv

# From memory of OWASP, "CSV Injection": = + - @, tab, carriage return, line feed, full-width forms
DANGEROUS = ("=", "+", "-", "@", "\t", "\r", "\n", "＝", "＋", "－", "＠")

ONE = Entry("2026-12-01T09:30:00Z", "j1", DONE, "millbrook", date(2026, 12, 1), "dormant_pruning")
texts = some.text(some.characters(exclude_categories=["Cs"]), max_size=30)
words = texts.map(str.strip)
ids = words.filter(lambda text: text and ";" not in text)
days = some.dates(date(1990, 1, 1), date(2100, 1, 1))
numbers = some.none() | some.integers(0, 999_999)
entries = some.builds(
    Entry,
    recorded=some.just("2026-12-01T09:30:00Z"),
    id=ids,
    kind=some.just(DONE),
    site=ids,
    day=days,
    care=some.sampled_from(sorted(TITLES)),
    plantings=some.lists(ids, max_size=3).map(tuple),
    season=some.integers(0, 2100),
    by=words,
    minutes=numbers,
    trees=numbers,
    until=some.none() | days,
    note=texts,
    cut=words,
)


def read(text: str) -> list[Entry]:
    problems = Problems()
    found = entries_from_csv(text, "journal.csv", problems)
    problems.raise_if_any()
    return found


def said(text: str) -> str:
    problems = Problems()
    entries_from_csv(text, "journal.csv", problems)
    return "\n".join(str(problem) for problem in problems.found)


@settings(max_examples=80, deadline=None)
@given(some.lists(entries, max_size=4, unique_by=lambda entry: entry.id))
def test_everything_comes_back(written: list[Entry]) -> None:
    assert read(entries_to_csv(written)) == written


def test_cells_are_quoted_as_in_rfc_4180() -> None:
    """RFC 4180 section 2, rules 1, 5, 6 and 7."""
    note = 'b "bb", or\r\nccc'
    (line, *rest) = entries_to_csv([replace(ONE, note=note)]).split("\r\n", 1)
    assert line.startswith("recorded,id,kind,site,day,care,")
    assert '"b ""bb"", or\r\nccc"' in rest[0]
    assert rest[0].endswith("\r\n")


@pytest.mark.parametrize("sign", DANGEROUS)
@pytest.mark.parametrize("field", ["note", "by", "site"])
def test_no_cell_begins_like_a_formula(field: str, sign: str) -> None:
    written = sign + "HYPERLINK(1)" if field == "note" or sign.strip() else "x"
    text = entries_to_csv([replace(ONE, **{field: written})])
    assert f",{sign}" not in text.replace("\r\n", "")
    assert f',"{sign}' not in text
    assert getattr(read(text)[0], field) == written


@pytest.mark.parametrize("note", ["'=1", "''=1", "'quoted'", "'", "  =1", "it's"])
def test_an_apostrophe_of_ones_own_stays(note: str) -> None:
    assert read(entries_to_csv([replace(ONE, note=note)]))[0].note == note


@pytest.mark.parametrize("separator", [",", ";", "\t"])
@pytest.mark.parametrize("line_end", ["\n", "\r\n"])
def test_the_separators_and_line_ends_of_spreadsheets(separator: str, line_end: str) -> None:
    rows = [["Kind", "SITE", "Date", "look-again", "Care", "trees", "Tree ID"]]
    rows += [["Deferred", "millbrook", "1.12.2026", "2027-01-01", "Dormant pruning", "", "A-01"]]
    rows += [[""] * 7]
    text = line_end.join(separator.join(row) for row in rows) + line_end
    (entry,) = read(text)
    assert (entry.kind, entry.day, entry.until) == (DEFERRED, date(2026, 12, 1), date(2027, 1, 1))
    assert (entry.care, entry.plantings) == ("dormant_pruning", ("A-01",))
    assert entry.recorded == "2026-12-01T12:00:00Z"


def test_rows_without_an_id_get_the_same_one_each_time_and_stay_apart() -> None:
    text = "kind,site,day,care\n" + "done,millbrook,2026-12-01,dormant pruning\n" * 3
    first, again = read(text), read(text + "done,karoo,2026-12-01,dormant pruning\n")
    assert len({entry.id for entry in first}) == 3
    assert again[:3] == first


def test_an_instant_of_another_zone_is_kept_in_utc() -> None:
    """ISO 8601: 09:30 at +01:00 is 08:30 UTC."""
    text = "kind,site,day,care,recorded\ndone,m,2026-12-01,dormant pruning,2026-12-01T09:30+01:00\n"
    assert read(text)[0].recorded == "2026-12-01T08:30:00Z"


def test_columns_of_a_form_are_left_alone_and_named() -> None:
    text = "kind,site,day,care,E-mail,\nseen,millbrook,2026-12-01,,a@example.org,\n"
    assert columns_left_out(text) == ("E-mail",)


@pytest.mark.parametrize(
    ("row", "message"),
    [
        ("doen,m,2026-12-01,,,,,,,", "Did you mean done?"),
        ("done,,2026-12-01,look at cuts,,,,,,", "names no site"),
        ("done,m,,look at cuts,,,,,,", "the row has no day"),
        ("done,m,1/12/2026,look at cuts,,,,,,", '"1/12/2026" under day is no day'),
        ("done,m,31.02.2026,look at cuts,,,,,,", '"31.02.2026" under day is no day'),
        ("done,m,2026-12-01,,,,,,,", "no care is named"),
        ("done,m,2026-12-01,prunning,,,,,,", 'care "prunning" is unknown'),
        ("done,m,2026-12-01,look at cuts,,,half,,,", '"half" under minutes'),
        ("done,m,2026-12-01,look at cuts,,,-5,,,", '"-5" under minutes'),
        ("done,m,2026-12-01,look at cuts,,,٣,,,", "is no whole number"),
        ("skipped,m,2026-12-01,look at cuts,,,,,,", "skipped without a reason"),
        ("deferred,m,2026-12-01,dormant pruning,,2027-01-01,,,,", "at no tree"),
        ("deferred,m,2026-12-01,dormant pruning,A,,,,,", "without a day"),
        ("deferred,m,2026-12-01,dormant pruning,A,2026-12-01,,,,", "which is not later"),
        ("undone,m,2026-12-01,,,,,,,", "but not what"),
        ("seen,m,2026-12-01,,,,,,,", "seen, but not what"),
        ("seen,m,2026-12-01,,,,,dormant,,2026-12-01 9:30", "is no instant"),
    ],
)
def test_a_row_that_cannot_be_read_says_why(row: str, message: str) -> None:
    head = "kind,site,day,care,plantings,until,minutes,seen,note,recorded\n"
    found = said(head + row + "\n")
    assert found.startswith("journal.csv:2: ")
    assert message in found


def test_an_id_used_twice_in_a_file_is_a_problem() -> None:
    text = entries_to_csv([ONE, replace(ONE, minutes=3)])
    assert "journal.csv:3: the id j1 is used in line 2 already" in said(text)


def test_a_cell_longer_than_any_note_is_a_problem_not_a_crash() -> None:
    assert "cannot be told apart" in said("kind,site,day\ndone,m," + "x" * 200_000 + "\n")
