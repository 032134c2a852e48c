"""Work handed out and read back by two real calendar servers, Radicale and xandikos."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, date, datetime, time, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest

from orchardcal.journal.store import STORE_NAME
from orchardcal.outputs.caldav_tasks import task_uid
from tests.caldav.exchange_of_test import CHECK_UID, LATER, WORK, Exchange, programme
from tests.caldav.servers import Phone, missing
from tests.outputs.invented_plan import (
    PAINT,
    PAINT_UID,
    PRUNE_UID,
    SPRAY_UID,
    with_job,
    without_job,
)

# The caldav library itself still calls names it has renamed.
pytestmark = [pytest.mark.slow, pytest.mark.filterwarnings("ignore::DeprecationWarning")]
DENVER = ZoneInfo("America/Denver")
TICKED = datetime(2027, 1, 9, 19, 30, tzinfo=DENVER)  # in UTC already the 10th


@pytest.fixture
def shared(calendar_server: str, tmp_path: Path) -> Exchange:
    """A programme whose work is on the server."""
    try:
        import caldav  # noqa: F401
    except ImportError:
        missing("the extra orchardcal[caldav] is not installed")
    exchange = programme(tmp_path / "programme", calendar_server)
    exchange.publish(WORK)
    assert "8 written, 0 unchanged" in exchange.tasks("--push")
    return exchange


@pytest.fixture
def phone(shared: Exchange, calendar_server: str) -> Iterator[Phone]:
    held = Phone(calendar_server, "larkfield")
    yield held
    held.close()


def test_work_is_handed_out_once(shared: Exchange, phone: Phone) -> None:
    """RFC 4791 4.1: one UID in a resource; RFC 5545 3.6.2 and 3.8.2.3: DUE after DTSTART."""
    assert "0 written, 8 unchanged" in shared.tasks("--push")
    assert "0 recorded, 8 unchanged" in shared.tasks("--pull")
    assert "0 written, 8 unchanged" in shared.tasks("--push")
    events = {str(one.icalendar_component["UID"]) for one in phone.events()}
    jobs = {PRUNE_UID, PAINT_UID, SPRAY_UID, CHECK_UID}
    assert events == jobs  # the same UIDs as in the feeds
    tasks = {str(one.icalendar_component["UID"]): one.icalendar_component for one in phone.tasks()}
    assert set(tasks) == {task_uid(uid) for uid in jobs}
    prune = tasks[task_uid(PRUNE_UID)]
    assert prune["STATUS"] == "NEEDS-ACTION"
    assert prune.decoded("DTSTART") == datetime(2027, 1, 9, 9, 30, tzinfo=DENVER)
    assert prune.decoded("DUE") == datetime(2027, 1, 9, 12, 10, tzinfo=DENVER)
    assert "Head the laterals" in prune["DESCRIPTION"]
    assert shared.entries() == ()


def test_only_what_changed_is_written(shared: Exchange, phone: Phone) -> None:
    shared.publish(with_job(WORK, replace(PAINT, day=date(2027, 1, 17))))
    assert "2 written, 6 unchanged" in shared.tasks("--push")
    assert phone.task("Whitewash").icalendar_component.decoded("DUE").date() == date(2027, 1, 17)
    assert phone.task("Whitewash").icalendar_component["SEQUENCE"] == 1
    shared.publish(without_job(with_job(WORK, replace(PAINT, day=date(2027, 1, 17))), SPRAY_UID))
    shared.tasks("--push")
    assert phone.task("Cancelled").icalendar_component["STATUS"] == "CANCELLED"


def test_a_tick_is_work_done_on_the_day_of_the_site(shared: Exchange, phone: Phone) -> None:
    """RFC 5545 3.8.2.1: COMPLETED is in UTC; the journal's day is the site's."""
    phone.tick(phone.task("Dormant pruning"), TICKED)
    said = shared.tasks("--pull")
    assert "dormant pruning done" in said
    (entry,) = shared.entries()
    assert (entry.kind, entry.care, entry.site) == ("done", "dormant_pruning", "larkfield")
    assert (entry.day, entry.season, entry.plantings) == (date(2027, 1, 9), 2027, ("A1", "B2"))
    assert "0 recorded, 8 unchanged" in shared.tasks("--pull")
    assert shared.entries() == (entry,)
    assert "0 written, 8 unchanged" in shared.tasks("--push")  # and the tick stays
    assert phone.task("Dormant pruning").icalendar_component["STATUS"] == "COMPLETED"


def test_a_percentage_is_no_tick(shared: Exchange, phone: Phone) -> None:
    """RFC 5545 3.8.1.8 does not say that 100 is done; STATUS and COMPLETED do."""
    phone.change(phone.task("Dormant pruning"), percent_complete=100)
    assert "0 recorded" in shared.tasks("--pull")
    phone.change(phone.task("Whitewash"), completed=datetime(2027, 1, 10, 12, tzinfo=UTC))
    shared.tasks("--pull")
    assert [(one.kind, one.care) for one in shared.entries()] == [("done", "whitewash_painting")]


def test_a_tick_taken_away_is_taken_back(shared: Exchange, phone: Phone) -> None:
    phone.tick(phone.task("Dormant pruning"), TICKED)
    shared.tasks("--pull")
    phone.change(
        phone.task("Dormant pruning"), status="NEEDS-ACTION", completed=None, percent_complete=0
    )
    shared.tasks("--pull")
    done, undone = shared.entries()
    assert (undone.kind, undone.undoes) == ("undone", done.id)
    phone.tick(phone.task("Dormant pruning"), TICKED)
    shared.tasks("--pull")
    assert [one.kind for one in shared.entries()] == ["done", "undone", "done"]


@pytest.mark.parametrize("moved", ["task", "event"])
def test_another_day_is_asked_for(shared: Exchange, phone: Phone, moved: str) -> None:
    start = datetime.combine(date(2027, 1, 23), time(9, 30), DENVER)
    if moved == "task":
        phone.change(phone.task("Dormant pruning"), due=start + timedelta(hours=2))
    else:
        phone.change(
            phone.event("Dormant pruning"), dtstart=start, dtend=start + timedelta(hours=2)
        )
    assert "23 Jan 2027 asked for" in shared.tasks("--pull", as_of=date(2027, 1, 5))
    (entry,) = shared.entries()
    assert (entry.kind, entry.care, entry.until) == ("moved", "dormant_pruning", date(2027, 1, 23))
    # The plan keeps its day: that is written there again.
    shared.tasks("--push")
    assert phone.task("Dormant pruning").icalendar_component.decoded("DUE").date() == date(
        2027, 1, 9
    )


def test_comments_are_noted(shared: Exchange, phone: Phone) -> None:
    task = phone.task("Dormant pruning")
    text = str(task.icalendar_component["DESCRIPTION"])
    phone.change(task, description=f"{text}\n\nThe gate was locked; key is with Ana")
    phone.change(phone.task("Whitewash"), comment="Paint is used up")
    shared.tasks("--pull")
    assert sorted((one.kind, one.note) for one in shared.entries()) == [
        ("noted", "Paint is used up"),
        ("noted", "The gate was locked; key is with Ana"),
    ]
    assert "0 recorded" in shared.tasks("--pull")
    shared.publish(with_job(WORK, replace(PAINT, day=date(2027, 1, 17))))
    shared.tasks("--push")  # our words change, the comment of others stays
    assert "Paint is used up" in phone.task("Whitewash").data


def test_a_tick_is_no_answer_to_the_dormancy_check(shared: Exchange, phone: Phone) -> None:
    phone.tick(phone.task("Look at buds"), datetime(2026, 12, 12, 12, tzinfo=UTC))
    said = shared.tasks("--pull")
    assert "not what was seen" in said
    assert shared.entries() == ()
    shared.tasks("--push")
    assert phone.task("Look at buds").icalendar_component["STATUS"] == "NEEDS-ACTION"
    phone.change(phone.task("Look at buds"), comment="Dormant", status="COMPLETED")
    shared.tasks("--pull")
    (entry,) = shared.entries()
    assert (entry.kind, entry.care, entry.seen) == ("seen", "dormancy_check", "dormant")


def test_deleting_a_task_deletes_no_work(shared: Exchange, phone: Phone) -> None:
    phone.task("Dormant pruning").delete()
    assert "the work stays" in shared.tasks("--pull")
    assert shared.entries() == ()
    assert "1 written, 7 unchanged" in shared.tasks("--push")
    assert phone.task("Dormant pruning").icalendar_component["STATUS"] == "NEEDS-ACTION"


def test_nothing_unread_is_overwritten(shared: Exchange, phone: Phone) -> None:
    """Changed on both sides: the tick is a fact and counts, the plan's new day is not lost."""
    phone.tick(phone.task("Whitewash"), TICKED)
    shared.publish(with_job(WORK, replace(PAINT, day=date(2027, 1, 17))))
    assert "not read yet" in shared.tasks("--push")
    assert phone.task("Whitewash").icalendar_component["STATUS"] == "COMPLETED"
    shared.tasks("--pull")
    assert [(one.kind, one.care) for one in shared.entries()] == [("done", "whitewash_painting")]


def test_a_day_moved_on_both_sides_is_the_plans(shared: Exchange, phone: Phone) -> None:
    phone.change(phone.task("Whitewash"), due=datetime(2027, 1, 30, 11, tzinfo=DENVER))
    shared.publish(with_job(WORK, replace(PAINT, day=date(2027, 1, 17))))
    said = shared.tasks("--pull")
    assert "the plan's day stands" in said
    assert [(one.kind, one.note) for one in shared.entries()] == [("noted", "asked for 2027-01-30")]
    shared.tasks("--push")
    assert phone.task("Whitewash").icalendar_component.decoded("DUE").date() == date(2027, 1, 17)


def test_a_new_store_finds_what_it_wrote_before(shared: Exchange, phone: Phone) -> None:
    """The journal's store is lost, the server's tasks are not, nor is the tick on one of them."""
    phone.tick(phone.task("Dormant pruning"), TICKED)
    for path in shared.folder.glob(f"{STORE_NAME}*"):
        path.unlink()
    shared.publish(WORK)
    assert "0 written" in shared.tasks("--push")
    shared.tasks("--pull")
    assert [(one.kind, one.care) for one in shared.entries()] == [("done", "dormant_pruning")]
    assert len(phone.tasks()) == 4


def test_what_cannot_be_read_is_passed_over(shared: Exchange, phone: Phone) -> None:
    task = phone.task("Dormant pruning")
    other = task.data.replace(str(task.icalendar_component["UID"]), "somebody-elses")
    task.delete()
    phone.calendar.save_todo(other)
    phone.tick(phone.task("Whitewash"), TICKED)
    shared.tasks("--pull")
    assert [one.care for one in shared.entries()] == ["whitewash_painting"]
    shared.tasks("--push")
    assert len(phone.tasks()) == 5  # what is not ours is left alone


@pytest.mark.parametrize("calendar_server", ["radicale"], indirect=True)
def test_a_wrong_password_is_one_message(
    shared: Exchange, calendar_server: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("ORCHARDCAL_TASKS_PASSWORD", "not-the-one")
    said = shared.tasks("--push", code=4)
    assert "not-the-one" not in said
    assert "Traceback" not in said


def test_work_out_of_the_feeds_leaves_the_server(shared: Exchange, phone: Phone) -> None:
    gone = LATER + timedelta(days=400)
    shared.publish(replace(WORK, sites=(replace(WORK.sites[0], jobs=(), windows=()),)))
    empty = replace(WORK, as_of=gone, sites=(replace(WORK.sites[0], jobs=(), windows=()),))
    shared.publish(empty)
    assert "8 taken away" in shared.tasks("--push", as_of=gone)
    assert phone.tasks() == []
    assert phone.events() == []
