"""How many requests the server answers a second on one core, asked by wrk on loopback."""

from __future__ import annotations

import os
import re
import shutil
import subprocess
from pathlib import Path

import pytest

from tests.serve.served_folder_of_test import FEED, Running, started

pytestmark = pytest.mark.slow
CONNECTIONS, SECONDS = 50, 10
FULL_PER_S, CONDITIONAL_PER_S = 800, 2_000
EVENT = (
    b"BEGIN:VEVENT\r\nUID:%d\r\nDTSTAMP:20270101T000000Z\r\nDTSTART:20270101T090000Z\r\n"
    b"DESCRIPTION:" + 500 * b"x" + b"\r\nEND:VEVENT\r\n"
)


@pytest.fixture
def on_one_core(server: Running) -> Running:
    """The server held to one core, with a feed of 40 events (24 kB), a site's in a season."""
    if shutil.which("wrk") is None or shutil.which("taskset") is None:
        if os.environ.get("ORCHARDCAL_CI"):
            pytest.fail("wrk or taskset is missing (Debian: wrk, util-linux)")
        pytest.skip("wrk or taskset is missing (Debian: wrk, util-linux)")
    events = b"".join(EVENT % number for number in range(40))
    feed = FEED.replace(b"END:VCALENDAR", events + b"END:VCALENDAR")
    (server.out / "staff.ics").write_bytes(feed)
    server.ended()
    running = started(server.folder, server.out)
    subprocess.run(["taskset", "-a", "-cp", "0", str(running.process.pid)], check=True)
    return running


def test_requests_a_second(on_one_core: Running) -> None:
    address = on_one_core.address("ada", "staff")
    first = on_one_core.get(address)
    assert first.status == 200
    before_kb = _memory_kb(on_one_core)
    full = _per_second(on_one_core, address)
    tag = first.headers["etag"]
    conditional = _per_second(on_one_core, address, "-H", f"If-None-Match: {tag}")
    grown_kb = _memory_kb(on_one_core) - before_kb
    said = on_one_core.ended()
    told = f"{full:.0f} full, {conditional:.0f} conditional a second; {grown_kb} kB more memory"
    assert full >= FULL_PER_S, told
    assert conditional >= CONDITIONAL_PER_S, told
    assert grown_kb < 20_000, told
    counts = re.findall(r"(\d+) × (\d+)", said)
    assert {status for _, status in counts} == {"200", "304"}, said


def _per_second(server: Running, path: str, *options: str) -> float:
    """What wrk measured; the statuses are counted by the server itself."""
    ran = subprocess.run(
        [
            *("wrk", "-t1", f"-c{CONNECTIONS}", f"-d{SECONDS}s", *options),
            f"http://127.0.0.1:{server.port}{path}",
        ],
        check=True,
        capture_output=True,
        text=True,
        timeout=60,
    )
    found = re.search(r"Requests/sec:\s+([\d.]+)", ran.stdout)
    assert found is not None, ran.stdout
    return float(found[1])


def _memory_kb(server: Running) -> int:
    text = Path(f"/proc/{server.process.pid}/status").read_text()
    found = re.search(r"VmRSS:\s+(\d+) kB", text)
    assert found is not None
    return int(found[1])
