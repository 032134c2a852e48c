"""What a calendar says of a task, read from iCalendar by hand, and what becomes of it."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest

from orchardcal.care import DEFERRED_CUT, OIL_SCOUTING, WORK_DAY
from orchardcal.errors import Problems
from orchardcal.journal.asked_days import with_asked_days
from orchardcal.journal.entries import Entry
from orchardcal.journal.journal_csv import entries_from_csv, entries_to_csv
from orchardcal.journal.published import Published
from orchardcal.journal.store import Store
from orchardcal.journal.task_book import TaskBook, TaskCopy
from orchardcal.outputs.caldav_tasks import event_resource, task_resource, task_uid
from orchardcal.outputs.feed import published
from orchardcal.outputs.speech import Speech
from orchardcal.outputs.task_answers import Exchange, Heard, heard
from orchardcal.outputs.task_reading import LARGEST_BYTES, Unreadable, said
from tests.outputs.invented_plan import PLAN, PRUNE_UID

ZONE, TODAY, NOW = "America/Denver", date(2027, 1, 12), "2027-01-12T09:00:00Z"
ROW = next(row for row in published(PLAN, (), Speech()) if row.uid == PRUNE_UID)
UID = task_uid(PRUNE_UID)


def ticket(*lines: str, due: str = "20270109T191000Z", kept: str = "") -> bytes:
    """A task as some client writes it back: in UTC, without our zone."""
    whole = ["BEGIN:VCALENDAR", "VERSION:2.0", "BEGIN:VTODO", f"UID:{UID}"]
    whole += ["DTSTART:20270109T163000Z", f"DUE:{due}", *lines, kept, "END:VTODO", "END:VCALENDAR"]
    return "\r\n".join(line for line in whole if line).encode() + b"\r\n"


def told(now: bytes, row: Published = ROW, planned: date | None = None, **of_copy: object) -> Heard:
    before = task_resource(ROW).body
    copy = TaskCopy(UID, ROW.uid, ROW.site, "VTODO", "", '"1"', before, "f")
    copy = replace(copy, **of_copy)  # type: ignore[arg-type]
    exchange = Exchange(
        copy,
        '"2"',
        said(copy.body, "VTODO", UID, ZONE),
        said(now, "VTODO", UID, ZONE),
        row,
        planned,
        {"j1": "in_leaf_pruning"},
        {"j9"},
    )
    return heard(exchange, TODAY, NOW)


@pytest.mark.parametrize(
    ("lines", "ticked"),
    [  # RFC 5545 3.8.1.11 and 3.8.2.1 say done; 3.8.1.8, the percentage, says how far
        (["STATUS:COMPLETED"], True),
        (["COMPLETED:20270109T190000Z"], True),
        (["PERCENT-COMPLETE:100"], False),
        (["STATUS:IN-PROCESS", "PERCENT-COMPLETE:100"], False),
        (["STATUS:NEEDS-ACTION"], False),
        (["status:completed"], True),
    ],
)
def test_what_is_a_tick(lines: list[str], ticked: bool) -> None:
    assert said(ticket(*lines), "VTODO", UID, ZONE).ticked is ticked
    assert [one.kind for one in told(ticket(*lines)).entries] == (["done"] if ticked else [])


def test_a_tick_in_utc_falls_on_the_sites_day() -> None:
    (entry,) = told(ticket("COMPLETED:20270110T033000Z", "STATUS:COMPLETED")).entries
    assert entry.day == date(2027, 1, 9)  # 20:30 in Denver, seven hours behind UTC in winter


def test_a_tick_to_come_counts_for_today() -> None:
    found = told(ticket("COMPLETED:20290110T033000Z"))
    assert [one.day for one in found.entries] == [TODAY]
    assert "a day to come" in found.told[0]


def test_the_same_words_in_another_form_say_nothing() -> None:
    """Spaces tidied up, times in UTC: neither moved nor commented."""
    text = str(said(task_resource(ROW).body, "VTODO", UID, ZONE).lines)
    assert "Head the laterals" in text
    lines = said(task_resource(ROW).body, "VTODO", UID, ZONE).lines
    description = "\\n".join(line.replace(",", "\\,").replace(";", "\\;") for line in lines)
    found = told(ticket(f"DESCRIPTION:{description}", "STATUS:NEEDS-ACTION"))
    assert found == Heard((), ())


def test_a_day_before_today_is_asked_for_in_vain() -> None:
    found = told(ticket(due="20270105T191000Z"))
    assert found.entries == ()
    assert "is past" in found.told[0]


def test_a_whole_day_will_do() -> None:
    found = told(ticket().replace(b"DUE:20270109T191000Z", b"DUE;VALUE=DATE:20270120"))
    assert [(one.kind, one.until) for one in found.entries] == [("moved", date(2027, 1, 20))]


def test_a_cut_put_off_is_put_off_again() -> None:
    row = replace(ROW, care=f"{DEFERRED_CUT}/j1", plantings=("A1",))
    (entry,) = told(ticket(due="20270301T191000Z"), row).entries
    assert (entry.kind, entry.until, entry.cut) == ("deferred", date(2027, 3, 1), "j1")
    assert (entry.care, entry.plantings) == ("in_leaf_pruning", ("A1",))
    (cut,) = told(ticket("STATUS:COMPLETED"), row).entries
    assert (cut.kind, cut.care, cut.cut) == ("done", DEFERRED_CUT, "j1")


def test_scouting_is_answered_by_what_was_seen() -> None:
    row = replace(ROW, care=OIL_SCOUTING)
    (entry,) = told(ticket("COMMENT:No pests", "STATUS:COMPLETED"), row).entries
    assert (entry.kind, entry.seen) == ("seen", "none")
    (entry,) = told(ticket("COMMENT:Mite eggs"), row).entries  # the answer without the tick
    assert (entry.kind, entry.seen) == ("seen", "mite eggs")
    dormant = told(ticket("COMMENT:dormant", "STATUS:COMPLETED"), row)  # of the other check
    assert [one.kind for one in dormant.entries] == ["noted"]
    assert dormant.again


def test_a_work_day_and_a_calling_off_are_no_work_done() -> None:
    assert told(ticket("STATUS:COMPLETED"), replace(ROW, care=WORK_DAY)).entries == ()
    called_off = told(ticket("STATUS:CANCELLED"))
    assert called_off.entries == ()
    assert called_off.again


def test_an_untick_of_what_the_journal_says_changes_nothing() -> None:
    ticked = ticket("STATUS:COMPLETED")
    assert told(ticket("STATUS:NEEDS-ACTION"), body=ticked).entries == ()
    (undone,) = told(ticket("STATUS:NEEDS-ACTION"), body=ticked, entries=("j9", "j8")).entries
    assert (undone.kind, undone.undoes) == ("undone", "j9")  # j8 is taken back already


@pytest.mark.parametrize(
    "body",
    [
        b"",
        b"\xff\xfe\x00",
        b"BEGIN:VCALENDAR\r\nEND:VCALENDAR\r\n",
        b"BEGIN:VCALENDAR\r\nBEGIN:VTODO\r\nUID:another\r\nEND:VTODO\r\nEND:VCALENDAR\r\n",
        b"BEGIN:VTODO\r\n" * 50,
        b"x" * (LARGEST_BYTES + 1),
        ticket()[:-30],
        ticket("COMPLETED:yesterday"),
        ticket("COMPLETED:99999999T999999Z"),
    ],
)
def test_what_is_no_task_of_ours_is_unreadable(body: bytes) -> None:
    with pytest.raises(Unreadable):
        said(body, "VTODO", UID, ZONE)


@pytest.mark.parametrize(
    "odd",
    [
        "DTSTART;TZID=Nowhere/Land:20270109T093000",
        'STATUS;X="a:b":COMPLETED',
        "COMMENT:" + 100_000 * "a",
        "COMMENT:<script>alert(1)</script>\\n\x1b[2J",
    ],
)
def test_odd_values_of_strangers_do_no_harm(odd: str, tmp_path: Path) -> None:
    found = told(ticket(odd))
    for entry in found.entries:
        assert len(entry.note) <= 2_000
    with Store.open(tmp_path / "journal.sqlite") as store:
        store.add(found.entries)
        assert store.entries() == found.entries


def test_a_task_keeps_the_comments_and_the_moment_of_others() -> None:
    held = ticket("COMMENT:Bring a ladder", "STATUS:COMPLETED", "COMPLETED:20270109T190000Z")
    done = replace(ROW, status="done")
    kept, bare = task_resource(done, held), task_resource(done)
    assert b"COMMENT:Bring a ladder" in kept.body
    assert b"COMPLETED:20270109T190000Z" in kept.body
    assert b"COMPLETED:20270109T163000Z" in bare.body  # 09:30 in Denver, in UTC (3.8.2.1)
    assert kept.fingerprint == bare.fingerprint
    assert event_resource(done).body.count(b"BEGIN:VEVENT") == 1
    assert b"METHOD" not in kept.body  # RFC 4791 4.1


def test_moved_and_noted_entries_travel_as_csv() -> None:
    entries = told(ticket("COMMENT:after the fair", due="20270120T191000Z")).entries
    problems = Problems()
    assert entries_from_csv(entries_to_csv(entries), "a.csv", problems) == list(entries)
    assert not problems


def test_the_planner_starts_from_the_day_asked_for() -> None:
    asked = date(2027, 1, 20)
    (moved,) = told(ticket(due="20270120T191000Z")).entries
    (row,) = with_asked_days([ROW], [moved], TODAY)
    assert (row.first, row.last) == (asked, asked)
    assert with_asked_days([ROW], [moved], date(2027, 1, 21)) == [ROW]  # over
    other = replace(ROW, care="dormant_pruning/second round")
    assert with_asked_days([other], [moved], TODAY) == [other]
    undone = Entry(NOW, "j0", "undone", ROW.site, TODAY, undoes=moved.id)
    assert with_asked_days([ROW], [moved, undone], TODAY) == [ROW]


def test_copies_are_kept(tmp_path: Path) -> None:
    copy = TaskCopy("u", "o", "larkfield", "VTODO", "a", '"1"', b"b", "f", ("j1", "j2"))
    with Store.open(tmp_path / "journal.sqlite") as store:
        book = TaskBook(store)
        book.keep([copy])
        book.keep([replace(copy, etag='"2"')])
        assert book.copies("larkfield") == {"u": replace(copy, etag='"2"')}
        assert book.sites() == ("larkfield",)
        book.forget("u")
        assert book.copies("larkfield") == {}
