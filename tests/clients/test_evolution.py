"""Evolution Data Server, the calendar store of the GNOME desktop, subscribes to the staff feed.

It runs without a display or a keyring in a D-Bus session of its own and fetches the demo's feed
over HTTP from loopback. What it lists is held against the plan by Python's zoneinfo. For a TZID
that libical knows it goes by libical's own rules, not by the feed's VTIMEZONE (tried with 3.46.4).
"""

from __future__ import annotations

import json
import shutil
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit
from zoneinfo import ZoneInfo

import pytest

from orchardcal.commands import recording
from tests.clients.programs import Served, missing, ran
from tests.commands.running import run
from tests.invented import DEMO

pytestmark = pytest.mark.slow
AS_OF = date(2026, 11, 25)
PYTHON = "/usr/bin/python3"  # Debian's, which sees Debian's python3-gi
LISTED_BY = Path(__file__).with_name("evolution_events.py")
LIMIT_SECONDS = "90"
LOOK = "Look at cuts"  # nothing else waits for it, so one visit alone moves or is cancelled
TO_MOVE, TO_CANCEL = "bahia-clara", "cedar-bluff"
SOURCE = """[Data Source]
DisplayName=Orchards
Enabled=true
Parent=webcal-stub
[Calendar]
BackendName=webcal
[Authentication]
Host={address.hostname}
Port={address.port}
Method=none
[Security]
Method=none
[WebDAV Backend]
ResourcePath={address.path}
[Offline]
StaySynchronized=true
[Refresh]
Enabled=false
"""


@dataclass(frozen=True, order=True)
class Listed:
    """An event; first and end are days of an all-day event, else instants in UTC (ISO 8601).

    Of a window the title is the care alone: the plan as JSON has no more words for it.
    """

    uid: str
    first: str
    end: str
    status: str
    sequence: int
    title: str


class Evolution:
    """A user's calendar store with one subscription; it keeps its cache from look to look."""

    def __init__(self, home: Path, address: str) -> None:
        sources = home / ".config" / "evolution" / "sources"
        sources.mkdir(parents=True)
        (sources / "orchards.source").write_text(SOURCE.format(address=urlsplit(address)))
        runtime = home / "runtime"
        runtime.mkdir(mode=0o700)
        self._surroundings = {
            "HOME": str(home),
            "XDG_RUNTIME_DIR": str(runtime),
            "PATH": "/usr/bin:/bin",
            "LANG": "C.UTF-8",
            "TZ": "Asia/Tokyo",  # no site's, so that no time is right by chance
            "GSETTINGS_BACKEND": "memory",
            "GIO_USE_VFS": "local",
            "GIO_USE_NETWORK_MONITOR": "base",  # loopback counts as online on any machine
            "GIO_USE_PROXY_RESOLVER": "dummy",
        }

    def listed(self) -> list[Listed]:
        """What it shows after fetching the feed, sorted; its bus ends with it."""
        bus = ("timeout", "--kill-after=5", LIMIT_SECONDS, "dbus-run-session", "--")
        done = ran(*bus, PYTHON, LISTED_BY, "orchards", env=self._surroundings)
        assert done.returncode == 0, done.stderr
        return sorted(_listed(*event) for event in json.loads(done.stdout))


def _listed(uid: str, first: str, end: str, status: str, sequence: int, title: str) -> Listed:
    return Listed(uid, first, end, status, sequence, title if "T" in first else title.split(":")[0])


@pytest.fixture
def evolution(served: Served, tmp_path: Path) -> Evolution:
    if shutil.which("dbus-run-session") is None:
        missing("dbus-run-session is not installed (Debian: dbus-daemon)")
    if not Path("/usr/libexec/evolution-calendar-factory").exists():
        missing("Evolution Data Server is not installed (Debian: evolution-data-server)")
    found = "import gi; gi.require_version('ECal', '2.0')"
    if not Path(PYTHON).exists() or ran(PYTHON, "-c", found).returncode:
        missing("Debian's python3 cannot ask it (Debian: python3-gi gir1.2-ecal-2.0)")
    home = tmp_path / "home"
    home.mkdir()
    return Evolution(home, f"{served.address}/staff.ics")


@pytest.fixture
def programme(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setattr(recording, "today", lambda: AS_OF)
    copied = tmp_path / "programme"
    shutil.copytree(DEMO, copied, ignore=shutil.ignore_patterns("journal.sqlite*"))
    return copied


def published(programme: Path, served: Served) -> list[dict[str, Any]]:
    """The sites of the plan whose feed is now at the address."""
    said = run("season", str(programme), "--out", str(served.folder), "--as-of", str(AS_OF))
    assert said.code == 0, said.err
    sites: list[dict[str, Any]] = json.loads((served.folder / "plan.json").read_text())["sites"]
    return sites


def planned(sites: list[dict[str, Any]]) -> list[Listed]:
    """Visits and windows of a plan as a calendar has to show them, sorted.

    An all-day event ends on the day after its last (RFC 5545 section 3.6.1: DTEND is exclusive).
    """
    events = []
    for site in sites:
        for job in site["jobs"]:
            title = f"{job['title']} – {site['name']}"
            events.append(Listed(job["uid"], *_visit(site, job), "CONFIRMED", 0, title))
        for window in site["windows"]:
            end = date.fromisoformat(window["last"]) + timedelta(days=1)
            span = window["first"], str(end)
            events.append(Listed(window["uid"], *span, "CONFIRMED", 0, window["care"]))
    return sorted(events)


def _visit(site: dict[str, Any], job: dict[str, Any]) -> tuple[str, str]:
    """Start and end of a visit in UTC, from the site's own clock."""
    return _at(site, job["day"], job["start"]), _at(site, job["day"], job["end"])


def _at(site: dict[str, Any], day: str, hour: str) -> str:
    local = datetime.fromisoformat(f"{day}T{hour}").replace(tzinfo=ZoneInfo(site["timezone"]))
    return local.astimezone(UTC).isoformat()


def _on_both_sides_of_a_clock_change(site: dict[str, Any]) -> bool:
    zone = ZoneInfo(site["timezone"])
    offsets = {
        datetime.fromisoformat(job["day"]).replace(tzinfo=zone).utcoffset() for job in site["jobs"]
    }
    return len(offsets) == 2


def _only_look(sites: list[dict[str, Any]], key: str) -> tuple[dict[str, Any], dict[str, Any]]:
    """The site and the one look at cuts it has."""
    (site,) = (site for site in sites if site["key"] == key)
    (job,) = (job for job in site["jobs"] if job["care"] == LOOK)
    return site, job


def test_it_lists_the_plan_then_one_move_and_one_cancellation(
    programme: Path, served: Served, evolution: Evolution
) -> None:
    sites = published(programme, served)
    assert {"cedar-bluff", "huon-reach"} <= {  # one in each hemisphere
        site["key"] for site in sites if _on_both_sides_of_a_clock_change(site)
    }
    first_look = evolution.listed()
    assert first_look == planned(sites)

    to_site, moved = _only_look(sites, TO_MOVE)
    _, cancelled = _only_look(sites, TO_CANCEL)
    wanted = str(date.fromisoformat(moved["day"]) + timedelta(days=7))
    asked = (
        ("move", TO_MOVE, LOOK, "--to", wanted),
        ("skip", TO_CANCEL, LOOK, "--why", "the gate is locked", "--on", str(AS_OF)),
    )
    for words in asked:
        said = run(*words, "--folder", str(programme))
        assert said.code == 0, said.err
    published(programme, served)

    expected = {event.uid: event for event in first_look}
    first, end = _visit(to_site, {**moved, "day": wanted})
    event = expected[moved["uid"]]
    expected[event.uid] = replace(event, first=first, end=end, sequence=1)
    event = expected[cancelled["uid"]]
    title = f"Cancelled: {event.title}"
    expected[event.uid] = replace(event, status="CANCELLED", sequence=1, title=title)
    second_look = evolution.listed()
    revised = {moved["uid"], cancelled["uid"]}
    assert {event.sequence for event in second_look if event.uid in revised} == {1}
    # Another event's revision may count up too, where its text spoke of one of these two.
    assert [replace(event, sequence=0) for event in second_look] == sorted(
        replace(event, sequence=0) for event in expected.values()
    )
