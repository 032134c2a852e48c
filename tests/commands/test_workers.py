"""Parts of work done in turn or side by side: in order, few at a time, and ended with the run."""

from __future__ import annotations

import multiprocessing
import operator
import os
import signal
import threading
import time
from collections.abc import Iterator
from concurrent.futures import Executor, ThreadPoolExecutor
from functools import partial

import pytest

from orchardcal.commands.workers import ON_A_CLUSTER, WORTH_IT_FROM, Workers

PARTS = 200


def pid(_: object) -> int:
    return os.getpid()


def stumble(number: int) -> int:
    if number == 3:
        raise ValueError("three")
    return number


def test_parts_come_back_in_order_and_few_are_on_their_way() -> None:
    sent = 0

    def parts(executor: Executor) -> Iterator[tuple[int, Executor]]:
        nonlocal sent
        for number in range(PARTS):
            sent += 1
            yield number, executor

    def slow_at_first(number: int) -> int:
        time.sleep(0.01 if number % 7 == 0 else 0)
        return -number

    with ThreadPoolExecutor(4) as pool, Workers(executor=pool) as workers:
        for at, (part, result) in enumerate(workers.done(slow_at_first, parts(pool))):
            assert (part, result) == (at, -at)
            assert sent <= at + ON_A_CLUSTER + 1
    assert sent == PARTS


def test_what_this_process_does_waits_its_turn() -> None:
    with ThreadPoolExecutor(2) as pool, Workers(executor=pool) as workers:
        parts = [(number, pool if number % 3 else None) for number in range(20)]
        found = [result for _, result in workers.done(partial(operator.add, 1), iter(parts))]
    assert found == list(range(1, 21))


def test_a_part_that_fails_is_told_where_it_stands() -> None:
    with ThreadPoolExecutor(2) as pool, Workers(executor=pool) as workers:
        done = workers.done(stumble, ((number, pool) for number in range(9)))
        assert [result for _, result in (next(done) for _ in range(3))] == [0, 1, 2]
        with pytest.raises(ValueError, match="three"):
            next(done)


def test_other_processes_begin_where_there_is_enough_to_do_and_end_with_the_run() -> None:
    with Workers() as workers:
        assert workers.executor(WORTH_IT_FROM - 1) is None
    with Workers(processes=1) as workers:
        assert workers.executor(1000) is None
    with Workers(processes=2) as workers:
        assert workers.executor(1) is None
        executor = workers.executor(2)
        assert executor is not None
        assert workers.executor(0) is executor  # once begun it goes on
        pids = {result for _, result in workers.done(pid, ((n, executor) for n in range(8)))}
        assert os.getpid() not in pids
        assert 1 <= len(pids) <= 2
    with pytest.raises(RuntimeError):
        executor.submit(pid, 0)
    assert threading.active_count() < 20


def interrupted_at_work() -> None:
    with Workers(processes=2) as workers:
        executor = workers.executor(2)
        assert executor is not None
        for _ in range(4):
            executor.submit(time.sleep, 60)
        time.sleep(0.1)
        raise KeyboardInterrupt


def test_ctrl_c_ends_them_at_whatever_they_are() -> None:
    begun = time.monotonic()
    with pytest.raises(KeyboardInterrupt):
        interrupted_at_work()
    assert time.monotonic() - begun < 20
    assert multiprocessing.active_children() == []


@pytest.mark.skipif(os.name == "nt", reason="Ctrl-C goes another way there")
def test_ctrl_c_is_not_for_them() -> None:
    with Workers(processes=2) as workers:
        executor = workers.executor(2)
        assert executor is not None
        other = executor.submit(pid, 0).result()
        for _ in range(3):
            os.kill(other, signal.SIGINT)
        assert {executor.submit(pid, 0).result() for _ in range(8)} <= {
            process.pid for process in multiprocessing.active_children()
        }


def test_an_executor_that_is_given_is_used_and_left_running() -> None:
    with ThreadPoolExecutor(1) as pool:
        with Workers(processes=8, executor=pool) as workers:
            assert workers.executor(1) is pool
        assert pool.submit(pid, 0).result() == os.getpid()
