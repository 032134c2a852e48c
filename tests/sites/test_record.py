"""Daily records: every layout gives the same days, and every flaw is told by its line."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, timedelta
from math import isnan

import pytest
from hypothesis import given
from hypothesis import strategies as st

from orchardcal.errors import Problems
from orchardcal.sites.csv_table import csv_table
from orchardcal.sites.record import DailyRecord, _at_once, _columns, _row_by_row
from orchardcal.sites.record_climate import check_climate, record_means

Read = Callable[[str | bytes], tuple[DailyRecord | None, Problems]]


def _rows(record: DailyRecord | None) -> list[tuple[str, ...]]:
    """Days and values as text; nan is blank."""
    assert record is not None
    return [
        (
            str(record.first_day + timedelta(days=place)),
            *(f"{v:.2f}".replace("nan", "") for v in values),
        )
        for place, values in enumerate(
            zip(record.low_c, record.high_c, record.rain_mm, strict=True)
        )
    ]


@pytest.mark.parametrize(
    "text",
    [
        "day,low_c,high_c,rain_mm\n2024-02-28,-3.5,4,0\n2024-02-29,-2,5.25,\n2024-03-01,,6,1.27\n",
        "day;low_c;high_c;rain_mm\n2024-02-28;-3,5;4;0\n2024-02-29;-2;5,25;\n2024-03-01;;6;1,27\n",
        "\ufeffDay,High_C,Low_C,Rain_MM\r\n2024/02/28,4,-3.5,0\r\n2024-02-29,5.25,\u22122,\r\n"
        "2024-03-01,6,NA,1.27\r\n\r\n",
        "day,low_f,high_f,rain_in\n2024-02-28,25.7,39.2,0\n2024-02-29,28.4,41.45,\n"
        "2024-03-01,,42.8,0.05\n",
        '# station: ours\nday,low_c,high_c,rain_mm\n2024-02-28,"-3,5",4,0\n2024-02-29,-2,"5,25"\n'
        "2024-03-01,,6,1.27\n",
    ],
)
def test_every_layout_gives_the_same_days(read_record_of: Read, text: str) -> None:
    """28.4 °F is -2 °C and 0.05 in is 1.27 mm (NIST SP 811, appendix B.8)."""
    record, problems = read_record_of(text)
    assert not problems
    assert _rows(record) == [
        ("2024-02-28", "-3.50", "4.00", "0.00"),
        ("2024-02-29", "-2.00", "5.25", ""),
        ("2024-03-01", "", "6.00", "1.27"),
    ]


def test_days_left_out_are_missing_days(read_record_of: Read) -> None:
    record, _ = read_record_of("day,low_c,high_c\n2023-12-30,1,2\n2024-01-02,3,4\n")
    assert record is not None
    assert len(record.low_c) == 4
    assert [isnan(value) for value in record.low_c] == [False, True, True, False]
    assert not record.has_rain


@given(
    st.lists(
        st.tuples(
            st.integers(1, 4),
            st.one_of(st.none(), st.floats(-40, 20)),
            st.one_of(st.none(), st.floats(20, 45)),
        ),
        min_size=1,
        max_size=40,
    )
)
def test_reading_by_columns_and_by_rows_agree(
    rows: list[tuple[int, float | None, float | None]],
) -> None:
    day, lines = date(2024, 2, 20), ["day,low_c,high_c,rain_mm"]
    for step, low, high in rows:
        day += timedelta(days=step)
        cells = ["" if value is None else f"{value:.3f}" for value in (low, high)]
        lines.append(",".join([day.isoformat(), *cells, "0"]))
    table = csv_table("\n".join(lines) + "\n", "r.csv", Problems())
    assert table is not None
    columns = _columns(table, Problems())
    assert columns is not None
    fast, slow = _at_once(table, *columns), _row_by_row(table, *columns, Problems())
    assert (fast is None) == (slow is None)
    assert fast is None or _rows(fast) == _rows(slow)


def test_a_record_of_fahrenheit_is_asked_about_once(read_record_of: Read) -> None:
    days = [date(2020, 1, 1) + timedelta(days=offset) for offset in range(400)]
    text = "day,low_c,high_c\n" + "".join(
        f"{day},{20 + day.month * 4},{60 + day.month}\n" for day in days
    )
    record, problems = read_record_of(text)
    assert record is None
    assert [str(problem) for problem in problems.found] == [
        "record.csv:1: high_c is above 50 °C on 400 of 400 days: is this °F?\n"
        "    If so, call the columns low_f and high_f; the numbers stay as they are."
    ]
    right, problems = read_record_of(text.replace("_c", "_f"))
    assert right is not None
    assert not problems


def test_celsius_under_a_fahrenheit_header_is_asked_about(read_record_of: Read) -> None:
    days = [date(2020, 1, 1) + timedelta(days=offset) for offset in range(400)]
    text = "day,low_f,high_f\n" + "".join(f"{day},1,{day.month * 3}\n" for day in days)
    record, problems = read_record_of(text)
    assert record is None
    assert "never above 50 °F in 400 days: is this °C?" in str(problems.found[0])


def test_a_flaw_in_thousands_of_rows_is_not_told_thousands_of_times(read_record_of: Read) -> None:
    days = [date(2020, 1, 1) + timedelta(days=offset) for offset in range(3000)]
    text = "day,low_c,high_c\n" + "".join(f"{day:%m/%d/%Y},1,9\n" for day in days)
    _, problems = read_record_of(text)
    assert len(problems.found) == 11  # ten in full, the rest in one
    assert "has 2990 more rows like that" in "\n".join(map(str, problems.found))


@pytest.mark.parametrize(
    ("latitude_deg", "said"), [(44.0, ""), (-44.0, "the coldest month is January, midsummer")]
)
def test_a_record_of_the_other_hemisphere(
    read_record_of: Read, latitude_deg: float, said: str
) -> None:
    days = [date(2020, 1, 1) + timedelta(days=offset) for offset in range(1200)]
    warmth = (0, 1, 5, 10, 15, 20, 22, 21, 16, 10, 5, 1)
    text = "day,low_c,high_c\n" + "".join(
        f"{day},{warmth[day.month - 1] - 5},{warmth[day.month - 1] + 5}\n" for day in days
    )
    record, problems = read_record_of(text)
    assert record is not None
    check_climate(record_means(record), latitude_deg, "record.csv", problems)
    assert said in "".join(map(str, problems.found))
    assert bool(problems) == bool(said)
