"""The journal as a CSV file: for spreadsheets, for forms, and to travel by mail or git."""

from __future__ import annotations

import csv
import io
import re
from collections import Counter
from collections.abc import Iterable
from pathlib import Path

from orchardcal.errors import Problems, Spot
from orchardcal.journal.entries import Entry, plain, with_id_of_content
from orchardcal.journal.row import entry_of_row

# Name in the file -> other headings a form or a spreadsheet may carry for it.
HEADINGS: dict[str, tuple[str, ...]] = {
    "recorded": (),
    "id": (),
    "kind": ("what happened", "what"),
    "site": ("school", "garden"),
    "day": ("date", "on"),
    "care": ("work",),
    "plantings": ("planting", "tree", "tree ids", "tree id"),
    "season": (),
    "by": ("who", "name"),
    "minutes": (),
    "trees": ("number of trees",),
    "until": ("look again",),
    "seen": ("what was seen",),
    "note": ("notes", "why", "comment", "comments"),
    "undoes": (),
    "cut": (),
}
NEEDED = ("kind", "site", "day")
LARGEST_BYTES = 50_000_000  # some 400 000 entries

# A spreadsheet takes a cell that begins so for a formula (OWASP, "CSV Injection", 2024: = + - @
# tab, carriage return, line feed, and the full-width forms); spaces before it are passed over. An
# apostrophe goes in front, and one more in front of a cell that reads like a guarded one, so that
# taking it off is exact.
_GUARDED = re.compile(r"'*([\t\r\n]|\s*[=+\-@＝＋－＠])")


def entries_to_csv(entries: Iterable[Entry]) -> str:
    """All entries as CSV text (RFC 4180, CRLF line ends), in the order given."""
    written = io.StringIO(newline="")
    writer = csv.writer(written)
    writer.writerow(HEADINGS)
    for entry in entries:
        writer.writerow([csv_cell(getattr(entry, name)) for name in HEADINGS])
    return written.getvalue()


def entries_from_csv(text: str, shown_as: str, problems: Problems) -> list[Entry]:
    """The entries of a CSV text, in file order; each row that cannot be read becomes a problem."""
    return [entry for _, entry in numbered_entries(text, shown_as, problems)]


def numbered_entries(text: str, shown_as: str, problems: Problems) -> list[tuple[int, Entry]]:
    """Like `entries_from_csv`, each with the number of its first line.

    Comma, semicolon or tab between cells; headings in any order, columns that are not the
    journal's left alone (see `columns_left_out`). Rows without an id get one from their content,
    rows alike told apart by their count, so that a second reading gives the same ids.
    """
    rows = _rows(text, shown_as, problems)
    if not rows:
        return []
    line, headings = rows[0]
    names = [_field(heading) for heading in headings]
    missing = [name for name in NEEDED if name not in names]
    doubled = [name for name, count in Counter(names).items() if name and count > 1]
    for name in missing:
        problems.add(
            Spot(shown_as, line),
            f'no column is called "{name}"',
            f"The first line must name the columns: {', '.join(HEADINGS)} (the first line of an"
            f" export). Needed: {', '.join(NEEDED)}.",
        )
    for name in doubled:
        problems.add(Spot(shown_as, line), f'two columns are called "{name}"', "Keep one of them.")
    if missing or doubled:
        return []

    alike: Counter[Entry] = Counter()
    lines_of_ids: dict[str, int] = {}
    entries = []
    for line, cells in rows[1:]:
        row = {name: _unguarded(cell) for name, cell in zip(names, cells, strict=False) if name}
        entry = entry_of_row(row, Spot(shown_as, line), problems)
        if entry is None:
            continue
        if not entry.id:
            alike[entry] += 1
            entry = with_id_of_content(entry, alike[entry])
        if entry.id in lines_of_ids:
            problems.add(
                Spot(shown_as, line),
                f"the id {entry.id} is used in line {lines_of_ids[entry.id]} already",
                "Leave the id of a new entry empty.",
            )
            continue
        lines_of_ids[entry.id] = line
        entries.append((line, entry))
    return entries


def columns_left_out(text: str) -> tuple[str, ...]:
    """The headings of columns the journal has no use for, as written."""
    rows = _rows(text, "", Problems())
    return (
        tuple(heading for heading in rows[0][1] if heading and not _field(heading)) if rows else ()
    )


def csv_cell(value: object) -> str:
    """A value as the text of a cell that no spreadsheet takes for a formula; None is empty.

    >>> csv_cell("=1+1"), csv_cell(("A-01", "A-02")), csv_cell(None)
    ("'=1+1", 'A-01; A-02', '')
    """
    if value is None:
        return ""
    text = "; ".join(value) if isinstance(value, tuple) else str(value)
    return "'" + text if _GUARDED.match(text) else text


def csv_text(path: Path, shown_as: str, problems: Problems) -> str:
    """The text of a CSV file, "" with a problem if it cannot be read as text."""
    try:
        if path.stat().st_size > LARGEST_BYTES:
            problems.add(
                Spot(shown_as),
                f"the file has {path.stat().st_size / 1e6:.0f} MB; a journal has at most"
                f" {LARGEST_BYTES / 1e6:.0f} MB",
                "Check that it is the right file, or split it.",
            )
            return ""
        return path.read_bytes().decode("utf-8-sig")
    except UnicodeDecodeError as error:
        before = error.object[: error.start]
        problems.add(
            Spot(shown_as, before.count(b"\n") + 1),
            f"byte 0x{error.object[error.start]:02x} is not UTF-8 text",
            'Save it from the spreadsheet once more as "CSV UTF-8".',
        )
    except OSError as error:
        problems.add(
            Spot(shown_as), f"cannot be read: {error.strerror}", "Check its name and its rights."
        )
    return ""


def _rows(text: str, shown_as: str, problems: Problems) -> list[tuple[int, list[str]]]:
    """First line number and cells of every row that is not empty."""
    first_line = text.split("\n", 1)[0]
    separator = max(",;\t", key=first_line.count)
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=separator, strict=True)
    rows = []
    line = 1
    try:
        for cells in reader:
            if any(cell.strip() for cell in cells):
                rows.append((line, cells))
            line = reader.line_num + 1
    except csv.Error as error:
        problems.add(
            Spot(shown_as, line),
            f"the rows from here on cannot be told apart ({error})",
            'Look for a quotation mark (") that is opened and never closed.',
        )
        return rows
    if not rows:
        problems.add(Spot(shown_as), "the file is empty", "It needs a line of headings at least.")
    return rows


def _field(heading: str) -> str:
    """The field a heading stands for, "" for a column that is not the journal's."""
    words = plain(heading)
    return next((name for name, more in HEADINGS.items() if words in (name, *more)), "")


def _unguarded(cell: str) -> str:
    return cell[1:] if cell.startswith("'") and _GUARDED.match(cell) else cell
