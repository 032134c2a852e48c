"""Processes that work for this one: started when there is enough to do, ended with the run."""

from __future__ import annotations

import gc
import multiprocessing
import os
import signal
from collections import deque
from collections.abc import Callable, Iterable, Iterator
from concurrent.futures import Executor, Future
from contextlib import contextmanager
from types import TracebackType
from typing import TypeVar

WORTH_IT_FROM = 30  # sites: below it a second process costs more than it saves
ON_A_CLUSTER = 64  # parts on their way to a cluster, whose size is its own affair

G = TypeVar("G")
R = TypeVar("R")


# A plan is a great many small objects that stay for a while: Python's search for cycles among them,
# at its usual pace, takes a fifth of a run where little has changed.
RARELY = (100_000, 20, 20)


def _begin() -> None:
    """Readies a process for its work. Ctrl-C is for the process that it works for."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    gc.set_threshold(*RARELY)


@contextmanager
def _ctrl_c_held() -> Iterator[None]:
    """Ctrl-C waits; processes begun meanwhile never hear of it."""
    if not hasattr(signal, "pthread_sigmask"):
        yield
        return
    before = signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT})
    try:
        yield
    finally:
        signal.pthread_sigmask(signal.SIG_SETMASK, before)


class Workers:
    """Other processes, or none.

    processes: how many; if not said, one for each core where there is much to do. executor: to
    work on instead, any of the standard interface, such as a cluster's own.
    """

    def __init__(self, processes: int | None = None, executor: Executor | None = None) -> None:
        self._wanted = processes
        self._given = executor
        self._own: Executor | None = None

    def __enter__(self) -> Workers:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        if self._own is None:
            return
        if kind is not None:  # nobody waits any more for what they are at
            for process in multiprocessing.active_children():
                process.terminate()
        self._own.shutdown(cancel_futures=True)

    @property
    def processes(self) -> int:
        """How many there are where there is much to do."""
        return self._wanted or os.cpu_count() or 1

    def executor(self, things: int) -> Executor | None:
        """What to do so many things on; None where this process does them alone."""
        if self._given is not None:
            return self._given
        least = 2 if self._wanted else WORTH_IT_FROM
        if self._own is None and things >= least and self.processes > 1:
            from concurrent.futures import ProcessPoolExecutor  # most runs start no process

            count = min(self.processes, things)
            with _ctrl_c_held():
                self._own = ProcessPoolExecutor(count, initializer=_begin)
                self._own.submit(os.getpid).result()
        return self._own

    def done(
        self, work: Callable[[G], R], parts: Iterable[tuple[G, Executor | None]]
    ) -> Iterator[tuple[G, R]]:
        """Each part and what work makes of it, in their order, by the executor beside it.

        A few parts are on their way at a time, so that memory holds few, however many there are.
        """
        ahead = ON_A_CLUSTER if self._given is not None else 2 * self.processes + 1
        on_their_way: deque[tuple[G, Future[R]]] = deque()
        for part, executor in parts:
            most = ahead
            if executor is not None:
                on_their_way.append((part, executor.submit(work, part)))
            else:
                most = 0
            while len(on_their_way) > most:
                sent, future = on_their_way.popleft()
                yield sent, future.result()
            if executor is None:
                yield part, work(part)
        for sent, future in on_their_way:
            yield sent, future.result()
