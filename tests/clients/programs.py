"""Running the programs of others, and what to do where one is missing."""

from __future__ import annotations

import os
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path
from typing import NoReturn

import pytest

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "outputs"))  # for the invented plan


def missing(reason: str) -> NoReturn:
    """Skip, or fail where everything has to be there."""
    if os.environ.get("ORCHARDCAL_CI"):
        pytest.fail(reason)
    pytest.skip(reason)


def ran(*command: str | Path, **options: object) -> subprocess.CompletedProcess[str]:
    """The finished command with what it said; a failure is the caller's to judge."""
    words = [str(word) for word in command]
    return subprocess.run(  # type: ignore[call-overload, no-any-return]
        words, check=False, capture_output=True, text=True, timeout=300, **options
    )


@dataclass(frozen=True)
class Served:
    """A folder under an address of the loopback interface."""

    folder: Path
    address: str
