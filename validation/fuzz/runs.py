"""Running inputs in forked children, so that a hang or a crash is an outcome like any other."""

from __future__ import annotations

import contextlib
import importlib
import math
import multiprocessing
import os
import pkgutil
import re
import resource
import signal
import tempfile
import time
import traceback
import warnings
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, field
from multiprocessing.connection import Connection, wait
from pathlib import Path
from typing import Any

from click.testing import CliRunner

import thermo
from thermo.cli import brazeclock
from thermo.show.folder import KEPT
from validation.fuzz.heat import probe, watching
from validation.fuzz.inputs import CASE, Input

LIMIT_S = 20.0
PROBE_LIMIT_S = 300.0
PATIENCE = 10.0  # of the wall's clock beside the processor's: other work may share it
MEMORY = 4 << 30
WALL_S = re.compile(rb'"wall_s": [^,}]*')
FORK = multiprocessing.get_context("fork")


@dataclass(frozen=True)
class Outcome:
    """What became of an input.

    Attributes
    ----------
    ended : str
        "exit 0", "exit 1", "exit 2", "hang" or "crash".
    stdout, stderr : str
    raised : str
        Exception that got through to the top.
    warned : tuple of str
    worst : dict
        Temperatures outside their span, see `Excursions`.
    same : bool or None
        Whether a repeat gave the same bytes; None where none was made.
    probed : dict
        Findings of `probe`; empty where none was made.
    seconds : float
    peak_MB : float
    """

    ended: str
    stdout: str = ""
    stderr: str = ""
    raised: str = ""
    warned: tuple[str, ...] = ()
    worst: dict[str, tuple[float, float, float]] = field(default_factory=dict)
    same: bool | None = None
    probed: dict[str, str] = field(default_factory=dict)
    seconds: float = 0.0
    peak_MB: float = 0.0


Work = Callable[[Input], Outcome]


def run_command(given: Input) -> Outcome:
    """Run an input as the command line would."""
    began = time.perf_counter()
    with watching() as seen, warnings.catch_warnings(record=True) as warned:
        warnings.simplefilter("always")
        result = CliRunner().invoke(brazeclock, given.words, prog_name="brazeclock")
    raised = ""
    if result.exception is not None and not isinstance(result.exception, SystemExit):
        raised = "".join(traceback.format_exception(result.exception))
    return Outcome(
        ended=f"exit {result.exit_code}",
        stdout=result.stdout,
        stderr=result.stderr,
        raised=raised,
        warned=tuple(f"{one.category.__name__}: {one.message}" for one in warned),
        worst=seen.worst,
        seconds=time.perf_counter() - began,
    )


def run_twice(given: Input) -> Outcome:
    """Run an input, then again elsewhere; whether both left the same bytes."""
    answers = []
    for name in ("first", "second"):
        with contextlib.chdir(_laid_out(given, Path(name).absolute())):
            found = run_command(given)
            files = [p for p in sorted(Path().rglob("*")) if p.is_file() and KEPT not in p.parts]
            left = {str(p): p.read_bytes() for p in files}  # the list of files hashes wall_s
            whole = [found.ended.encode(), found.stdout.encode(), found.stderr.encode()]
            answers.append([WALL_S.sub(b"", part) for part in (*whole, *left.values())])
    return Outcome(**{**vars(found), "same": answers[0] == answers[1]})


def run_probe(given: Input) -> Outcome:
    """Hold the braze of an input against others of the same case."""
    began = time.perf_counter()
    found = probe(Path(CASE))
    return Outcome("exit 0", probed=found, seconds=time.perf_counter() - began)


@dataclass
class _Child:
    """A child at work on an input."""

    given: Input
    process: Any
    folder: tempfile.TemporaryDirectory[str]
    began: float


def run_all(
    inputs: Iterable[Input], work: Work = run_command, workers: int = 1, limit_s: float = LIMIT_S
) -> Iterator[tuple[Input, Outcome]]:
    """Run inputs, each in a child and an empty folder of its own; in the order of their ends.

    The limit is of the processor's time, so that what else a machine does changes no outcome.
    """
    _load_all()
    left, at_work = iter(inputs), dict[Connection, _Child]()
    while True:
        while len(at_work) < workers and (given := next(left, None)) is not None:
            ours, child = _start(given, work, limit_s)
            at_work[ours] = child
        if not at_work:
            return
        soonest = min(child.began for child in at_work.values()) + PATIENCE * limit_s
        ready = wait(list(at_work), max(soonest - time.monotonic(), 0.0))
        for ours, child in list(at_work.items()):
            if ours in ready or time.monotonic() >= child.began + PATIENCE * limit_s:
                yield child.given, _end(ours, at_work.pop(ours), limit_s, over=ours not in ready)


def _load_all() -> None:
    """Import what commands import when they need it, so that no child does so again."""
    for module in pkgutil.walk_packages(thermo.__path__, "thermo."):
        if module.name != "thermo.heat.reference":  # its library reads the command line
            importlib.import_module(module.name)


def _start(given: Input, work: Work, limit_s: float) -> tuple[Connection, _Child]:
    ours, theirs = FORK.Pipe(duplex=False)
    folder = tempfile.TemporaryDirectory()
    process = FORK.Process(target=_at_work, args=(given, work, limit_s, folder.name, theirs))
    process.start()
    theirs.close()
    return ours, _Child(given, process, folder, time.monotonic())


def _at_work(given: Input, work: Work, limit_s: float, folder: str, theirs: Connection) -> None:
    """In the child: within bounds, in a group of its own so that all of it can be ended."""
    os.setsid()
    resource.setrlimit(resource.RLIMIT_AS, (MEMORY, MEMORY))
    resource.setrlimit(resource.RLIMIT_CORE, (0, 0))
    resource.setrlimit(resource.RLIMIT_CPU, (math.ceil(limit_s), math.ceil(limit_s) + 5))
    os.chdir(_laid_out(given, Path(folder)))
    found = work(given)
    ours, below = (
        resource.getrusage(who).ru_maxrss
        for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN)
    )
    theirs.send(Outcome(**{**vars(found), "peak_MB": max(ours, below) / 1024}))


def _end(ours: Connection, child: _Child, limit_s: float, *, over: bool) -> Outcome:
    """What a child leaves; one that is over its time is ended, with all that it started."""
    try:
        found = Outcome("hang", seconds=limit_s) if over else ours.recv()
    except EOFError:
        child.process.join()
        spent = child.process.exitcode == -signal.SIGXCPU
        found = Outcome("hang" if spent else "crash", seconds=time.monotonic() - child.began)
    with contextlib.suppress(ProcessLookupError):
        os.killpg(child.process.pid, signal.SIGKILL)
    child.process.join()
    ours.close()
    child.folder.cleanup()
    return found


def _laid_out(given: Input, folder: Path) -> Path:
    """The folder, with the input's files in it."""
    folder.mkdir(exist_ok=True)
    for name, content in given.files.items():
        (folder / name).write_bytes(content)
    return folder
