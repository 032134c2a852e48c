"""The real server on loopback, one for a module of tests."""

from __future__ import annotations

import os
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.serve.served_folder_of_test import Running, programme, started, written


@pytest.fixture
def server(tmp_path: Path) -> Iterator[Running]:
    """A server that answers private addresses only, and logs."""
    running = started(programme(tmp_path / "programme"), written(tmp_path / "out"), "--log")
    yield running
    if running.process.poll() is None:
        running.ended()


@pytest.fixture(scope="module")
def public(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Running]:
    """A server that shows everything to whoever asks."""
    at = tmp_path_factory.mktemp("public")
    running = started(programme(at / "programme"), written(at / "out"), "--public", "--log")
    os.utime(running.out / "staff.ics", (1_790_000_000, 1_790_000_000))  # 21 Sep 2026 14:13:20 UTC
    yield running
    running.ended()
