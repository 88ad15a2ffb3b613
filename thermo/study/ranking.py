"""Which of several brazes of one joint is the better, and which cannot be told apart."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from thermo.braze import Braze
from thermo.braze.stages import StageName
from thermo.study.spread import Spread, band_of
from thermo.study.window import leeway_s, spoilt

TIE_S = 2.0
TIE_K = 3.0
ERRORS = 2.0
"""Standard errors within which members do not tell (a judgement, 95 % of the time)."""
LIKE_S = 0.1
"""Members of two strategies differ by less where the strategies are mirror images [s]."""


def by_rank(
    runs: Sequence[Braze], given: Sequence[str], spreads: Mapping[str, Spread] | None = None
) -> list[Braze]:
    """Brazes of one joint by rank; equals in the order their names are given.

    With members first those whose members end well most often; of those that their number does not
    tell apart from the best, the one with the widest leeway at 10 % of the members, in steps of
    `TIE_S`, then the soonest at 50 %. Without: filled, the limits on the filler that waits, leeway
    in steps, the soonest, nearest to getting there.

    Parameters
    ----------
    runs : sequence of Braze
    given : sequence of str
        Names of the strategies.
    spreads : mapping of str to Spread, optional
        Members by the strategy's name; a strategy that has none comes after those that have.
    """
    plain = sorted(runs, key=lambda run: (*_worth(run), given.index(run.setup.strategy.name)))
    if spreads is None:
        return plain
    left = {name: spreads[name] for run in plain if (name := run.setup.strategy.name) in spreads}
    ordered = list[str]()
    while left:
        best = max(left.values(), key=lambda spread: spread.well_share)
        as_often = [name for name, spread in left.items() if _as_often(spread, best)]
        ordered.append(min(as_often, key=lambda name: _room(left[name])))
        del left[ordered[-1]]
    places = {name: place for place, name in enumerate(ordered)}
    return sorted(plain, key=lambda run: places.get(run.setup.strategy.name, len(places)))


def alike(a: Spread, b: Spread) -> bool:
    """True where members of the same draws do not tell two strategies apart.

    Neither ends well more often by more than `ERRORS` standard errors of the difference, and the
    bands of the differences in leeway and in time to filling hold nothing.

    Parameters
    ----------
    a, b : Spread
        Of the same draws, one maybe of fewer.
    """
    if not _as_often(a, b):
        return False
    n = min(a.count, b.count)
    filled = _difference(a.seen[StageName.FILLED][:n], b.seen[StageName.FILLED][:n])
    return _holds_nothing(filled) and _holds_nothing(a.leeway_s[:n] - b.leeway_s[:n])


def tied(one: Braze, other: Braze) -> bool:
    """True where two brazes cannot be told apart.

    The same limits on the waiting filler are passed, leeway and time to filling differ by less than
    `TIE_S`; where neither gets there, its coldest wall by less than `TIE_K`.

    Parameters
    ----------
    one, other : Braze
    """
    if {limit.name for limit in spoilt(one)} != {limit.name for limit in spoilt(other)}:
        return False
    if one.filled_s is None and other.filled_s is None:
        return abs(one.coldest_C - other.coldest_C) < TIE_K
    if one.filled_s is None or other.filled_s is None:
        return False
    like = abs(leeway_s(one) - leeway_s(other)) < TIE_S
    return like and abs(one.filled_s - other.filled_s) < TIE_S


def _difference(a: NDArray[np.float64], b: NDArray[np.float64]) -> NDArray[np.float64]:
    """Differences of times where both come, (k,) [s]."""
    both = np.isfinite(a) & np.isfinite(b)
    return np.asarray(a[both] - b[both])


def _holds_nothing(differences: NDArray[np.float64]) -> bool:
    """True where the band of differences holds 0, or there is none."""
    band = band_of(differences)
    if band.low is None or band.high is None:
        return True
    return band.low <= LIKE_S and band.high >= -LIKE_S


def _as_often(a: Spread, b: Spread) -> bool:
    """True where neither ends well more often, by `ERRORS` standard errors of the difference."""
    n = min(a.count, b.count)
    well = a.well[:n].astype(float) - b.well[:n]
    return bool(abs(well.mean()) <= ERRORS * well.std() / np.sqrt(n))


def _room(spread: Spread) -> tuple[float, ...]:
    """Sorting key of members that end well as often: leeway at 10 %, time at 50 %."""
    leeway, filled = spread.leeway.low, spread.band(StageName.FILLED).middle
    steps = np.inf if leeway is None else -round(leeway / TIE_S)
    return steps, np.inf if filled is None else round(filled, 1)


def _worth(run: Braze) -> tuple[float, ...]:
    """Sorting key: filled, waiting filler's limits, leeway, time, nearest to getting there."""
    filled = run.filled_s
    sooner = np.inf if filled is None else round(filled, 1)  # mirrored runs keep their order
    steps = -round(leeway_s(run) / TIE_S)
    return filled is None, len(spoilt(run)), steps, sooner, -round(run.coldest_C, 1)
