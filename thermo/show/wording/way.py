"""How the torch is held and why, in one line."""

from __future__ import annotations

from collections.abc import Iterator

from thermo.braze import Braze
from thermo.flame import StrategyName
from thermo.show.wording.words import format_duration, printable, width
from thermo.study.choose import Way
from thermo.study.window import spoilt

GIVEN = {
    "asked": "as asked for with --way",
    "case": "the case's own",
    "off": "and it is off",
}
MARKS = 2
"""Runs that the one taken is held against."""


def way_line(way: Way) -> str:
    """How the torch is held and why: of those tried with the numbers of the next and the plainest.

    Parameters
    ----------
    way : Way
    """
    name = printable(way.strategy.name)
    if way.reason in GIVEN:
        return f"Torch held “{name}”, {GIVEN[way.reason]}; no other was tried."
    first, count = way.tried[0], len(way.tried)
    if first.filled_s is None:
        head = f"None of {count} ways tried fills the gap; “{name}” comes nearest"
    else:
        head = f"Torch held “{name}”, the best of {count} ways tried, by filler, leeway and time"
    others = "".join(f" “{_name(run)}”: {numbers(run)}." for run in _beside(way))
    return f"{head}: {numbers(first)}.{others}"


def _beside(way: Way) -> Iterator[Braze]:
    """The next by rank and the flame plainly on the ball, each once and not the one taken."""
    near = way.trial(StrategyName.NEAR)
    if way.runner_up is not None:
        yield way.runner_up
    if near is not None and near not in way.tried[:MARKS]:
        yield near


def _name(run: Braze) -> str:
    return printable(run.setup.strategy.name)


def numbers(run: Braze) -> str:
    """When the gap is full and with what leeway, and how the waiting filler is spoilt."""
    if run.filled_s is None:
        return f"coldest place at most {run.coldest_C:.0f} °C"
    spoils = [limit.name for limit in spoilt(run)]
    but = f", but {' and '.join(spoils)}" if spoils else ""
    return f"full at {format_duration(run.filled_s)}, leeway {width(run.leeway)}{but}"
