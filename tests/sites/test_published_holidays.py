"""The public holidays that close a site, against the lists that two governments publish."""

from __future__ import annotations

import csv
from datetime import date
from pathlib import Path

import pytest

from orchardcal.season import Span
from orchardcal.sites.free_days import public_holidays

PUBLISHED = Path(__file__).parents[1] / "published" / "public_holidays.csv"
SATURDAY = 5


def _rows() -> list[dict[str, str]]:
    lines = PUBLISHED.read_text("utf-8").splitlines()
    return list(csv.DictReader(line for line in lines if not line.startswith("#")))


@pytest.mark.parametrize(
    "row", _rows(), ids=lambda row: f"{row['country']} {row['subdivision']} {row['year']}"
)
def test_the_days_of_a_year_are_those_of_the_government(row: dict[str, str]) -> None:
    """From Monday to Friday no day is missing and none too many."""
    year = int(row["year"])
    found = public_holidays(
        row["country"], row["subdivision"], Span(date(year, 1, 1), date(year, 12, 31))
    )
    weekdays = [f"{day:%m-%d}" for day, _ in found if day.weekday() < SATURDAY]
    assert weekdays == row["days"].split()
