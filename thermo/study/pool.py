"""Independent runs on all cores; the same numbers with one or many."""

from __future__ import annotations

import multiprocessing
import os
from collections.abc import Callable, Sequence
from concurrent.futures import ProcessPoolExecutor, as_completed
from typing import TypeVar

Job = TypeVar("Job")
Answer = TypeVar("Answer")


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
        Called with the number of jobs finished and of all jobs.

    Returns
    -------
    list
    """
    cores = len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count()
    count = min(len(jobs), workers or cores or 1)
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
        for number, _ in enumerate(as_completed(futures)):
            tell(number + 1, len(jobs))
        return [future.result() for future in futures]
