"""What is told of a long run: beforehand how long it may take, then a bar that grows."""

from __future__ import annotations

import contextlib
import sys
import time
from collections.abc import Callable, Iterator, Sequence
from typing import TYPE_CHECKING

import click

from thermo.cli.shared import Refused

if TYPE_CHECKING:  # the rest is imported where it is used: help and check answer at once
    from thermo.braze import Work
    from thermo.files import Case

AFTER_S = 2.0
"""Runs that are over sooner show no bar."""
BETWEEN_S = 0.1
"""It is drawn anew no oftener."""
LONG_S = 60.0
"""Runs reckoned to take longer say so beforehand."""
MOST_S = 1800.0
"""Runs reckoned to take longer on one core are refused."""

Tell = Callable[[float, float], None]


def foretelling(case: Case) -> Callable[[Work], None]:
    """`foretell` for runs that are known one after the other: they add up, and are told of once."""
    ahead: list[Work] = []

    def begins(work: Work) -> None:
        told = expected_s(ahead) > LONG_S
        ahead.append(work)
        foretell(case, ahead, quiet=told)

    return begins


def expected_s(runs: Sequence[Work], workers: int = 1) -> float:
    """How long runs may take, so many at a time [s]."""
    alone = sum(run.seconds for run in runs)
    return max([alone / max(workers, 1), *(run.seconds for run in runs)])


def foretell(case: Case, runs: Sequence[Work], workers: int = 1, *, quiet: bool = False) -> None:
    """Refuse what would take too long; say on stderr what may take more than a minute.

    Parameters
    ----------
    case : Case
    runs : sequence of Work
        What each run has to do at most.
    workers : int
        Runs that are computed at a time.
    quiet : bool
        True where it has been said already: only refuse.

    Raises
    ------
    Refused
        The runs take more than `MOST_S` together on one core.
    """
    alone = sum(run.seconds for run in runs)
    if alone > MOST_S:
        from thermo.files.errors import CaseError, Problem

        key, value, remedy = _to_change(case, MOST_S / alone)
        text = (
            f"may take some {_minutes(alone)} to compute, {_minutes(MOST_S)} is the most; {remedy}"
            ", a thicker rod, --accuracy quick or fewer runs"
        )
        raise Refused(str(CaseError(case.source, [Problem(key, text, value)])))
    expected = expected_s(runs, workers)
    if expected > LONG_S and not quiet:
        from thermo.files.errors import screened

        burns = max(run.simulated_s for run in runs)
        click.echo(
            f"{screened(case.source)}: may take some {_minutes(expected)} to compute, should the "
            f"flame have to stay for {burns:.0f} s",
            err=True,
        )


def _to_change(case: Case, share: float) -> tuple[str, object, str]:
    """Key and value that cost most, and what to give instead to come down to a share of it."""
    places = [
        (phase.until, f"strategy[{i}].phase[{k}].until")
        if isinstance(phase.until, float)
        else (phase.max_s, f"strategy[{i}].phase[{k}].max_s")
        for i, strategy in enumerate(case.strategy, start=1)
        for k, phase in enumerate(strategy.phase, start=1)
    ]
    if not places:
        value = case.rod.diameter_mm
        return "rod.diameter_mm", value, "give a [[strategy]] with a shorter max_s than 300"
    value, key = max(places, key=lambda place: place[0])
    return key, value, f"give at most {max(share * value, 1):.0f} s"


def _minutes(seconds: float) -> str:
    return f"{seconds / 60:.0f} min" if seconds >= 90 else f"{seconds:.0f} s"


@contextlib.contextmanager
def counting(words: str, now: Callable[[], float] = time.monotonic) -> Iterator[Tell]:
    """A bar on stderr that is told how much is done and of how much; on a terminal only.

    It shows when `AFTER_S` are over. It draws when told and has no thread of its own: other
    processes may be forked beside it.

    Parameters
    ----------
    words : str
        What stands before the bar.
    now : callable
        The clock [s].
    """
    if not _on_screen():
        yield lambda done, total: None
        return
    due = now() + AFTER_S
    with contextlib.ExitStack() as shown:
        draw: Tell | None = None

        def tell(done: float, total: float) -> None:
            nonlocal draw, due
            if now() < due:
                return
            due = now() + BETWEEN_S
            draw = draw or shown.enter_context(_bar(words))
            draw(done, total)

        yield tell


def _on_screen() -> bool:
    return sys.stderr.isatty()


@contextlib.contextmanager
def _bar(words: str) -> Iterator[Tell]:
    from rich.progress import BarColumn, Progress, TaskProgressColumn, TextColumn

    from thermo.show.printing import terminal

    parts = TextColumn("{task.description}"), BarColumn(None), TaskProgressColumn()
    console = terminal(stderr=True)
    with Progress(*parts, console=console, auto_refresh=False, transient=True) as bar:
        task = bar.add_task(words, total=None)
        yield lambda done, total: bar.update(task, completed=done, total=total, refresh=True)
