"""The clock: the only place that asks what day it is."""

from __future__ import annotations

from datetime import UTC, date, datetime


def today() -> date:
    return datetime.now().astimezone().date()


def now() -> str:
    """This instant as the journal writes it."""
    return datetime.now(UTC).strftime("%Y-%m-%dT%H:%M:%SZ")
