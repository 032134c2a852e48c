"""A CSV file from any spreadsheet: comma, semicolon or tab, quoted line breaks, decimal comma."""

from __future__ import annotations

import csv
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from orchardcal.errors import Problems, Spot

_NUMBER = re.compile(r"[+-]?\d+(?:[.,]\d+)?")


@dataclass(frozen=True)
class CsvTable:
    """header: column names in lower case. rows: their cells as written. lines: of each row."""

    shown_as: str
    header: tuple[str, ...]
    header_line: int
    rows: Sequence[Sequence[str]]
    lines: Sequence[int]
    decimal_comma: bool

    def records(self) -> Iterator[tuple[Spot, dict[str, str]]]:
        """Each row that is not blank, as column -> stripped cell; short rows end in blanks."""
        for line, row in zip(self.lines, self.rows, strict=True):
            if any(cell.strip() for cell in row):
                cells = [cell.strip() for cell in row]
                cells += [""] * (len(self.header) - len(cells))
                yield Spot(self.shown_as, line), dict(zip(self.header, cells, strict=False))


def csv_table(text: str, shown_as: str, problems: Problems) -> CsvTable | None:
    """The table in a text with plain line ends; remarks (#) before the header are skipped.

    Rows with more cells than the header are problems; None where no row can be trusted.
    """
    lines = text.split("\n")
    skipped = 0
    while skipped < len(lines) and (not lines[skipped].strip() or lines[skipped].startswith("#")):
        skipped += 1
    if skipped == len(lines):
        problems.add(Spot(shown_as), "holds nothing but remarks", "Its first row names columns.")
        return None
    mark = separator(lines[skipped])
    rows: list[list[str]] = []
    numbers: list[int] = []
    reader = csv.reader((line + "\n" for line in lines[skipped:]), delimiter=mark, strict=True)
    try:
        if '"' not in text:
            rows = list(reader)
            numbers = list(range(skipped + 1, skipped + 1 + len(rows)))
        else:
            begins = 1
            for row in reader:
                rows.append(row)
                numbers.append(skipped + begins)
                begins = reader.line_num + 1
    except csv.Error:
        begins = numbers[-1] + 1 if numbers else skipped + 1
        problems.add(
            Spot(shown_as, begins),
            "a quotation mark in this row is not closed, or stands inside quoted text",
            'Close it; a quotation mark inside quoted text is written twice: "the ""old"" tree".',
        )
        return None
    header = tuple(re.sub(r"\s+", "_", cell.strip().lower()) for cell in rows[0])
    while header and not header[-1]:
        header = header[:-1]
    table = CsvTable(shown_as, header, numbers[0], rows[1:], numbers[1:], mark != ",")
    return table if _even(table, problems) else None


def separator(header: str) -> str:
    """What parts the cells of a file whose first row this is."""
    return max(";\t,", key=header.count)


def number(text: str) -> float | None:
    """A plain number with decimal point or comma, or None.

    "1,200" is None, as it may be 1.2 or 1200. A typographic minus is a minus.

    >>> number("3,5"), number("−2.25"), number("1,200"), number("nan")
    (3.5, -2.25, None, None)
    """
    text = text.strip().replace("\N{MINUS SIGN}", "-")
    if not _NUMBER.fullmatch(text) or re.fullmatch(r"[+-]?[1-9]\d{0,2},\d{3}", text):
        return None
    return float(text.replace(",", "."))


def _even(table: CsvTable, problems: Problems) -> bool:
    good = True
    spot = Spot(table.shown_as, table.header_line)
    for name in sorted({name for name in table.header if table.header.count(name) > 1}):
        said = f'the column "{name}"' if name else "a column without a name"
        problems.add(spot, f"has {said} more than once", "Give each column one name.")
        good = False
    width = len(table.header)
    too_long = [
        (line, len(row))
        for line, row in zip(table.lines, table.rows, strict=True)
        if len(row) > width and any(cell.strip() for cell in row[width:])
    ]
    for line, cells in too_long[:10]:
        problems.add(
            Spot(table.shown_as, line),
            f"has {cells} cells, but the first row names {width} columns",
            "Put text that holds the separator in quotation marks; where commas part the cells, "
            "decimals take a point.",
        )
    if len(too_long) > 10:
        problems.add(spot, f"has {len(too_long) - 10} more rows with too many cells", "")
    return good and not too_long
