"""What a stranger may try against the running server, on loopback, each try bounded."""

from __future__ import annotations

import re
import resource
import secrets
import socket
import time
from contextlib import suppress
from pathlib import Path

import pytest

from orchardcal.journal.access import token
from tests.serve.served_folder_of_test import FEED, Running

CLIMBING = [
    "/../secret.ics",
    "/sites/../../secret.ics",
    "/%2e%2e/secret.ics",
    "/%2e%2e%2fsecret.ics",
    "/..%2fsecret.ics",
    "/%252e%252e%252fsecret.ics",
    "/..%5csecret.ics",
    "/sites/..%c0%afsecret.ics",
    "/sites/%2e%2e/%2e%2e/secret.ics",
    "/.%00./secret.ics",
    "/staff.ics%00.html",
    "//secret.ics",
    "///etc/passwd",
    "/sites//millbrook.ics",
    "/./staff.ics",
    "/sites/way-out.ics",  # a link that leads out of the folder
    "/.staff.ics.half",  # a file set aside while it is written
    "/notes.txt",
    "/sites",
    "/staff.ics/",
    "/staff.ics%20",
    "/staff.ics.",
    "/STAFF.ICS::$DATA",
    "/p",
    "/p/",
    "/p//staff.ics",
    "/p/../staff.ics",
    "/p/%2e%2e/staff.ics",
]


@pytest.mark.parametrize("path", CLIMBING)
def test_no_path_leaves_the_folder(public: Running, path: str) -> None:
    """RFC 3986 6.2.2.3 and 7.3: dot segments and encodings, as they come and not tidied."""
    heard = public.raw(f"GET {path} HTTP/1.1\r\nHost: a\r\nConnection: close\r\n\r\n".encode())
    assert re.match(rb"HTTP/1\.[01] (404|400|503) ", heard), heard[:80]
    assert b"BEGIN:VCALENDAR" not in heard
    assert b"root:" not in heard


@pytest.mark.parametrize("length", [1_000, 10_000, 100_000, 1_000_000])
def test_overlong_paths(public: Running, length: int) -> None:
    heard = public.raw(b"GET /" + length * b"a" + b".ics HTTP/1.1\r\nConnection: close\r\n\r\n")
    assert heard == b"" or re.match(rb"HTTP/1\.[01] (404|400|414|431) ", heard), heard[:80]
    assert public.get("/staff.ics").status == 200


@pytest.mark.parametrize(
    "sent",
    [
        b"\r\n\r\n",
        b"GET\r\n\r\n",
        b"GET /staff.ics\r\n\r\n",
        b"GET /staff.ics HTTP/9.9\r\n\r\n",
        b"GET /staff.ics HTTP/1.1\r\nno colon here\r\n\r\n",
        b"GET /staff.ics HTTP/1.1\r\n : empty name\r\n\r\n",
        b"GET /staff.ics HTTP/1.1\r\nHost: a\r\nContent-Length: -5\r\n\r\n",
        b"GET /staff.ics HTTP/1.1\r\nHost: a\r\nContent-Length: 5\r\nTransfer-Encoding: chunked"
        b"\r\n\r\n0\r\n\r\nGET /secret.ics HTTP/1.1\r\n\r\n",
        b"GET /staff.ics HTTP/1.1\r\nHost: a\r\nTransfer-Encoding: identity, chunked\r\n\r\nzz",
        b"GET /staff.ics HTTP/1.1\nHost: a\n\n",
        b"GET /staff.ics HTTP/1.1\r\nX: " + 60_000 * b"y" + b"\r\n\r\n",
        b"GET /staff.ics HTTP/1.1\r\n" + 3_000 * b"X: y\r\n" + b"\r\n",
        b"\x16\x03\x01\x02\x00\x01\x00\x01\xfc\x03\x03" + 64 * b"\x00" + b"\r\n\r\n",
        b"\x00\xff" * 500 + b"\r\n\r\n",
        "GET /stäff.ics HTTP/1.1\r\nHost: ä\r\n\r\n".encode(),
    ],
)
def test_malformed_requests(public: Running, sent: bytes) -> None:
    """RFC 9112 2.2 and 3: what cannot be read is answered with 400 or hung up on."""
    heard = b""
    with (
        socket.create_connection(("127.0.0.1", public.port), timeout=5) as line,
        suppress(ConnectionError, OSError),  # it may hang up at any point
    ):
        line.sendall(sent)
        line.shutdown(socket.SHUT_WR)
        while more := line.recv(65536):
            heard += more
    assert b"Traceback" not in heard
    assert b"secret" not in heard
    assert public.get("/staff.ics").status == 200


@pytest.mark.parametrize(
    ("name", "value"),
    [
        ("If-None-Match", 4_000 * '"a",'),
        ("If-None-Match", '"' + 15_000 * "a"),
        ("If-Modified-Since", 3_000 * "Sun, "),
        ("If-Match", 15_000 * "\\"),
        ("Range", "bytes=0-0,1-1,2-2"),
        ("X-Forwarded-For", "127.0.0.1"),
        ("X-Forwarded-Host", "evil.example"),
    ],
)
def test_odd_header_values_cost_no_time(public: Running, name: str, value: str) -> None:
    began_s = time.monotonic()
    got = public.get("/staff.ics", **{name.replace("-", "_"): value})
    assert got.status in (200, 412, 431)
    assert b"evil" not in got.body
    assert time.monotonic() - began_s < 1


def test_guessed_addresses_change_nothing_but_the_count(server: Running) -> None:
    _guess(server, 300)


@pytest.mark.slow
def test_ten_thousand_guessed_addresses(server: Running) -> None:
    _guess(server, 10_000)


def _guess(server: Running, times: int) -> None:
    """Made-up secrets for a made-up and for a real id: 404, the same answer, and still served."""
    address = server.address("ada", "staff")
    before = {path.name: path.stat().st_mtime_ns for path in server.folder.iterdir()}
    real_id = address.split("/")[2].partition("-")[0]
    answers = set()
    for number in range(times):
        made_up = token(real_id if number % 2 else "zzzzzzzz", secrets.token_bytes(32))
        got = server.get(f"/p/{made_up}/staff.ics")
        answers.add((got.status, got.body, got.headers["cache-control"]))
    assert answers == {(404, b"Not Found\n", "private, no-cache")}
    assert server.get(address).status == 200
    assert server.get(address.replace("/staff", "x/staff")).status == 404
    assert {path.name: path.stat().st_mtime_ns for path in server.folder.iterdir()} == before
    assert f"{times + 1} × 404" in server.ended()


def test_slow_clients_keep_nobody_waiting(public: Running) -> None:
    """A hundred connections that each hold back the rest of their request."""
    lines = [socket.create_connection(("127.0.0.1", public.port), timeout=5) for _ in range(100)]
    try:
        for line in lines:
            line.sendall(b"GET /staff.ics HTTP/1.1\r\nHost: a\r\nX-Slow: ")
        began_s = time.monotonic()
        for _ in range(20):
            assert public.get("/staff.ics").status == 200
        assert time.monotonic() - began_s < 5
    finally:
        for line in lines:
            line.close()


def test_a_reader_that_takes_nothing_keeps_nobody_waiting(public: Running) -> None:
    large = FEED.replace(b"END:V", b"X-LONG:" + 5_000_000 * b"a" + b"\r\nEND:V")
    (public.out / "large.ics").write_bytes(large)
    lines = [socket.create_connection(("127.0.0.1", public.port), timeout=5) for _ in range(20)]
    try:
        for line in lines:
            line.sendall(b"GET /large.ics HTTP/1.1\r\nHost: a\r\n\r\n")
        time.sleep(0.3)
        began_s = time.monotonic()
        assert public.get("/staff.ics").status == 200
        assert time.monotonic() - began_s < 3
    finally:
        for line in lines:
            line.close()


@pytest.mark.slow
def test_a_request_that_trickles_in_is_cut_off(public: Running) -> None:
    with socket.create_connection(("127.0.0.1", public.port), timeout=5) as line:
        line.sendall(b"GET /staff.ics HTTP/1.1\r\nHost: a\r\nX-Slow: ")
        began_s = time.monotonic()
        with suppress(ConnectionError):
            while time.monotonic() - began_s < 40:
                line.sendall(b"a")
                time.sleep(1)
        assert time.monotonic() - began_s < 25  # cut off, not let to trickle on


@pytest.mark.slow
def test_ten_thousand_connections_opened_and_closed(public: Running) -> None:
    public.get("/staff.ics")
    before_kb = _memory_kb(public.process.pid)
    for _ in range(10_000):
        socket.create_connection(("127.0.0.1", public.port), timeout=10).close()
    assert public.get("/staff.ics").status == 200
    time.sleep(1)
    assert len(list(Path(f"/proc/{public.process.pid}/fd").iterdir())) < 60
    assert _memory_kb(public.process.pid) - before_kb < 20_000


@pytest.mark.slow
def test_more_silent_connections_than_it_takes_are_let_go(public: Running) -> None:
    soft, _ = resource.getrlimit(resource.RLIMIT_NOFILE)
    if soft < 1_000:
        pytest.skip(f"only {soft} files may be open here")
    lines = []
    try:
        for _ in range(850):
            lines.append(socket.create_connection(("127.0.0.1", public.port), timeout=5))
        deadline_s = time.monotonic() + 60
        status = 0
        while time.monotonic() < deadline_s and status != 200:
            try:
                status = public.get("/staff.ics").status
            except OSError:
                time.sleep(1)
        assert status == 200
    finally:
        for line in lines:
            line.close()


def _memory_kb(process: int) -> int:
    text = Path(f"/proc/{process}/status").read_text()
    found = re.search(r"VmRSS:\s+(\d+) kB", text)
    assert found is not None
    return int(found[1])
