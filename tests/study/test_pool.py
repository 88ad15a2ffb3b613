import os
import signal
import time

import pytest

from thermo.stopping import WorkerLost
from thermo.study import pool
from thermo.study.pool import run_all


def square(x):
    return x * x


def slow(x):
    time.sleep(0.3)
    return x


def picky(x):
    if x == 2:
        raise ZeroDivisionError("two")
    return x


@pytest.mark.parametrize("workers", [1, 2, 64, None])
def test_answers_come_in_order_and_each_end_is_told(workers):
    told = []
    answers = run_all(square, range(5), workers, lambda *counts: told.append(counts))
    assert answers == [0, 1, 4, 9, 16]
    ends = [count for count in dict.fromkeys(told) if count != (0, 5)]
    assert ends == [(n, 5) for n in range(1, 6)]


def test_who_waits_for_other_processes_is_told_meanwhile(monkeypatch):
    monkeypatch.setattr(pool, "TICK_S", 0.01)
    told = []
    assert run_all(slow, [1, 2], 2, lambda *counts: told.append(counts)) == [1, 2]
    assert told[0] == (0, 2)
    assert told[-1] == (2, 2)


@pytest.mark.parametrize("workers", [1, 2])
def test_a_fault_in_a_job_comes_through(workers):
    with pytest.raises(ZeroDivisionError, match="two"):
        run_all(picky, [1, 2, 3], workers)


def test_nothing_to_do_is_done():
    assert run_all(square, []) == []


def vanish(x):
    os._exit(3)


@pytest.mark.parametrize("start", ["fork", "spawn"])
def test_a_worker_that_is_ended_from_outside_is_told(monkeypatch, start):
    monkeypatch.setattr(pool, "START", start)
    with pytest.raises(WorkerLost, match="try --workers 1"):
        run_all(vanish if start == "fork" else os._exit, [1, 2], 2)


def test_signals_are_heeded_again_once_workers_have_started():
    run_all(square, [1, 2], 2)
    assert not signal.pthread_sigmask(signal.SIG_BLOCK, []) & set(pool.SIGNALS)
