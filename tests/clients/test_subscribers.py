"""A real subscriber: vdirsyncer fetches a feed over HTTP from loopback and khal lists it."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path

import pytest

from orchardcal.journal.published import Published
from orchardcal.outputs.feed import feeds, published
from orchardcal.outputs.speech import Speech
from orchardcal.plan.plan import Plan
from tests.clients.programs import Served, ran
from tests.outputs.invented_plan import AS_OF, PAINT, PLAN, SPRAY_UID, with_job, without_job

pytestmark = pytest.mark.slow
SPEECH = Speech()
SITE = "– Larkfield School"


class Subscriber:
    """A folder that vdirsyncer keeps in step with one address, and khal's view of it."""

    def __init__(self, programs: Path, folder: Path, address: str) -> None:
        self._programs = programs
        self.items = folder / "items"
        self.items.mkdir()
        self._sync_config = folder / "vdirsyncer.conf"
        self._sync_config.write_text(
            f"""[general]
status_path = "{folder}/status"
[pair feed]
a = "here"
b = "there"
collections = null
conflict_resolution = "b wins"
[storage here]
type = "filesystem"
path = "{self.items}"
fileext = ".ics"
[storage there]
type = "http"
url = "{address}"
"""
        )
        self._khal_config = folder / "khal.conf"
        self._khal_config.write_text(
            f"""[calendars]
[[feed]]
path = {self.items}
readonly = True
[sqlite]
path = {folder}/khal.db
[locale]
timeformat = %H:%M
dateformat = %Y-%m-%d
longdateformat = %Y-%m-%d
datetimeformat = %Y-%m-%d %H:%M
longdatetimeformat = %Y-%m-%d %H:%M
local_timezone = America/Denver
default_timezone = America/Denver
"""
        )
        self._surroundings = {
            "HOME": str(folder),
            "PATH": f"{programs}:/usr/bin:/bin",
            "LANG": "C.UTF-8",
            "VDIRSYNCER_CONFIG": str(self._sync_config),
        }

    def sync(self) -> str:
        """Fetch; what vdirsyncer says it did."""
        if not (self._sync_config.parent / "status").exists():
            self._run("vdirsyncer", "discover")
        return self._run("vdirsyncer", "sync")

    def listed(self) -> list[str]:
        """khal's list of January 2027, all-day events once a day."""
        form = "{start-date} {start-time} {status}{title}"
        said = self._run(
            *("khal", "-c", str(self._khal_config), "list", "--format", form),
            *("--day-format", "", "2027-01-01", "31d"),
        )
        return [line.strip() for line in said.splitlines() if line.strip()]

    def contents(self) -> dict[str, int]:
        """Each item's file with the moment it was last written."""
        return {path.name: path.stat().st_mtime_ns for path in self.items.iterdir()}

    def _run(self, program: str, *words: str) -> str:
        done = ran(self._programs / program, *words, env=self._surroundings, input="y\n" * 9)
        assert done.returncode == 0, done.stdout + done.stderr
        return done.stdout + done.stderr


def publish(
    served: Served, plan: Plan, before: tuple[Published, ...] = ()
) -> tuple[Published, ...]:
    rows = published(plan, before, SPEECH)
    feed = feeds(plan, rows, SPEECH)["sites/larkfield.ics"]
    (served.folder / "larkfield.ics").write_bytes(feed)
    return rows


@pytest.fixture
def subscriber(subscribers: Path, served: Served, tmp_path: Path) -> Subscriber:
    folder = tmp_path / "subscriber"
    folder.mkdir()
    return Subscriber(subscribers, folder, f"{served.address}/larkfield.ics")


def test_a_subscriber_sees_a_move_a_cancellation_and_nothing_twice(
    served: Served, subscriber: Subscriber
) -> None:
    rows = publish(served, PLAN)
    assert subscriber.sync().count("Copying") == 4
    prune = f"2027-01-09 09:30 CONFIRMED Dormant pruning: 4 apples and 2 pears {SITE}"
    window = 5 * ["2027-01-18"]  # 18 to 22 January: a line a day, each with the first
    assert _timed(subscriber.listed()) == [
        prune,
        f"2027-01-16 10:00 CONFIRMED Whitewash painting: 4 apples {SITE}",
        f"2027-01-23 10:00 CONFIRMED Dormant oil spray: 4 apples {SITE}",
    ]
    assert _all_day(subscriber.listed()) == window
    assert len(subscriber.contents()) == 4
    first = subscriber.contents()

    publish(served, replace(PLAN, as_of=AS_OF + timedelta(days=1)), rows)
    assert "Copying" not in subscriber.sync()
    assert subscriber.contents() == first

    moved = with_job(PLAN, replace(PAINT, day=date(2027, 1, 17)))
    later = replace(without_job(moved, SPRAY_UID), as_of=AS_OF + timedelta(days=2))
    rows = publish(served, later, rows)
    subscriber.sync()
    assert _timed(subscriber.listed()) == [
        prune,
        f"2027-01-17 10:00 CONFIRMED Whitewash painting: 4 apples {SITE}",
        f"2027-01-23 10:00 CANCELLED Cancelled: Dormant oil spray: 4 apples {SITE}",
    ]
    second = subscriber.contents()
    assert len(second) == 4
    assert len(set(second.items()) & set(first.items())) == 2  # not fetched again
    assert _all_day(subscriber.listed()) == window

    much_later = replace(later, as_of=later.as_of + timedelta(days=31))
    rows = publish(served, much_later, rows)
    subscriber.sync()
    assert _timed(subscriber.listed()) == [
        prune,
        f"2027-01-17 10:00 CONFIRMED Whitewash painting: 4 apples {SITE}",
    ]
    assert len(subscriber.contents()) == 3


def _timed(lines: list[str]) -> list[str]:
    return [line for line in lines if "Oil may" not in line]


def _all_day(lines: list[str]) -> list[str]:
    """The first day of the window, once for each day on which it is listed."""
    return [line.split()[0] for line in lines if "Oil may" in line]
