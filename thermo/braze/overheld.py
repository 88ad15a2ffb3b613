"""What a flame held on too long does: how hot the parts get, which limits are passed."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from thermo.braze.limits import LimitName
from thermo.braze.monitors import Stations

AFTER_S = (5.0, 10.0)
"""So long beyond its time a flame is held by oversight [s]."""


@dataclass(frozen=True)
class Overheld:
    """The parts after a flame held on too long.

    Attributes
    ----------
    after_s : float
        Since the flame should have gone [s].
    ball_C, rod_C, gap_C : float or None
        Hottest place of each then; None where the braze was spoilt before [°C].
    second_C : float or None
        Hottest place of a second ball's joint; None where there is none [°C].
    passed : tuple of LimitName
        Limits passed since the flame should have gone, the first first.
    """

    after_s: float
    ball_C: float | None
    rod_C: float | None
    gap_C: float | None
    second_C: float | None
    passed: tuple[LimitName, ...]


def overheld(
    stations: Stations, off_s: float, reached: Mapping[LimitName, float]
) -> tuple[Overheld, ...]:
    """What holding on does, as far as the march looked on with the flame kept as it was.

    Parameters
    ----------
    stations : Stations
        With the flame kept on beyond its time.
    off_s : float
        When it should have gone [s].
    reached : mapping
        When each limit was passed [s].
    """
    found = []
    for after in AFTER_S:
        t = off_s + after
        known = stations.time_s[-1] >= t - 1e-6

        def value(name: str, t: float = t, known: bool = known) -> float | None:
            there = known and name in stations
            return float(np.interp(t, stations.time_s, stations[name])) if there else None

        passed = sorted((at, name) for name, at in reached.items() if off_s < at <= t)
        found.append(
            Overheld(
                after,
                value("ball_max_C"),
                value("rod_max_C"),
                value("gap_max_C"),
                value("second_joint_C"),
                tuple(name for _, name in passed),
            )
        )
    return tuple(found)
