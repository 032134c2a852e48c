"""What becomes due when: in steps, once, anew when it changes, and without nagging."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from datetime import date, timedelta

from orchardcal.journal.mail_ledger import SENT, UNKNOWN, Mail, MailRow
from orchardcal.journal.published import Published
from orchardcal.outputs.feed import published
from orchardcal.outputs.mail_due import (
    AHEAD,
    DAYS_BEFORE,
    FELL_AWAY,
    MOVED,
    NOT_TICKED,
    Due,
    due,
    gist,
    never_ticked,
)
from orchardcal.outputs.speech import Speech
from orchardcal.plan.plan import OVERDUE, Job, Plan
from orchardcal.sentence import Volume, say
from tests.outputs.invented_plan import AS_OF, PAINT, PLAN, PRUNE, SPRAY, with_job, without_job

SPEECH = Speech()
DAY = PRUNE.day  # 9 January 2027


class Reader:
    """Someone who is told whatever is due, day by day, as the ledger would keep it."""

    def __init__(self) -> None:
        self.mails: list[MailRow] = []

    def told(
        self, jobs: Sequence[Job], rows: Iterable[Published], as_of: date, state: str = SENT
    ) -> list[tuple[str, int | None]]:
        """Kind and days left of each thing due."""
        known = {row.uid: row for row in rows}
        found: tuple[Due, ...] = due(jobs, known, self.mails, as_of, DAYS_BEFORE)
        if found:
            items = tuple(sorted(one.item for one in found))
            mail = Mail(f"k{len(self.mails)}", "ada", "lead", "", as_of, items)
            self.mails.append(MailRow(mail, state, "", ""))
        return [(one.kind, one.days_left) for one in found]


def rows_of(plan: Plan, before: Sequence[Published] = ()) -> tuple[Published, ...]:
    return published(plan, before, SPEECH)


def told_by_day(job: Job, first: date, last: date) -> list[int]:
    """Days before the work on which one job alone is told, mail running every day."""
    rows, reader = rows_of(PLAN), Reader()
    days = []
    for number in range((last - first).days + 1):
        as_of = first + timedelta(days=number)
        if reader.told([job], rows, as_of):
            days.append((job.day - as_of).days)
    return days


def test_pruning_is_told_three_weeks_a_week_and_a_day_before() -> None:
    assert told_by_day(PRUNE, AS_OF, DAY) == [21, 7, 1]
    assert told_by_day(SPRAY, AS_OF, SPRAY.day) == [14, 7, 1]


def test_a_run_left_out_is_made_up_for() -> None:
    """No mail ran from 20 to 5 days before: the step is told then, and the last one still comes."""
    assert told_by_day(PRUNE, DAY - timedelta(days=5), DAY) == [5, 1]


def test_the_next_step_does_not_follow_at_once() -> None:
    """First heard of two days before: not once more on the morrow, nor on the day itself."""
    assert told_by_day(PRUNE, DAY - timedelta(days=2), DAY) == [2]
    assert told_by_day(PRUNE, DAY, DAY) == [0]


def test_work_that_moved_is_told_with_its_old_day() -> None:
    rows, reader = rows_of(PLAN), Reader()
    reader.told([PRUNE], rows, DAY - timedelta(days=7))
    moved = replace(PRUNE, day=DAY + timedelta(days=30))
    later = rows_of(replace(with_job(PLAN, moved), as_of=DAY - timedelta(days=6)), rows)
    (one,) = due([moved], {row.uid: row for row in later}, reader.mails, DAY, DAYS_BEFORE)
    assert (one.kind, one.old_day, one.day) == (MOVED, DAY, moved.day)
    assert one.row is not None
    assert one.row.sequence == 1
    assert reader.told([moved], later, DAY - timedelta(days=6)) == [(MOVED, None)]
    assert reader.told([moved], later, DAY - timedelta(days=5)) == []


def test_new_tools_are_told_but_reasons_counted_anew_are_not() -> None:
    rows, reader = rows_of(PLAN), Reader()
    as_of = DAY - timedelta(days=7)
    assert reader.told([PRUNE], rows, as_of) == [(AHEAD, 7)]
    counted = replace(PRUNE, why=(say("{count} of 30 winters.", count=28),), odds=0.4)
    assert gist(counted) == gist(PRUNE)
    assert reader.told([counted], rows, as_of + timedelta(days=1)) == []
    more = replace(PRUNE, bring=(say("{paint} of paint.", paint=Volume(1.2)),))
    assert reader.told([more], rows, as_of + timedelta(days=1)) == [(AHEAD, 6)]


def test_work_that_falls_away_is_told_to_those_who_knew_of_it() -> None:
    rows, reader = rows_of(PLAN), Reader()
    as_of = DAY - timedelta(days=7)
    reader.told([PRUNE], rows, as_of)
    plan = replace(without_job(PLAN, PRUNE.uid), as_of=as_of)
    later = rows_of(plan, rows)
    assert Reader().told([], later, as_of) == []
    assert reader.told([], later, as_of) == [(FELL_AWAY, None)]
    assert reader.told([], later, as_of + timedelta(days=1)) == []


def test_what_perhaps_arrived_is_not_told_again() -> None:
    rows, reader = rows_of(PLAN), Reader()
    as_of = DAY - timedelta(days=7)
    assert reader.told([PRUNE], rows, as_of, UNKNOWN) == [(AHEAD, 7)]
    assert reader.told([PRUNE], rows, as_of) == []


def test_missed_work_is_brought_up_every_two_weeks_not_at_each_new_date() -> None:
    """The plan sets it for another day every other day; the reader hears of it three times."""
    rows, reader = rows_of(PLAN), Reader()
    told = []
    for number in range(1, 43):
        as_of = DAY + timedelta(days=number)
        day = as_of + timedelta(days=1 + number % 2)
        missed = replace(PAINT, day=day, missed=DAY, state=OVERDUE)
        if reader.told([missed], rows, as_of):
            told.append(number)
    assert told == [1, 14, 28, 42]


def test_a_spraying_is_told_with_every_new_date() -> None:
    """Families were told another day: a notice with the wrong day is worse than one mail more."""
    rows, reader = rows_of(PLAN), Reader()
    missed = replace(SPRAY, missed=SPRAY.day, state=OVERDUE, day=SPRAY.day + timedelta(days=4))
    kinds = [kind for kind, _ in reader.told([missed], rows, SPRAY.day + timedelta(days=1))]
    assert kinds == [NOT_TICKED, AHEAD]
    again = replace(missed, day=SPRAY.day + timedelta(days=9))
    kinds = [kind for kind, _ in reader.told([again], rows, SPRAY.day + timedelta(days=2))]
    assert kinds == [MOVED, AHEAD]


def test_a_visit_is_told_as_a_whole() -> None:
    """Paint on the day of the pruning is told with its first step, though painting is not due."""
    same_day = replace(SPRAY, day=DAY)
    reader = Reader()
    assert reader.told([PRUNE, same_day], rows_of(PLAN), DAY - timedelta(days=21)) == [
        (AHEAD, 21),
        (AHEAD, 21),
    ]


def test_past_work_the_plan_gave_up_is_asked_for() -> None:
    rows = rows_of(PLAN)
    found = never_ticked(rows, set(), {"larkfield"}, DAY + timedelta(days=3))
    assert [(one.kind, one.day) for one in found] == [(NOT_TICKED, DAY)]
    assert never_ticked(rows, {PRUNE.uid}, {"larkfield"}, DAY + timedelta(days=3)) == ()
    assert never_ticked(rows, set(), {"kereru"}, DAY + timedelta(days=3)) == ()
