"""Real calendar servers on loopback, and a calendar program's side of them."""

from __future__ import annotations

import os
import shutil
import socket
import subprocess
import sys
import time
import urllib.error
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, datetime
from pathlib import Path
from typing import Any, NoReturn

import pytest
from icalendar import Calendar

USER, PASSWORD = "lead", "quince-4-pears"


def missing(reason: str) -> NoReturn:
    """Skip, or fail where everything has to be there."""
    if os.environ.get("ORCHARDCAL_CI"):
        pytest.fail(reason)
    pytest.skip(reason)


def environment(tmp: Path) -> Path:
    """The folder of programs of a virtual environment with both servers, fetched if need be."""
    given = os.environ.get("ORCHARDCAL_CALENDAR_SERVERS")
    if given:
        return Path(given)
    made = subprocess.run([sys.executable, "-m", "venv", tmp], check=False, capture_output=True)
    if made.returncode:
        missing("no virtual environment could be made for the calendar servers")
    programs = tmp / ("Scripts" if os.name == "nt" else "bin")
    fetched = subprocess.run(
        [programs / "python", "-m", "pip", "install", "-q", "radicale>=3,<4", "xandikos>=0.4,<1"],
        check=False,
        capture_output=True,
        text=True,
    )
    if fetched.returncode:
        missing(f"pip could not fetch radicale and xandikos: {fetched.stderr[-300:]}")
    return programs


@contextmanager
def radicale(programs: Path, folder: Path) -> Iterator[str]:
    """A Radicale that asks for a password; its address."""
    port = _free_port()
    (folder / "users").write_text(f"{USER}:{PASSWORD}\n")
    (folder / "config").write_text(
        f"""[server]
hosts = 127.0.0.1:{port}
[auth]
type = htpasswd
htpasswd_filename = {folder}/users
htpasswd_encryption = plain
delay = 0
[storage]
filesystem_folder = {folder}/collections
[logging]
level = warning
"""
    )
    words = [programs / "python", "-m", "radicale", "--config", folder / "config"]
    with _running(words, port, folder):
        yield f"http://127.0.0.1:{port}/"


@contextmanager
def xandikos(programs: Path, folder: Path) -> Iterator[str]:
    """A xandikos, which takes any password; its address."""
    port = _free_port()
    words = [
        *(programs / "xandikos", "serve", "-d", folder / "store", "--defaults", "--autocreate"),
        *("-l", "127.0.0.1", "-p", str(port)),
    ]
    with _running(words, port, folder):
        yield f"http://127.0.0.1:{port}/"


@contextmanager
def _running(words: list[Any], port: int, folder: Path) -> Iterator[None]:
    with (folder / "server.log").open("w") as log:
        process = subprocess.Popen(
            [str(word) for word in words], stdout=log, stderr=log, cwd=folder
        )
        try:
            for _ in range(150):
                if process.poll() is not None:
                    break
                try:
                    urllib.request.urlopen(f"http://127.0.0.1:{port}/", timeout=2).close()
                    break
                except urllib.error.HTTPError:
                    break
                except OSError:
                    time.sleep(0.1)
            assert process.poll() is None, (folder / "server.log").read_text()
            yield
        finally:
            process.terminate()
            process.wait(timeout=20)


def _free_port() -> int:
    with socket.socket() as one:
        one.bind(("127.0.0.1", 0))
        return int(one.getsockname()[1])


class Phone:
    """A calendar program of somebody in the field, by the caldav library's own means."""

    def __init__(self, url: str, site: str) -> None:
        import caldav

        self._client = caldav.DAVClient(url=url, username=USER, password=PASSWORD)
        home = self._client.principal().calendar_home_set.url
        self.calendar = self._client.calendar(url=str(home) + f"orchardcal-{site}/")

    def close(self) -> None:
        self._client.close()

    def tasks(self) -> list[Any]:
        return list(self.calendar.todos(include_completed=True))

    def events(self) -> list[Any]:
        return list(self.calendar.events())

    def task(self, summary: str) -> Any:
        """The one task whose title begins so."""
        found = [one for one in self.tasks() if self.title(one).startswith(summary)]
        assert len(found) == 1, [self.title(one) for one in self.tasks()]
        return found[0]

    def event(self, summary: str) -> Any:
        found = [one for one in self.events() if self.title(one).startswith(summary)]
        assert len(found) == 1
        return found[0]

    @staticmethod
    def title(one: Any) -> str:
        return str(one.icalendar_component["SUMMARY"])

    @staticmethod
    def tick(one: Any, at: datetime) -> None:
        one.complete(completion_timestamp=at.astimezone(UTC))

    @staticmethod
    def change(one: Any, **values: Any) -> None:
        """Writes properties as a program would: the old one out, the new one in."""
        whole = Calendar.from_ical(one.data)
        component = next(part for part in whole.walk() if part.name in ("VTODO", "VEVENT"))
        for name, value in values.items():
            key = name.replace("_", "-").upper()
            if key != "COMMENT":
                component.pop(key, None)
            if value is not None:
                component.add(key, value)
        one.data = whole.to_ical().decode()
        one.save()


def copied_site(demo: Path, folder: Path, site: str, url: str) -> Path:
    """The demo programme with one site alone, its tasks on a server."""
    folder.mkdir()
    shutil.copytree(demo / site, folder / site)
    text = (demo / "programme.toml").read_text()
    tasks = f'\n[tasks]\nurl = "{url}"\nuser = "{USER}"\n'
    (folder / "programme.toml").write_text(text + tasks)
    return folder
