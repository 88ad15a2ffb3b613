"""Which half of a joint stands for the whole: the plane that its torch is held in."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from thermo.braze.setup import Setup
from thermo.flame import Phase, Strategy

SIDE_DIGITS = 9
"""Of a side, in degrees: what differs by rounding only is one side."""


def needs_full_circle(strategy: Strategy) -> bool:
    """True where one half of the joint does not stand for the other."""
    first = strategy.phases[0].side
    sides = [_apart(phase.side, first) % 180.0 for phase in strategy.phases]
    return any(sides) or any(phase.motion == "round" for phase in strategy.phases)


def _apart(side: float, first: float) -> float:
    """One side counted from another; opposite is 180 whatever rounding does to their difference."""
    return round((side - first) % 360.0, SIDE_DIGITS) % 360.0


def turned(
    setup: Setup, strategies: Sequence[Strategy]
) -> tuple[list[tuple[Phase, ...]], float, bool]:
    """Phases with azimuth 0 on the first phase's side, the turn, and whether one half is enough.

    An off-centre rod keeps its own direction: then nothing is turned.
    """
    first = 0.0 if setup.joint.eccentricity else strategies[0].phases[0].side
    turned = [
        tuple(replace(p, side=_apart(p.side, first)) for p in strategy.phases)
        for strategy in strategies
    ]
    held = all(p.motion != "round" and p.side % 180.0 == 0.0 for ps in turned for p in ps)
    return turned, first, held
