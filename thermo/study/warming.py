"""Warming damp flux in a closed hole: from how far off, how long, and with what way out."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from thermo.braze import Braze, brazes
from thermo.braze.stages import StageName
from thermo.braze.steam.ways import WayOut, ways_out
from thermo.constants import MM
from thermo.flame import Phase, Strategy
from thermo.study.choose import TRIAL

GAPS = tuple(MM * gap for gap in (20.0, 40.0, 60.0, 80.0, 120.0, 160.0))
"""Distances to warm from, inner cone's tip to the steel: what a hand can keep [m]."""
LONGEST_S = 240.0
"""A warm-up that takes longer is not offered (assumed) [s]."""


@dataclass(frozen=True)
class Pace:
    """One warm-up of the joint put together, rod loose in the hole.

    Attributes
    ----------
    gap : float
        Inner cone's tip to the ball's middle [m].
    rate : float
        Pace of the gap while its free water leaves [K/s].
    steaming_s, swelling_s : float or None
        From striking the flame until steaming stops and until swelling stops, seen and in the gap;
        None where it does not within `LONGEST_S` [s].
    """

    gap: float
    rate: float
    steaming_s: float | None
    swelling_s: float | None


@dataclass(frozen=True)
class WarmUp:
    """How to warm a joint whose hole is damp.

    Attributes
    ----------
    pace : Pace or None
        The quickest that does, by the first way out that allows one; else the gentlest there is;
        None where no distance ends the swelling.
    way : WayOut or None
        The way out that this pace needs, "gap" for none besides it; None where no pace is known to
        do, or what holds is not known.
    ways : tuple of WayOut
        All that were looked at.
    """

    pace: Pace | None
    way: WayOut | None
    ways: tuple[WayOut, ...]


def warm_up(run: Braze) -> WarmUp | None:
    """The warm-up that the steam of a closed hole allows, or the way out that it needs.

    Steam that leaves as it is made must not push harder than what holds ball and rod together. The
    joint as it is comes first, then a flat filed along the rod, from the shallowest on; a vent is
    looked at as well.

    Parameters
    ----------
    run : Braze

    Returns
    -------
    WarmUp or None
        None where the hole is open, nothing steams, or no torch burns.
    """
    setup = run.setup
    ways = ways_out(setup, run.steam)
    if not ways or setup.coat.dried or setup.torch.fuel_power == 0.0:
        return None
    side = setup.strategy.phases[0].side
    cone = setup.torch.cone_length
    held = [
        Strategy(f"warm {number}", [Phase("ball", side, cone + gap, until=LONGEST_S)])
        for number, gap in enumerate(GAPS)
    ]
    runs = brazes(setup, held, TRIAL)
    paces = [_pace(gap, one) for gap, one in zip(GAPS, runs, strict=True)]
    ends = [pace for pace in paces if pace.swelling_s is not None]
    for way in ways:
        pace = _quickest(ends, way)
        if pace is not None and way.kind != "vent":
            return WarmUp(pace, way, ways)
    return WarmUp(ends[-1] if ends else None, None, ways)


def _quickest(paces: Sequence[Pace], way: WayOut) -> Pace | None:
    return next((pace for pace in paces if way.bears(pace.rate)), None)


def _pace(gap: float, run: Braze) -> Pace:
    return Pace(
        gap, run.boiling_pace_K_s, _last(run, StageName.FLUX_DRY), _last(run, StageName.FLUX_MILKY)
    )


def _last(run: Braze, name: StageName) -> float | None:
    """When a stage is over, seen and in the gap [s]."""
    stage = run.stage(name)
    if stage.time_s is None or stage.seen_s is None:
        return None
    return max(stage.time_s, stage.seen_s)
