"""Independent runs on all cores; the same numbers with one or many."""

from __future__ import annotations

import contextlib
import multiprocessing
import os
import signal
import threading
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import FIRST_COMPLETED, ProcessPoolExecutor, wait
from concurrent.futures.process import BrokenProcessPool
from multiprocessing import connection
from typing import TypeVar

from thermo.stopping import SIGNALS, WorkerLost

Job = TypeVar("Job")
Answer = TypeVar("Answer")
TICK_S = 0.2
"""A bar is told this often that nothing is finished yet [s]."""
START = "fork" if os.name == "posix" else "spawn"


def run_all(
    work: Callable[[Job], Answer],
    jobs: Sequence[Job],
    workers: int | None = None,
    done: Callable[[int, int], None] | None = None,
) -> list[Answer]:
    """Answers of all jobs, in their order.

    Parameters
    ----------
    work : callable
        Importable by name, for it may run in another process.
    jobs : sequence
        The longest first keeps the cores busy.
    workers : int, optional
        Processes; by default one per core that this process may use.
    done : callable, optional
        Called with the number of jobs finished and of all jobs, whenever one is finished; every
        `TICK_S` at least while other processes are at work.

    Returns
    -------
    list

    Raises
    ------
    WorkerLost
        A worker process was ended from outside.
    """
    count = processes(len(jobs), workers)
    tell = done or (lambda finished, total: None)
    if count <= 1:
        answers = []
        for number, job in enumerate(jobs):
            answers.append(work(job))
            tell(number + 1, len(jobs))
        return answers
    try:
        return _in_processes(work, jobs, count, tell)
    except BrokenProcessPool as fault:
        text = "a worker process was ended, perhaps for want of memory; try --workers 1"
        raise WorkerLost(text) from fault


def processes(jobs: int, workers: int | None = None) -> int:
    """How many processes so many jobs are given, one per core where `workers` does not say."""
    cores = len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count()
    return min(jobs, workers or cores or 1)


def _in_processes(
    work: Callable[[Job], Answer], jobs: Sequence[Job], count: int, tell: Callable[[int, int], None]
) -> list[Answer]:
    """Answers of all jobs; the processes end with this call, and with this process."""
    context = multiprocessing.get_context(START)
    pool = ProcessPoolExecutor(count, mp_context=context, initializer=_become_worker)
    try:
        with _signals_held():
            futures = [pool.submit(work, job) for job in jobs]
        left, number = set(futures), 0
        while left:
            ended, left = wait(left, TICK_S, FIRST_COMPLETED)
            for step in [1] * len(ended) or [0]:
                number += step
                tell(number, len(jobs))
        answers = [future.result() for future in futures]
    except KeyboardInterrupt:
        pool.shutdown(wait=False, cancel_futures=True)
        for worker in multiprocessing.active_children():
            worker.kill()
        raise
    except BaseException:
        pool.shutdown(cancel_futures=True)
        raise
    pool.shutdown()
    return answers


@contextlib.contextmanager
def _signals_held() -> Iterator[None]:
    """Keep signals back where the system can: a process started meanwhile has to set itself up."""
    if not hasattr(signal, "pthread_sigmask"):
        yield
        return
    before = signal.pthread_sigmask(signal.SIG_BLOCK, SIGNALS)
    try:
        yield
    finally:
        signal.pthread_sigmask(signal.SIG_SETMASK, before)


def _become_worker() -> None:
    """Leave Ctrl-C to the parent, take other signals as they come, and end with the parent."""
    for number in SIGNALS:
        signal.signal(number, signal.SIG_IGN if number == signal.SIGINT else signal.SIG_DFL)
    if hasattr(signal, "pthread_sigmask"):
        signal.pthread_sigmask(signal.SIG_UNBLOCK, SIGNALS)
    threading.Thread(target=_end_with_parent, daemon=True).start()


def _end_with_parent() -> None:
    """Wait for the parent's end, however it comes, then end at once.

    The last process started sees it first: those before it wait on pipes that it holds too.
    """
    parent = multiprocessing.parent_process()
    if parent is not None:
        connection.wait([parent.sentinel])
        os._exit(1)
