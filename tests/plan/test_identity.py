"""UIDs: they survive moves, and plantings that leave or join; none is ever used twice."""

from __future__ import annotations

from datetime import date

from hypothesis import given
from hypothesis import strategies as st

from orchardcal.journal.published import Published
from orchardcal.plan.identity import Slot, seen_before, uids

SLOT = Slot("elm", "dormant_pruning", 2027)


def row(uid: str, plantings: tuple[str, ...], first: date = date(2027, 1, 9)) -> Published:
    return Published(
        uid, "elm", "dormant_pruning", 2027, plantings, first, first, "planned", 0,
        "2026-11-25T00:00:00Z", "f", ("staff",), b"",
    )  # fmt: skip


def test_the_same_job_gets_the_same_uid_on_any_machine() -> None:
    (one,), (other,) = uids([(SLOT, ("A", "B"))], []), uids([(SLOT, ("B", "A"))], [])
    assert one == other
    assert uids([(Slot("elm", "dormant_pruning", 2028), ("A", "B"))], []) != [one]


def test_plantings_may_leave_and_join_and_the_greatest_share_keeps_it() -> None:
    before = [row("first", ("A", "B", "C"))]
    assert uids([(SLOT, ("A", "B")), (SLOT, ("C", "D"))], before)[0] == "first"
    assert uids([(SLOT, ("C", "D")), (SLOT, ("A", "B"))], before)[1] == "first"


def test_a_day_seen_and_missed_is_remembered() -> None:
    (seen,) = seen_before([(SLOT, ("A",))], [row("x", ("A",))], date(2027, 1, 20))
    assert (seen.day, seen.missed) == (date(2027, 1, 9), date(2027, 1, 9))
    (ahead,) = seen_before([(SLOT, ("A",))], [row("x", ("A",))], date(2027, 1, 9))
    assert (ahead.day, ahead.missed) == (date(2027, 1, 9), None)


trees = st.sets(st.sampled_from("ABCDEFG"), min_size=1).map(lambda s: tuple(sorted(s)))


@given(st.lists(trees, max_size=5), st.lists(trees, max_size=5))
def test_no_two_jobs_share_a_uid(
    wanted: list[tuple[str, ...]], known: list[tuple[str, ...]]
) -> None:
    before = [row(f"row{number}", plantings) for number, plantings in enumerate(known)]
    found = uids([(SLOT, plantings) for plantings in wanted], before)
    assert len(set(found)) == len(found)
