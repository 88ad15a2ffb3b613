"""What was seen at the bench weighs the members: those that saw it then count more."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
from numpy.typing import NDArray

from thermo.braze.stages import StageName
from thermo.study.spread import HIGH, LOW, Band, Spread

Floats = NDArray[np.float64]

REACTION_S, MODEL = 0.5, 0.05
"""How late or early a hand marks a cue [s], and how far the model may be off in its time, as a
share: standard deviations (assumed)."""
LEAST = 8.0
"""Members that must count for what follows to be told (a judgement)."""


def weights(spread: Spread, marks: Mapping[StageName, float]) -> Floats:
    """How much each member counts after some cues were seen.

    w ~ Π exp(-½ (t - t_seen)² / (reaction² + (model · t_seen)²)), Σ w = 1

    Parameters
    ----------
    spread : Spread
    marks : mapping of StageName to float
        When each cue was seen, from striking the flame [s].

    Returns
    -------
    (n,) array
        Shares [-]; all alike where nothing was seen.

    Notes
    -----
    A member that never sees a cue counts nothing. The nearest member always counts, however far it
    is: `effective` tells whether that means anything.
    """
    misfit = np.zeros(spread.count)
    for cue, at in marks.items():
        misfit += (spread.seen[cue] - at) ** 2 / (REACTION_S**2 + (MODEL * at) ** 2)
    if not np.isfinite(misfit).any():
        return np.full(spread.count, 1.0 / spread.count)
    found = np.exp(-0.5 * (misfit - misfit.min()))
    return np.asarray(found / found.sum())


def effective(shares: Floats) -> float:
    """Number of members that count, 1 / Σ w² [-]; L. Kish, Survey Sampling (1965) section 11.7."""
    return float(1.0 / (shares @ shares))


def weighted_band(values: Floats, shares: Floats) -> Band:
    """Low, middle and high of values that count differently; None for never.

    Parameters
    ----------
    values, shares : (n,) array
        Values may be infinite; shares add up to 1.
    """
    order = np.argsort(values, kind="stable")
    reached = np.cumsum(shares[order])
    ends = [values[order][np.searchsorted(reached, q * reached[-1])] for q in (LOW, 0.5, HIGH)]
    low, middle, high = (float(x) if np.isfinite(x) else None for x in ends)
    return Band(low, middle, high)
