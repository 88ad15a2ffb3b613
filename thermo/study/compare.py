"""Which way of holding the torch leaves most room for error."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import combinations

import numpy as np

from thermo.braze import Braze, Setup, Work, brazes, reckoned
from thermo.braze.filler.snip import Melting, snip_melting
from thermo.braze.plane import SIDE_DIGITS, needs_full_circle
from thermo.braze.stages import StageName
from thermo.files import Case
from thermo.flame import Strategy
from thermo.study.ranking import TIE_K, alike, by_rank, tied
from thermo.study.spread import Spread, spreads


@dataclass(frozen=True)
class GapSpread:
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
    gap_spread : GapSpread
    rod_lead_K : float
        Largest lead of the rod over the gap's coldest wall [K].
    melting : tuple of Melting or None
        Snips at the mouth on the flame's side and opposite; None where the filler is central.
    spread : Spread or None
        What its members come to; None where none were drawn.
    """

    rank: int
    run: Braze
    gap_spread: GapSpread
    rod_lead_K: float
    melting: tuple[Melting, Melting] | None
    spread: Spread | None = None

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
        What `ranking` calls alike, of members where there are any; without, the gap's spread, end
        to end and side to side, differs by less than 3 K too.
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
    case: Case | None = None,
    members: int = 0,
) -> Comparison:
    """March strategies side by side and rank them, see `ranking.by_rank`.

    Those held in one plane through the axis march as columns on a half mesh; the others on the
    full one. All are held against each other by the same draws of what is not known.

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
    case : Case, optional
        Gives the ranges that members are drawn from.
    members : int
        Draws for each strategy, where there is a case.

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
    sure = dict[str, Spread]()
    if case is not None and members:
        found = spreads(runs, case, members, workers, done)
        sure = {run.setup.strategy.name: one for run, one in zip(runs, found, strict=True)}
    ordered = by_rank(runs, [strategy.name for strategy in strategies], sure or None)
    ranked = tuple(
        _ranked(place, run, sure.get(run.setup.strategy.name))
        for place, run in enumerate(ordered, start=1)
    )
    ties = tuple((a.name, b.name) for a, b in combinations(ranked, 2) if _tied(a, b))
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


def _batch(job: tuple[Setup, list[Strategy], str]) -> list[Braze]:
    setup, strategies, accuracy = job
    return brazes(setup, strategies, accuracy)


def _tied(a: Ranked, b: Ranked) -> bool:
    """True where two strategies cannot be told apart, see `Comparison.ties`."""
    if a.spread is not None and b.spread is not None:
        return alike(a.spread, b.spread)
    ends = abs(a.gap_spread.end_to_end_K - b.gap_spread.end_to_end_K)
    sides = abs(abs(a.gap_spread.side_to_side_K) - abs(b.gap_spread.side_to_side_K))
    return tied(a.run, b.run) and ends < TIE_K and sides < TIE_K


def _ranked(rank: int, run: Braze, spread: Spread | None) -> Ranked:
    lead = float(run.stations.lead_K.max())
    melting = None if run.setup.snip.central else snip_melting(run)
    return Ranked(rank, run, _spread(run), lead, melting, spread)


def _even(run: Braze) -> tuple[float, str]:
    """The last moment before filler evens the gap out, and what happens then [s]."""
    first, off = run.filler.first_s, run.stage(StageName.FLAME_OFF).time_s
    if first is not None and first < run.section_s:
        return first, "filler enters"
    ready = off is None or run.section_s < off
    return run.section_s, "gap ready" if ready else "flame taken away"


def _spread(run: Braze) -> GapSpread:
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
    return GapSpread(mouth - bottom, near - far, ends, sides, at, moment)
