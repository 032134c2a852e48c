"""Real subscribers at a private address of the real server: vdirsyncer with khal, and calcurse.

Every morning of a year at nine, over both clock changes; then a visit moved, one cancelled, and
the address revoked.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import date, time, timedelta
from pathlib import Path

import pytest

from orchardcal.outputs.feed import feeds, published
from orchardcal.outputs.speech import Speech
from orchardcal.plan.plan import Plan
from orchardcal.season import Span
from tests.clients.programs import ran
from tests.clients.test_subscribers import Subscriber
from tests.outputs.invented_plan import LARKFIELD, PLAN, PRUNE
from tests.serve.served_folder_of_test import Running, programme, run, started, written

pytestmark = pytest.mark.slow
SPEECH = Speech()
FIRST, WEEKS = date(2027, 1, 9), 51
MOVED_FROM, MOVED_TO, CANCELLED = date(2027, 3, 13), date(2027, 3, 15), date(2027, 11, 6)


def mornings() -> Plan:
    """A visit each Saturday at nine; clocks in Denver change on 14 March and 7 November 2027."""
    jobs = tuple(
        replace(
            PRUNE,
            uid=f"6f1c2a54-7d0b-5b6e-9f0e-{number:012}",
            day=day,
            start=time(9),
            end=time(11),
            window=Span(day, day),
        )
        for number in range(WEEKS)
        for day in [FIRST + timedelta(days=7 * number)]
    )
    return replace(PLAN, sites=(replace(LARKFIELD, jobs=jobs, windows=()),))


@pytest.fixture
def server(tmp_path: Path) -> Iterator[Running]:
    running = started(programme(tmp_path / "programme"), written(tmp_path / "out"))
    yield running
    running.ended()


class SubscriberForAYear(Subscriber):
    def year(self) -> list[str]:
        """Day, time and status of every event khal lists in 2027."""
        form = "{start-date} {start-time} {status}"
        words = ("khal", "-c", str(self._khal_config), "list", "--format", form)
        said = self._run(*words, "--day-format", "", "2027-01-01", "364d")
        return [line.strip() for line in said.splitlines() if line.strip()]


def test_every_visit_at_its_local_time_moved_cancelled_and_revoked(
    subscribers: Path, calcurse: str, server: Running, tmp_path: Path
) -> None:
    address = server.address("ada", "staff")
    plan = mornings()
    rows = published(plan, (), SPEECH)
    (server.out / "staff.ics").write_bytes(feeds(plan, rows, SPEECH)["staff.ics"])
    folder = tmp_path / "subscriber"
    folder.mkdir()
    subscriber = SubscriberForAYear(subscribers, folder, f"http://127.0.0.1:{server.port}{address}")
    subscriber.sync()
    days = [job.day for job in plan.jobs]
    assert subscriber.year() == [f"{day} 09:00 CONFIRMED" for day in days]
    assert _calcurse(calcurse, server, address, tmp_path / "first") == days

    assert "Copying" not in subscriber.sync()

    site = plan.sites[0]
    jobs = [replace(job, day=MOVED_TO) if job.day == MOVED_FROM else job for job in site.jobs]
    left = tuple(job for job in jobs if job.day != CANCELLED)
    later = replace(plan, as_of=plan.as_of + timedelta(days=1), sites=(replace(site, jobs=left),))
    rows = published(later, rows, SPEECH)
    (server.out / "staff.ics").write_bytes(feeds(later, rows, SPEECH)["staff.ics"])
    subscriber.sync()
    expected = [
        f"{MOVED_TO if day == MOVED_FROM else day} 09:00"
        f" {'CANCELLED' if day == CANCELLED else 'CONFIRMED'}"
        for day in days
    ]
    assert subscriber.year() == expected
    moved = [MOVED_TO if day == MOVED_FROM else day for day in days]
    assert _calcurse(calcurse, server, address, tmp_path / "second") == moved

    run("access", "-C", str(server.folder), "--revoke", address.split("/")[2].partition("-")[0])
    assert server.get(address).status == 404
    assert len(subscriber.contents()) == WEEKS  # what was fetched stays with its reader


def _calcurse(program: str, server: Running, address: str, folder: Path) -> list[date]:
    """The days on which calcurse has a visit from 09:00 to 11:00, from what the server sent."""
    folder.mkdir()
    feed = folder / "fetched.ics"
    feed.write_bytes(server.get(address).body)
    surroundings = {"TZ": "America/Denver", "HOME": str(folder), "LANG": "C.UTF-8"}
    imported = ran(program, "-D", folder / "own", "-i", feed, env=surroundings)
    assert imported.returncode == 0, imported.stderr
    found = []
    for number in range(365):
        day = date(2027, 1, 1) + timedelta(days=number)
        if day.weekday() not in (0, 5):
            continue
        said = ran(
            *(program, "-D", folder / "own", "-Q", "--from", f"{day:%m/%d/%Y}", "--days", "1"),
            env=surroundings,
        ).stdout
        found += [day] * said.count("09:00 -> 11:00")
    return found
