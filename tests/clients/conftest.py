"""Calendar programs the slow tests use: found, or fetched into a folder of the test run.

Where one cannot be had its tests are skipped and say so; with ORCHARDCAL_CI set they fail instead.
"""

from __future__ import annotations

import os
import shutil
import sys
import threading
from collections.abc import Iterator
from functools import partial
from http.server import SimpleHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path

import pytest

from tests.clients.programs import Served, missing, ran

HERE = Path(__file__).resolve().parent
collect_ignore = ["evolution_events.py"]  # a program for Debian's own Python


@pytest.fixture(scope="session")
def libical_check(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Our small C program over Debian's libical-dev."""
    if shutil.which("gcc") is None or shutil.which("pkg-config") is None:
        missing("gcc and pkg-config are needed to build the libical check")
    flags = ran("pkg-config", "--cflags", "--libs", "libical")
    if flags.returncode:
        missing("libical is not installed (Debian: libical-dev)")
    program = tmp_path_factory.mktemp("libical") / "libical_check"
    built = ran("gcc", "-Wall", "-o", program, HERE / "libical_check.c", *flags.stdout.split())
    assert built.returncode == 0, built.stderr
    return program


@pytest.fixture(scope="session")
def ical_js(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with ical.js 2.x from npm and our script that lists a feed with it."""
    if shutil.which("npm") is None or shutil.which("node") is None:
        missing("node and npm are needed to read feeds with ical.js")
    folder = tmp_path_factory.mktemp("ical_js")
    fetched = ran("npm", "install", "--no-audit", "--no-fund", "ical.js@2", cwd=folder)
    if fetched.returncode:
        missing(f"npm could not fetch ical.js: {fetched.stderr[-300:]}")
    shutil.copy(HERE / "list_events.mjs", folder)
    return folder


@pytest.fixture(scope="session")
def subscribers(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The folder of programs of a virtual environment with vdirsyncer and khal."""
    given = os.environ.get("ORCHARDCAL_SUBSCRIBERS")
    if given:
        return Path(given)
    folder = tmp_path_factory.mktemp("subscribers")
    made = ran(sys.executable, "-m", "venv", folder)
    if made.returncode:
        missing(f"no virtual environment could be made: {made.stderr[-300:]}")
    programs = folder / ("Scripts" if os.name == "nt" else "bin")
    fetched = ran(programs / "python", "-m", "pip", "install", "-q", "vdirsyncer", "khal")
    if fetched.returncode:
        missing(f"pip could not fetch vdirsyncer and khal: {fetched.stderr[-300:]}")
    return programs


@pytest.fixture(scope="session")
def calcurse() -> str:
    program = shutil.which("calcurse")
    if program is None:
        missing("calcurse is not installed (Debian: calcurse)")
    return program


class _Quiet(SimpleHTTPRequestHandler):
    def log_message(self, *_: object) -> None:
        """Nothing: the tests read their own output."""


@pytest.fixture
def served(tmp_path: Path) -> Iterator[Served]:
    folder = tmp_path / "www"
    folder.mkdir()
    server = ThreadingHTTPServer(("127.0.0.1", 0), partial(_Quiet, directory=str(folder)))
    thread = threading.Thread(target=server.serve_forever, daemon=True)
    thread.start()
    yield Served(folder, f"http://127.0.0.1:{server.server_port}")
    server.shutdown()
    server.server_close()
    thread.join()
