"""Independent runs on all cores; the same numbers with one or many."""

from __future__ import annotations

import multiprocessing
import os
from collections.abc import Callable, Sequence
from concurrent.futures import FIRST_COMPLETED, ProcessPoolExecutor, wait
from typing import TypeVar

Job = TypeVar("Job")
Answer = TypeVar("Answer")
TICK_S = 0.2


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
    """
    count = processes(len(jobs), workers)
    tell = done or (lambda finished, total: None)
    if count <= 1:
        answers = []
        for number, job in enumerate(jobs):
            answers.append(work(job))
            tell(number + 1, len(jobs))
        return answers
    context = multiprocessing.get_context("fork" if os.name == "posix" else "spawn")
    with ProcessPoolExecutor(count, mp_context=context) as pool:
        futures = [pool.submit(work, job) for job in jobs]
        left, number = set(futures), 0
        while left:
            ended, left = wait(left, TICK_S, FIRST_COMPLETED)
            for step in [1] * len(ended) or [0]:
                number += step
                tell(number, len(jobs))
        return [future.result() for future in futures]


def processes(jobs: int, workers: int | None = None) -> int:
    """How many processes so many jobs are given, one per core where `workers` does not say."""
    cores = len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count()
    return min(jobs, workers or cores or 1)
