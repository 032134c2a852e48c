"""Conditional requests against the examples and rules of RFC 9110."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest

from orchardcal.outputs.http_conditions import http_date, instant_of, status_for

NOW = datetime(2026, 11, 25, 8, 0, 0, tzinfo=UTC)
MODIFIED = datetime(2026, 11, 20, 12, 30, 15, tzinfo=UTC)
TAG = '"xyzzy"'


@pytest.mark.parametrize(
    "written",
    [  # RFC 9110 5.6.7: the same instant in the form to write and the two obsolete ones
        "Sun, 06 Nov 1994 08:49:37 GMT",
        "Sunday, 06-Nov-94 08:49:37 GMT",
        "Sun Nov  6 08:49:37 1994",
    ],
)
def test_the_three_forms_of_a_date_are_one_instant(written: str) -> None:
    assert instant_of(written, NOW) == datetime(1994, 11, 6, 8, 49, 37, tzinfo=UTC)


def test_a_date_is_written_as_the_standard_does() -> None:
    instant = datetime(1994, 11, 6, 8, 49, 37, tzinfo=UTC)
    assert http_date(instant) == "Sun, 06 Nov 1994 08:49:37 GMT"  # RFC 9110 5.6.7


@pytest.mark.parametrize(("short", "year"), [("26", 2026), ("75", 2075), ("77", 1977)])
def test_two_digits_of_a_year_lie_at_most_50_years_ahead(short: str, year: int) -> None:
    """RFC 9110 5.6.7, on rfc850-date."""
    found = instant_of(f"Sunday, 06-Nov-{short} 08:49:37 GMT", NOW)
    assert found is not None
    assert found.year == year


@pytest.mark.parametrize(
    "written",
    ["", "yesterday", "2026-11-20T12:30:15Z", "Sun, 31 Feb 2026 08:49:37 GMT", "0" * 5000],
)
def test_what_is_no_date_is_passed_over(written: str) -> None:
    """RFC 9110 13.1.3: an If-Modified-Since that is no date is ignored."""
    assert instant_of(written, NOW) is None
    assert status_for({"if-modified-since": written}, TAG, MODIFIED, NOW) == 200


@pytest.mark.parametrize(
    ("header", "ours", "status"),
    [  # RFC 9110 8.8.3.2: the weak comparison of If-None-Match; ours is always strong
        ('W/"1"', '"1"', 304),
        ('"1"', '"1"', 304),
        ('W/"2"', '"1"', 200),
        ('"2"', '"1"', 200),
        # RFC 9110 13.1.2: the examples of the field
        ('"xyzzy"', TAG, 304),
        ('W/"xyzzy"', TAG, 304),
        ('"xyzzy", "r2d2xxxx", "c3piozzzz"', TAG, 304),
        ('W/"xyzzy", W/"r2d2xxxx", W/"c3piozzzz"', TAG, 304),
        ("*", TAG, 304),
        ('"r2d2xxxx"', TAG, 200),
        ("xyzzy", TAG, 200),  # no tag without its quotation marks
        ('"xyzzy', TAG, 200),
        ("", TAG, 200),
        ('"a,xyzzy,b"', TAG, 200),  # a comma may stand inside a tag (8.8.3)
    ],
)
def test_if_none_match(header: str, ours: str, status: int) -> None:
    assert status_for({"if-none-match": header}, ours, MODIFIED, NOW) == status


@pytest.mark.parametrize(
    ("header", "status"),
    [('"xyzzy"', 200), ('W/"xyzzy"', 412), ('"other"', 412), ("*", 200)],
)
def test_if_match_compares_strongly(header: str, status: int) -> None:
    """RFC 9110 13.1.1: a weak tag never fits."""
    assert status_for({"if-match": header}, TAG, MODIFIED, NOW) == status


@pytest.mark.parametrize(
    ("since", "status"),
    [
        (MODIFIED, 304),
        (MODIFIED + timedelta(days=1), 304),
        (MODIFIED - timedelta(seconds=1), 200),
        (NOW + timedelta(days=1), 200),  # our departure: a date to come keeps nobody from news
    ],
)
def test_if_modified_since(since: datetime, status: int) -> None:
    """RFC 9110 13.1.3."""
    headers = {"if-modified-since": http_date(since)}
    assert status_for(headers, TAG, MODIFIED, NOW) == status


def test_the_tag_decides_before_the_date() -> None:
    """RFC 9110 13.2.2 and 13.1.3: with If-None-Match there, If-Modified-Since is ignored."""
    headers = {"if-none-match": '"older"', "if-modified-since": http_date(MODIFIED)}
    assert status_for(headers, TAG, MODIFIED, NOW) == 200
    headers = {"if-match": TAG, "if-unmodified-since": http_date(MODIFIED - timedelta(1))}
    assert status_for(headers, TAG, MODIFIED, NOW) == 200


def test_if_unmodified_since_refuses_what_has_changed() -> None:
    """RFC 9110 13.1.4."""
    earlier = {"if-unmodified-since": http_date(MODIFIED - timedelta(seconds=1))}
    assert status_for(earlier, TAG, MODIFIED, NOW) == 412
    assert status_for({"if-unmodified-since": http_date(MODIFIED)}, TAG, MODIFIED, NOW) == 200


def test_without_a_known_date_only_tags_count() -> None:
    headers = {"if-modified-since": http_date(MODIFIED), "if-unmodified-since": http_date(MODIFIED)}
    assert status_for(headers, TAG, None, NOW) == 200
