"""A programme, a folder as the season command writes it, and the real server before it."""

from __future__ import annotations

import http.client
import os
import re
import signal
import socket
import subprocess
import sys
import threading
from dataclasses import dataclass, field
from pathlib import Path
from typing import IO

from click.testing import CliRunner

from orchardcal.commands import orchardcal

FEED = b"BEGIN:VCALENDAR\r\nVERSION:2.0\r\nPRODID:-//test//test//EN\r\nEND:VCALENDAR\r\n"
PROGRAMME = """name = "Invented Orchards"
[people.ada]
name = "Ada <b>Quill</b>"
[people.bo]
name = "Bo"
"""


@dataclass
class Reply:
    """What came back. headers: by names in small letters."""

    status: int
    headers: dict[str, str]
    body: bytes


@dataclass
class Running:
    """The server as a process of its own."""

    folder: Path
    out: Path
    port: int
    process: subprocess.Popen[str]
    said: list[str] = field(default_factory=list)
    listeners: list[threading.Thread] = field(default_factory=list)

    def get(self, path: str, method: str = "GET", **headers: str) -> Reply:
        line = http.client.HTTPConnection("127.0.0.1", self.port, timeout=10)
        try:
            line.request(method, path, headers={k.replace("_", "-"): v for k, v in headers.items()})
            found = line.getresponse()
            heads = {name.lower(): value for name, value in found.getheaders()}
            return Reply(found.status, heads, found.read())
        finally:
            line.close()

    def raw(self, sent: bytes) -> bytes:
        """Everything the server says to these bytes, until it closes or falls silent."""
        with socket.create_connection(("127.0.0.1", self.port), timeout=5) as line:
            line.sendall(sent)
            heard = b""
            try:
                while more := line.recv(65536):
                    heard += more
            except (TimeoutError, ConnectionResetError):
                pass
            return heard

    def address(self, person: str, feed: str) -> str:
        """The path of a new private address."""
        made = run("access", "-C", str(self.folder), "--new", person, "--feed", feed)
        found = re.search(r"/p/\S+", made)
        assert found is not None, made
        return found[0]

    def ended(self) -> str:
        """Ends the server; everything it said."""
        self.process.send_signal(signal.SIGTERM)
        self.process.wait(timeout=20)
        for listener in self.listeners:
            listener.join(timeout=20)
        return "".join(self.said)


def run(*words: str) -> str:
    """What a command says; it must succeed."""
    ended = CliRunner().invoke(orchardcal, list(words))
    assert ended.exit_code == 0, ended.output
    return str(ended.output)


def programme(at: Path) -> Path:
    """A folder with two people and one site, as far as addresses need it."""
    (at / "millbrook").mkdir(parents=True)
    (at / "programme.toml").write_text(PROGRAMME)
    (at / "millbrook" / "site.toml").write_text('name = "Millbrook"\nlatitude = 44.0\n')
    return at


def written(out: Path) -> Path:
    """A folder as the season command leaves it, and what must never be served beside it."""
    (out / "sites").mkdir(parents=True)
    (out / "staff.ics").write_bytes(FEED.replace(b"test//EN", b"staff//EN"))
    (out / "sites" / "millbrook.ics").write_bytes(FEED)
    (out / "index.html").write_text("<!doctype html><title>Season</title></html>\n")
    (out / ".staff.ics.half").write_bytes(FEED)
    (out / "notes.txt").write_text("not for the web")
    (out.parent / "secret.ics").write_bytes(FEED)
    (out / "sites" / "way-out.ics").symlink_to(out.parent / "secret.ics")
    return out


def started(folder: Path, out: Path, *options: str) -> Running:
    process = subprocess.Popen(
        [
            *(sys.executable, "-m", "orchardcal"),
            *("serve", str(out), "-C", str(folder), "--port", "0", *options),
        ],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        env={**os.environ, "PYTHONUNBUFFERED": "1", "PYTHONPATH": os.pathsep.join(sys.path)},
    )
    assert process.stdout is not None
    first = process.stdout.readline()
    found = re.search(r":(\d+)/", first)
    if found is None:
        raise AssertionError(first + str(process.communicate(timeout=10)))
    running = Running(folder, out, int(found[1]), process, [first])
    for stream in (process.stdout, process.stderr):  # read on, or a full pipe would stop it
        listener = threading.Thread(target=_listen, args=(stream, running.said))
        listener.start()
        running.listeners.append(listener)
    return running


def _listen(stream: IO[str] | None, said: list[str]) -> None:
    assert stream is not None
    with stream:
        said.extend(stream)
