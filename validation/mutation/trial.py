"""Tests in forked children of a warm parent: which lines each runs, and whether a mutant fails one.

The parent has imported the libraries but not the code under test, so a child imports that anew,
one module of it changed in memory. No file of the tree is touched.
"""

from __future__ import annotations

import contextlib
import ctypes
import importlib
import importlib.machinery
import json
import os
import resource
import signal
import sys
import time
from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path
from types import CodeType, FrameType
from typing import Any

import pytest
from hypothesis import Phase, settings

WARM = (
    "numpy scipy.sparse.linalg scipy.optimize scipy.special scipy.integrate scipy.interpolate "
    "numba hypothesis.strategies hypothesis.extra.numpy pydantic click rich.console rich.table"
)
MEMORY = 4 << 30  # bytes a child may map
STUCK_S = 1800.0  # wall time after which a child that does nothing is ended
QUIET = [
    *("-q", "--tb=no", "-p", "no:cacheprovider", "-o", "addopts=--import-mode=importlib"),
    *("-W", "ignore::pytest.PytestAssertRewriteWarning"),  # hypothesis is imported already
]


@dataclass(frozen=True)
class Limits:
    """CPU that a mutant may take [s]."""

    seconds: float  # after which no further test is begun
    patience: float  # of one test, on top of ten times its own: beyond, it counts as endless


Job = Callable[[Path], None]  # writes what it found as JSON into the path


def warm_up(pyc: Path) -> None:
    """Import the libraries; compiled files go to a folder outside the tree."""
    sys.pycache_prefix, sys.dont_write_bytecode = str(pyc), False
    os.environ["NUMBA_CACHE_DIR"] = str(pyc)
    for name in WARM.split():
        importlib.import_module(name)
    phases = (Phase.explicit, Phase.generate)  # no shrinking: one failure is enough
    settings.register_profile(
        "mutation", database=None, derandomize=True, deadline=None, phases=phases
    )
    settings.load_profile("mutation")


def in_children(
    jobs: Iterable[tuple[Any, Job]], workers: int, scratch: Path
) -> Iterator[tuple[Any, dict[str, Any], int, float]]:
    """Run jobs in forked children, at most so many at a time.

    Yields each job's key, what it wrote, the signal that ended it (0: none) and its CPU time [s].
    """
    waiting, count = iter(jobs), 0
    running: dict[int, tuple[Any, Path, float]] = {}
    try:
        while True:
            while len(running) < workers and (job := next(waiting, None)):
                count += 1
                path = scratch / f"child-{os.getpid()}-{count}.json"
                running[_fork(job[1], path)] = (job[0], path, time.monotonic())
            if not running:
                return
            done, status, usage = os.wait4(-1, os.WNOHANG)
            if done in running:
                key, path, _ = running.pop(done)
                _end(done)  # whatever it started itself
                told = json.loads(path.read_text()) if path.exists() else {}
                path.unlink(missing_ok=True)
                ended_by = os.WTERMSIG(status) if os.WIFSIGNALED(status) else 0
                yield key, told, ended_by, usage.ru_utime + usage.ru_stime
                continue
            for child, (*_, began) in running.items():
                if time.monotonic() - began > STUCK_S:
                    _end(child)
            time.sleep(0.01)
    finally:
        for child in running:
            _end(child)


def _end(group: int) -> None:
    with contextlib.suppress(ProcessLookupError):
        os.killpg(group, signal.SIGKILL)


def _fork(job: Job, path: Path) -> int:
    child = os.fork()
    if child:
        return child
    code = 1
    try:
        os.setpgid(0, 0)
        _end_with_parent()
        signal.signal(signal.SIGTERM, signal.SIG_DFL)
        nowhere = os.open(os.devnull, os.O_RDWR)
        for stream in (0, 1, 2):
            os.dup2(nowhere, stream)
        resource.setrlimit(resource.RLIMIT_AS, (MEMORY, MEMORY))
        job(path)
        code = 0
    finally:
        os._exit(code)


def _end_with_parent() -> None:
    """Linux ends a child with its parent when asked to; elsewhere it runs on to its own end."""
    if sys.platform == "linux":
        ctypes.CDLL(None).prctl(1, signal.SIGKILL)  # PR_SET_PDEATHSIG


def _write(path: Path, told: dict[str, Any]) -> None:
    part = path.with_suffix(".part")
    part.write_text(json.dumps(told))
    part.replace(path)


class Lines:
    """Records which lines of some files run."""

    def __init__(self, root: Path, files: list[str]) -> None:
        self.seen: dict[str, set[int]] = {file: set() for file in files}
        self.adders = {str(root / file): self._adder(self.seen[file]) for file in files}

    @staticmethod
    def _adder(seen: set[int]) -> Callable[..., Any]:
        def add(frame: FrameType, event: str, arg: object) -> Callable[..., Any]:
            seen.add(frame.f_lineno)
            return add

        return add

    def __enter__(self) -> Lines:
        sys.settrace(lambda frame, event, arg: self.adders.get(frame.f_code.co_filename))
        return self

    def __exit__(self, *raised: object) -> None:
        sys.settrace(None)

    def told(self) -> dict[str, list[int]]:
        """Lines seen, by file."""
        return {file: sorted(lines) for file, lines in self.seen.items() if lines}


class Survey:
    """Pytest plugin: every test alone in a child of its own, as if nothing had been run before."""

    def __init__(self, root: Path, files: list[str], workers: int, path: Path) -> None:
        self.root, self.files, self.workers, self.path = root, files, workers, path
        self.importing = Lines(root, files)
        self.importing.__enter__()

    def pytest_runtestloop(self, session: pytest.Session) -> bool:
        """Take the place of pytest's own loop."""
        self.importing.__exit__()
        jobs = [(item.nodeid, self._job(item)) for item in session.items]
        done = in_children(jobs, self.workers, self.path.parent)
        tests = {node: told for node, told, _, _ in done}
        _write(self.path, {"tests": tests, "importing": self.importing.told()})
        return True

    def _job(self, item: pytest.Item) -> Job:
        def run(path: Path) -> None:
            watch = Failures()
            item.config.pluginmanager.register(watch)
            began = time.process_time()
            with Lines(self.root, self.files) as lines:
                item.config.hook.pytest_runtest_protocol(item=item, nextitem=None)
            seconds = time.process_time() - began
            _write(path, {"passed": not watch.failed, "seconds": seconds, "lines": lines.told()})

        return run


class Failures:
    """Pytest plugin: the first test, or file, that fails."""

    failed = ""

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        """Keep the name of a test that failed."""
        if report.failed:
            self.failed = self.failed or report.nodeid

    def pytest_collectreport(self, report: pytest.CollectReport) -> None:
        """Keep the name of a file that cannot be imported."""
        if report.failed:
            self.failed = self.failed or f"{report.nodeid} (import)"


class Chosen(Failures):
    """Pytest plugin: some tests only, in the order given, until the time is used up."""

    def __init__(self, tests: dict[str, float], limits: Limits, path: Path) -> None:
        self.tests, self.limits, self.path = tests, limits, path
        self.order = {node: place for place, node in enumerate(tests)}
        self.ran, self.stopped = 0, False
        self.until = time.process_time() + limits.seconds

    @pytest.hookimpl(trylast=True)
    def pytest_collection_modifyitems(self, items: list[pytest.Item]) -> None:
        """Keep the chosen tests, in their order."""
        known = [item for item in items if item.nodeid in self.order]
        items[:] = sorted(known, key=lambda item: self.order[item.nodeid])

    def pytest_runtest_logstart(self, nodeid: str) -> None:
        """An endless test dies of SIGPROF, and what was written tells which."""
        _write(self.path, {"at": nodeid})
        signal.setitimer(signal.ITIMER_PROF, self.limits.patience + 10 * self.tests[nodeid])

    @pytest.hookimpl(tryfirst=True)
    def pytest_runtest_logfinish(self, nodeid: str) -> None:
        """It came to an end."""
        signal.setitimer(signal.ITIMER_PROF, 0)
        self.ran += 1

    @pytest.hookimpl(tryfirst=True)
    def pytest_runtest_protocol(self, item: pytest.Item) -> bool | None:
        """Leave out a test once the time is used up."""
        self.stopped = self.stopped or time.process_time() > self.until
        return True if self.stopped else None


class Changed:
    """Finder and loader of the one module that is changed."""

    def __init__(self, path: Path, source: bytes) -> None:
        self.path, self.source = str(path), source

    def find_spec(self, name: str, path: Any, target: Any = None) -> Any:
        """The changed module's loader; all others are left to the finders that follow."""
        spec = importlib.machinery.PathFinder.find_spec(name, path)
        if spec is None or spec.origin != self.path:
            return None
        source = self.source

        class Loader(importlib.machinery.SourceFileLoader):
            def get_code(self, fullname: str) -> CodeType:
                return compile(source, self.path, "exec")

        spec.loader = Loader(name, self.path)
        return spec


def survey_job(root: Path, files: list[str], tests: list[str], workers: int) -> Job:
    """Job that runs every test alone and writes its lines."""

    def run(path: Path) -> None:
        os.chdir(root)
        survey = Survey(root, files, workers, path)
        pytest.main([*QUIET, f"--basetemp={path.with_suffix('')}", *tests], plugins=[survey])

    return run


def trial_job(root: Path, file: str, source: bytes, tests: dict[str, float], limits: Limits) -> Job:
    """Job that runs tests, in their order, against a changed source of one file."""

    def run(path: Path) -> None:
        os.chdir(root)
        sys.meta_path.insert(0, Changed(root / file, source))
        chosen = Chosen(tests, limits, path)
        names = sorted({node.partition("::")[0] for node in tests})
        arguments = [*QUIET, "-x", f"--basetemp={path.with_suffix('')}", *names]
        code = pytest.main(arguments, plugins=[chosen])
        by = chosen.failed or (f"pytest ended with {int(code)}" if code else "")
        _write(
            path, {"killed_by": by, "left_out": len(tests) - chosen.ran if chosen.stopped else 0}
        )

    return run


def by_line(survey: dict[str, Any]) -> dict[str, dict[int, set[str]]]:
    """Tests that run each line, by file; every line run on import is run by the test ''."""
    table: dict[str, dict[int, set[str]]] = defaultdict(lambda: defaultdict(set))
    told = [(node, test["lines"]) for node, test in survey["tests"].items()]
    for node, lines in [*told, ("", survey["importing"])]:
        for file, numbers in lines.items():
            for number in numbers:
                table[file][number].add(node)
    return table
