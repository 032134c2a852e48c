"""What still holds, how a care stands, what was seen: cases made by hand."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from orchardcal.journal.entries import DONE, SEEN, SKIPPED, UNDONE, Entry
from orchardcal.journal.saying import (
    current,
    done_work,
    dormancy_answers,
    latest,
    pests_seen,
    season_of,
    stages_seen,
)
from orchardcal.journal.standing import PARTLY, standings

COUNTS = {"A": 1, "B": 10, "C": 4}
PRUNING = "dormant_pruning"


def entry(number: int, kind: str = DONE, **more: object) -> Entry:
    day = date(2027, 1, number)
    made = Entry(f"{day}T10:00:00Z", f"j{number}", kind, "millbrook", day, PRUNING)
    return replace(made, **more)  # type: ignore[arg-type]


def stands(*entries: Entry, planting: str = "B", care: str = PRUNING, season: int = 2027):  # type: ignore[no-untyped-def]
    return standings(entries, "millbrook", COUNTS, southern=False).get((planting, care, season))


def test_an_undoing_takes_back_and_can_be_taken_back() -> None:
    first, second = entry(1), entry(2)
    undoing = entry(3, UNDONE, undoes="j1")
    again = entry(4, UNDONE, undoes="j3")
    thrice = entry(5, UNDONE, undoes="j4")
    assert current([first, second]) == (first, second)
    assert current([first, second, undoing]) == (second,)
    assert current([first, second, undoing, again]) == (first, second)
    assert current([first, second, undoing, again, thrice]) == (second,)
    assert current([undoing, first]) == (first,)  # it reaches only what was there


def test_the_season_is_the_one_written_or_that_of_the_day() -> None:
    """design: 1 Jul-30 Jun in the north, the calendar year in the south."""
    summer = entry(1, day=date(2026, 7, 1))
    assert season_of(summer, southern=False) == 2027
    assert season_of(summer, southern=True) == 2026
    assert season_of(replace(summer, season=2030), southern=True) == 2030


def test_nothing_recorded_is_no_standing() -> None:
    assert stands(entry(1, site="karoo")) is None
    assert stands(entry(1, plantings=("A",))) is None
    assert stands(entry(1), season=2026) is None


def test_work_without_a_number_is_all_trees() -> None:
    standing = stands(entry(1, plantings=("B",), minutes=30, note="dry wood"))
    assert (standing.state, standing.trees_done, standing.last_day) == (DONE, 10, date(2027, 1, 1))
    assert (standing.minutes, standing.note, standing.by_order) == (30, "dry wood", False)


def test_part_of_the_trees_adds_up() -> None:
    four = entry(1, plantings=("B",), trees=4, minutes=30)
    five = entry(3, plantings=("B",), trees=5, minutes=40)
    three = entry(5, plantings=("B",), trees=3)
    assert (stands(four).state, stands(four).trees_done) == (PARTLY, 4)
    standing = stands(four, five)
    assert (standing.state, standing.trees_done, standing.minutes) == (PARTLY, 9, 70)
    standing = stands(four, five, three)
    assert (standing.state, standing.trees_done) == (DONE, 10)
    assert standing.days == (date(2027, 1, 1), date(2027, 1, 3), date(2027, 1, 5))
    assert standing.entries == ("j1", "j3", "j5")


def test_a_number_for_the_whole_site_is_dealt_out_in_the_order_of_the_tree_list() -> None:
    seven = entry(1, trees=7)
    assert (stands(seven, planting="A").state, stands(seven, planting="A").by_order) == (DONE, True)
    assert (stands(seven).state, stands(seven).trees_done) == (PARTLY, 6)
    assert stands(seven, planting="C") is None
    both = (seven, entry(2, trees=5))
    assert stands(*both).state == DONE
    assert stands(*both, planting="C").trees_done == 1


def test_a_skip_and_later_work_replace_each_other() -> None:
    skipped = entry(1, SKIPPED, note="no crew")
    done = entry(2, plantings=("B",))
    assert (stands(skipped).state, stands(skipped).note) == (SKIPPED, "no crew")
    assert stands(skipped).last_day is None
    assert stands(skipped, done).state == DONE
    assert stands(skipped, done, planting="C").state == SKIPPED
    assert stands(skipped, done, entry(3, UNDONE, undoes="j2")).state == SKIPPED


def test_work_on_a_cut_put_off_is_not_the_pruning_of_the_tree() -> None:
    assert stands(entry(1, cut="j0")) is None
    assert stands(entry(1, care="deferred_cut"), care="deferred_cut") is None
    assert len(done_work([entry(1, cut="j0"), entry(2), entry(3, SKIPPED)], "millbrook")) == 2


@pytest.mark.parametrize(
    ("reader", "word"),
    [(dormancy_answers, "growing"), (pests_seen, "none"), (stages_seen, "full_bloom")],
)
def test_what_was_seen_is_sorted_by_kind_and_day(reader, word: str) -> None:  # type: ignore[no-untyped-def]
    entries = [
        entry(9, SEEN, seen=word, day=date(2027, 1, 3), by="Ana"),
        entry(2, SEEN, seen="dormant", plantings=("A",)),
        entry(4, SEEN, seen="scale"),
        entry(5, SEEN, seen="bud_swell"),
        entry(6),
    ]
    found = reader(entries, "millbrook", southern=False)
    assert [one.day.day for one in found] == sorted(one.day.day for one in found)
    (mine,) = [one for one in found if one.seen == word]
    assert (mine.season, mine.by, mine.covers("A")) == (2027, "Ana", True)
    assert len(found) == 2


def test_the_latest_answer_is_that_of_the_tree_or_the_whole_site() -> None:
    entries = [
        entry(2, SEEN, seen="growing"),
        entry(3, SEEN, seen="dormant", plantings=("A",)),
        entry(1, SEEN, seen="nearly", plantings=("B",)),
    ]
    answers = dormancy_answers(entries, "millbrook", southern=False)
    seen = {planting: latest(answers, planting, 2027) for planting in COUNTS}
    assert [(planting, one and one.seen) for planting, one in seen.items()] == [
        ("A", "dormant"),
        ("B", "growing"),
        ("C", "growing"),
    ]
    assert latest(answers, "A", 2028) is None
