"""Which way of holding the torch leaves most room for error."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import combinations

import numpy as np

from thermo.braze import Braze, Setup, brazes
from thermo.braze.scene import needs_full_circle
from thermo.braze.snip import Melting, snip_melting
from thermo.flame import Strategy
from thermo.study.pool import run_all

TIE_S = 2.0
TIE_K = 3.0


@dataclass(frozen=True)
class Spread:
    """How unevenly the gap gets ready.

    Attributes
    ----------
    end_to_end_K, side_to_side_K : float
        Mouth minus bottom, near minus far, when filler first enters, or else when the gap is ready
        or the flame is taken away [K].
    end_to_end_s, side_to_side_s : float or None
        Bottom's liquidus after the mouth's, far side's after the near side's, mean over the links;
        None where some link never gets there [s].
    """

    end_to_end_K: float
    side_to_side_K: float
    end_to_end_s: float | None
    side_to_side_s: float | None


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
        Leeway and time to filling differ by less than 2 s, the gap's spread, end to end and side
        to side, by less than 3 K; where neither gets there, its coldest wall by less than 3 K.
    """

    strategies: tuple[Ranked, ...]
    ties: tuple[tuple[str, str], ...]


def compare(
    setup: Setup,
    strategies: Sequence[Strategy],
    accuracy: str = "normal",
    workers: int | None = None,
    done: Callable[[int, int], None] | None = None,
) -> Comparison:
    """March strategies side by side and rank them by leeway, in steps of 2 s, then by time.

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

    Returns
    -------
    Comparison
    """
    batches: dict[float | None, list[Strategy]] = {None: []}  # the slow ones first
    for strategy in strategies:
        plane = None if needs_full_circle(strategy) else strategy.phases[0].side % 180.0
        batches.setdefault(plane, []).append(strategy)
    jobs = [(setup, batch, accuracy) for batch in batches.values() if batch]
    runs = [run for batch in run_all(_batch, jobs, workers, done) for run in batch]
    given = [strategy.name for strategy in strategies]
    runs.sort(key=lambda run: (*_worth(run), given.index(run.setup.strategy.name)))
    ranked = tuple(_ranked(place + 1, run) for place, run in enumerate(runs))
    ties = tuple((a.name, b.name) for a, b in combinations(ranked, 2) if tied(a, b))
    return Comparison(ranked, ties)


def _batch(job: tuple[Setup, list[Strategy], str]) -> list[Braze]:
    setup, strategies, accuracy = job
    return brazes(setup, strategies, accuracy)


def tied(a: Ranked, b: Ranked) -> bool:
    """True where two strategies cannot be told apart, see `Comparison.ties`."""
    one, other = (ranked.run.stage("filled").time_s for ranked in (a, b))
    if one is None and other is None:
        close = abs(coldest_C(a.run) - coldest_C(b.run)) < TIE_K
    elif one is None or other is None:
        return False
    else:
        close = abs(leeway_s(a.run) - leeway_s(b.run)) < TIE_S and abs(one - other) < TIE_S
    ends = abs(a.spread.end_to_end_K - b.spread.end_to_end_K)
    sides = abs(abs(a.spread.side_to_side_K) - abs(b.spread.side_to_side_K))
    return close and ends < TIE_K and sides < TIE_K


def leeway_s(run: Braze) -> float:
    """Width of the leeway, as far as it was looked for; -1 where the gap never gets ready [s]."""
    if run.leeway.opens_s is None:
        return -1.0
    return run.leeway.looked_s if run.leeway.width_s is None else run.leeway.width_s


def coldest_C(run: Braze) -> float:
    """Hottest that the gap's coldest wall gets [°C]."""
    return float(run.stations["gap_min_C"].max())


def _worth(run: Braze) -> tuple[float, float, float]:
    """Sorting key: widest leeway, then earliest filled, then nearest to getting there."""
    filled = run.stage("filled").time_s
    sooner = np.inf if filled is None else round(filled, 1)  # mirrored runs keep their order
    return -round(leeway_s(run) / TIE_S), sooner, -round(coldest_C(run), 1)


def _ranked(rank: int, run: Braze) -> Ranked:
    lead = float(run.stations["lead_K"].max())
    melting = None if run.setup.snip.central else snip_melting(run)
    return Ranked(rank, run, _spread(run), lead, melting)


def _spread(run: Braze) -> Spread:
    """The gap's spread when it is ready, or before filler evens it out where it is let in."""
    first = run.filler.first_s
    at = run.section_s if first is None else min(run.section_s, first)
    mouth, bottom, near, far = (
        float(np.interp(at, run.stations["time_s"], run.stations[f"gap_{place}_C"]))
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
    return Spread(mouth - bottom, near - far, ends, sides)
