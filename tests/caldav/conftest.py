"""Radicale and xandikos, each started anew for a test."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.caldav.servers import PASSWORD, environment, radicale, xandikos


@pytest.fixture(scope="session")
def programs(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return environment(tmp_path_factory.mktemp("calendar_servers"))


@pytest.fixture(params=["radicale", "xandikos"])
def calendar_server(
    request: pytest.FixtureRequest,
    programs: Path,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> Iterator[str]:
    """The address of a running server; the password is in the environment."""
    monkeypatch.setenv("ORCHARDCAL_TASKS_PASSWORD", PASSWORD)
    folder = tmp_path / "server"
    folder.mkdir()
    start = {"radicale": radicale, "xandikos": xandikos}[request.param]
    with start(programs, folder) as url:
        yield url
