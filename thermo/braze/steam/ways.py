"""Ways out for the steam of a closed hole, and how fast the joint may then be heated."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace

from thermo.braze.setup import Setup
from thermo.braze.steam.damp import Damp
from thermo.braze.steam.pressure import Steam, vented
from thermo.constants import MM
from thermo.shape import Joint

FLATS = tuple(MM * depth for depth in (0.05, 0.1, 0.15, 0.2, 0.3))
"""Depths of a flat filed along the rod in the hole, to choose from [m]."""
DEEPEST = 0.25
"""Of the rod's radius, at most (assumed: what is left still centres it)."""
VENT = 1.0 * MM
"""A vent to drill through the hole's bottom, or half the hole where that is less [m]."""
SLOWEST, FASTEST = 1e-3, 1e3  # looked for between [K/s]


@dataclass(frozen=True)
class WayOut:
    """A way out, and what steam does where it is clear.

    Attributes
    ----------
    kind : str
        "gap" as it is, "flat" filed along the rod in the hole, "vent" through the hole's bottom.
    size : float
        Depth of the flat, diameter of the vent; 0 for the gap [m].
    force : float
        On the rod at the run's own pace [N].
    fastest : float or None
        Pace up to which what holds ball and rod bears the steam, `FASTEST` at most; None where
        that is not known [K/s].
    """

    kind: str
    size: float
    force: float
    fastest: float | None

    def bears(self, rate: float) -> bool:
        """True where what holds ball and rod is known to bear the steam of a pace [K/s]."""
        return self.fastest is not None and rate <= self.fastest


def ways_out(setup: Setup, found: Steam) -> tuple[WayOut, ...]:
    """The gap as it is, flats from the shallowest on, a vent; none where the hole is not closed.

    Parameters
    ----------
    setup : Setup
    found : Steam
        Its water, its share of paste, what holds, and the run's own pace.
    """
    joint, damp = setup.joint, found.damp
    if not found.closed or found.open is None or damp.free + damp.bound <= 0.0:
        return ()
    deepest = DEEPEST * joint.rod_radius
    ways = [_way(joint, damp, found, "gap", 0.0)]
    ways += [_way(joint, damp, found, "flat", depth) for depth in FLATS if depth <= deepest]
    if joint.hole != "through":
        vent = min(VENT, joint.hole_radius)
        ways.append(_way(replace(joint, vent_diameter=vent), damp, found, "vent", vent))
    return tuple(ways)


def _way(joint: Joint, damp: Damp, found: Steam, kind: str, size: float) -> WayOut:
    def force(rate: float) -> float:
        way = vented(joint, damp, rate, found.hole_share, size if kind == "flat" else 0.0)
        return math.inf if way is None else way.force

    holds = found.holding.force
    fastest = None if holds is None else _fastest(force, holds)
    return WayOut(kind, size, force(found.heating_rate), fastest)


def _fastest(force: Callable[[float], float], holds: float) -> float:
    """Fastest pace at which the force is no more than what holds; 0 for none [K/s]."""
    low, high = math.log(SLOWEST), math.log(FASTEST)
    if force(SLOWEST) > holds:
        return 0.0
    if force(FASTEST) <= holds:
        return FASTEST
    while high - low > 1e-3:
        middle = 0.5 * (low + high)
        low, high = (middle, high) if force(math.exp(middle)) <= holds else (low, middle)
    return math.exp(low)
