"""Which way of holding the torch leaves most room for error."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import combinations

import numpy as np

from thermo.braze import Braze, Limit, Setup, Work, brazes, reckoned
from thermo.braze.filler.snip import Melting, snip_melting
from thermo.braze.limits import OF_FILLER
from thermo.braze.plane import SIDE_DIGITS, needs_full_circle
from thermo.braze.stages import StageName
from thermo.flame import Strategy

TIE_S = 2.0
TIE_K = 3.0


@dataclass(frozen=True)
class Spread:
    """How unevenly the gap gets ready.

    Attributes
    ----------
    end_to_end_K, side_to_side_K : float
        Mouth minus bottom, near minus far, at `at_s` [K].
    end_to_end_s, side_to_side_s : float or None
        Bottom's liquidus after the mouth's, far side's after the near side's, mean over the links;
        None where some link never gets there [s].
    at_s : float
        When the temperatures are read [s].
    moment : str
        What happens then: "filler enters", "gap ready" or "flame taken away".
    """

    end_to_end_K: float
    side_to_side_K: float
    end_to_end_s: float | None
    side_to_side_s: float | None
    at_s: float
    moment: str


@dataclass(frozen=True)
class Ranked:
    """One strategy in its place.

    Attributes
    ----------
    rank : int
        From 1, each once; which of them cannot be told apart stands in `Comparison.ties`.
    run : Braze
    spread : Spread
    rod_lead_K : float
        Largest lead of the rod over the gap's coldest wall [K].
    melting : tuple of Melting or None
        Snips at the mouth on the flame's side and opposite; None where the filler is central.
    """

    rank: int
    run: Braze
    spread: Spread
    rod_lead_K: float
    melting: tuple[Melting, Melting] | None

    @property
    def name(self) -> str:
        """Name of the strategy."""
        return self.run.setup.strategy.name


@dataclass(frozen=True)
class Comparison:
    """Strategies by rank, and which of them cannot be told apart.

    Attributes
    ----------
    strategies : tuple of Ranked
    ties : tuple of (name, name)
        The same limits on the waiting filler are passed, leeway and time to filling differ by
        less than 2 s, the gap's spread, end to end and side to side, by less than 3 K; where
        neither gets there, its coldest wall by less than 3 K.
    """

    strategies: tuple[Ranked, ...]
    ties: tuple[tuple[str, str], ...]


def compare(
    setup: Setup,
    strategies: Sequence[Strategy],
    accuracy: str = "normal",
    workers: int | None = None,
    done: Callable[[int, int], None] | None = None,
    begins: Callable[[Sequence[Work]], None] | None = None,
) -> Comparison:
    """March strategies side by side and rank them.

    Those that fill the gap come first; of them those that keep to the limits on the filler that
    waits for it, then the widest leeway, in steps of 2 s, then the soonest.

    Those held in one plane through the axis march as columns on a half mesh; the others on the
    full one.

    Parameters
    ----------
    setup : Setup
    strategies : sequence of Strategy
    accuracy : str
    workers : int, optional
        Processes.
    done : callable, optional
        Told the number of batches finished and of all.
    begins : callable, optional
        Told how much there is to do in each, before it is done; what it raises ends the study.

    Returns
    -------
    Comparison

    Examples
    --------
    >>> from thermo import case_from_options, compare, strategies_of, to_setup
    >>> case = case_from_options(3.0, 1.2, "pocket", filler="Ag 140")
    >>> ways = [strategies_of(case)[name] for name in ("near side", "mouth")]
    >>> found = compare(to_setup(case), ways, "quick", workers=1)
    >>> sorted(ranked.name for ranked in found.strategies)
    ['mouth', 'near side']
    >>> [ranked.rank for ranked in found.strategies]
    [1, 2]
    """
    from thermo.study.pool import run_all  # brings processes: a choice in this one does without

    jobs = [(setup, batch, accuracy) for batch in batches(strategies)]
    if begins is not None:
        begins([reckoned(*job) for job in jobs])
    runs = [run for batch in run_all(_batch, jobs, workers, done) for run in batch]
    ordered = by_rank(runs, [strategy.name for strategy in strategies])
    ranked = tuple(_ranked(place + 1, run) for place, run in enumerate(ordered))
    ties = tuple((a.name, b.name) for a, b in combinations(ranked, 2) if tied(a, b))
    return Comparison(ranked, ties)


def batches(strategies: Sequence[Strategy]) -> list[list[Strategy]]:
    """Strategies that can march side by side: those of one plane through the axis on a half mesh.

    Parameters
    ----------
    strategies : sequence of Strategy
    """
    found: dict[float | None, list[Strategy]] = {None: []}  # the slow ones first
    for strategy in strategies:
        side = round(strategy.phases[0].side % 180.0, SIDE_DIGITS) % 180.0
        found.setdefault(None if needs_full_circle(strategy) else side, []).append(strategy)
    return [batch for batch in found.values() if batch]


def by_rank(runs: Sequence[Braze], given: Sequence[str]) -> list[Braze]:
    """Brazes of one joint by rank, see `compare`; equals in the order their names are given.

    Parameters
    ----------
    runs : sequence of Braze
    given : sequence of str
        Names of the strategies.
    """
    return sorted(runs, key=lambda run: (*_worth(run), given.index(run.setup.strategy.name)))


def _batch(job: tuple[Setup, list[Strategy], str]) -> list[Braze]:
    setup, strategies, accuracy = job
    return brazes(setup, strategies, accuracy)


def tied(a: Ranked, b: Ranked) -> bool:
    """True where two strategies cannot be told apart, see `Comparison.ties`."""
    if _names(spoilt(a.run)) != _names(spoilt(b.run)):
        return False
    one, other = (ranked.run.filled_s for ranked in (a, b))
    if one is None and other is None:
        close = abs(a.run.coldest_C - b.run.coldest_C) < TIE_K
    elif one is None or other is None:
        return False
    else:
        close = abs(leeway_s(a.run) - leeway_s(b.run)) < TIE_S and abs(one - other) < TIE_S
    ends = abs(a.spread.end_to_end_K - b.spread.end_to_end_K)
    sides = abs(abs(a.spread.side_to_side_K) - abs(b.spread.side_to_side_K))
    return close and ends < TIE_K and sides < TIE_K


def spoilt(run: Braze) -> list[Limit]:
    """Limits on the filler that waits for the gap which the run passes, in order of time.

    None where the gap never gets ready: there it waits for nothing.
    """
    if run.leeway.opens_s is None:
        return []
    passed = [limit for limit in run.limits if limit.name in OF_FILLER and not limit.ok]
    return sorted(passed, key=lambda limit: limit.time_s or 0.0)


def leeway_s(run: Braze) -> float:
    """Width of the leeway, as far as it was looked for; -1 where the gap never gets ready [s]."""
    if run.leeway.opens_s is None:
        return -1.0
    return run.leeway.looked_s if run.leeway.width_s is None else run.leeway.width_s


def _names(limits: Sequence[Limit]) -> set[str]:
    return {limit.name for limit in limits}


def _worth(run: Braze) -> tuple[float, ...]:
    """Sorting key: filled, waiting filler's limits, leeway, time, nearest to getting there."""
    filled = run.filled_s
    sooner = np.inf if filled is None else round(filled, 1)  # mirrored runs keep their order
    steps = -round(leeway_s(run) / TIE_S)
    return filled is None, len(spoilt(run)), steps, sooner, -round(run.coldest_C, 1)


def _ranked(rank: int, run: Braze) -> Ranked:
    lead = float(run.stations.lead_K.max())
    melting = None if run.setup.snip.central else snip_melting(run)
    return Ranked(rank, run, _spread(run), lead, melting)


def _even(run: Braze) -> tuple[float, str]:
    """The last moment before filler evens the gap out, and what happens then [s]."""
    first, off = run.filler.first_s, run.stage(StageName.FLAME_OFF).time_s
    if first is not None and first < run.section_s:
        return first, "filler enters"
    ready = off is None or run.section_s < off
    return run.section_s, "gap ready" if ready else "flame taken away"


def _spread(run: Braze) -> Spread:
    """The gap's spread at the last moment before filler evens it out."""
    at, moment = _even(run)
    mouth, bottom, near, far = (
        float(np.interp(at, run.stations.time_s, run.stations[f"gap_{place}_C"]))
        for place in ("mouth", "bottom", "near", "far")
    )
    gap = run.mesh.gap
    walls = ~gap.floor
    ready, area, z = run.gap_ready_s[walls], gap.area[walls], gap.z[walls]
    side = np.cos(gap.azimuth[walls] - np.radians(run.timeline[0][1].side))

    def mean(chosen: np.ndarray) -> float:
        return float(np.average(ready[chosen], weights=area[chosen]))

    ends = sides = None
    if not np.isnan(ready).any():
        ends = mean(z >= z.max() - 1e-9) - mean(z <= z.min() + 1e-9)
        sides = mean(side < 0) - mean(side > 0)
    return Spread(mouth - bottom, near - far, ends, sides, at, moment)
