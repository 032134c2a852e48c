"""A running Dask cluster as an executor of the standard interface; needs the extra "cluster"."""

from __future__ import annotations

from collections.abc import Iterator
from concurrent.futures import Executor
from contextlib import contextmanager

import click

CONNECTED_WITHIN_S = 10


@contextmanager
def executor_at(address: str | None) -> Iterator[Executor | None]:
    """The workers of the cluster whose scheduler is at an address; None without an address.

    Raises click.UsageError where the extra is not installed or nobody answers.
    """
    if address is None:
        yield None
        return
    try:
        from distributed import Client
    except ImportError:
        raise click.UsageError(
            "--cluster needs one more library: pip install 'orchardcal[cluster]'."
        ) from None
    try:
        client = Client(address, timeout=CONNECTED_WITHIN_S)  # type: ignore[no-untyped-call]
    except (OSError, ValueError) as error:
        raise click.UsageError(
            f"No Dask scheduler answers at {address} ({type(error).__name__}). Write its address as"
            " it prints it: tcp://10.0.0.5:8786."
        ) from None
    with client:
        yield client.get_executor()  # type: ignore[no-untyped-call]
