"""What to practise on spares before the real joint."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace

from thermo.braze import Braze, Setup, braze
from thermo.braze.stages import StageName
from thermo.files import Case, to_setup
from thermo.flame import Phase, Strategy
from thermo.shape import Joint
from thermo.study.choose import Way
from thermo.study.spread import Spread, spreads

WIRE, SLACK = 1e-3, 0.1e-3
"""What a plain ball hangs on, and how loosely: little enough to draw no heat [m]."""
LEAST_HOLE = 0.25
"""A hole for the wire, no more than this share of a small ball (a judgement)."""
TRIES = 3
"""Counts that must agree, and joints in a row that must pass (a judgement)."""
AGREE = 0.1
"""Counts agree within this share of their mean (a judgement)."""


@dataclass(frozen=True)
class Practice:
    """What to practise, with times.

    Attributes
    ----------
    case : Case
    way : Way
        How the torch is held.
    plain : Braze
        A plain ball on a wire, fluxed, until its flux is clear.
    joint : Braze
        The joint itself, on spares and then for good.
    plain_spread, joint_spread : Spread or None
        How sure the times are.
    """

    case: Case
    way: Way
    plain: Braze
    joint: Braze
    plain_spread: Spread | None
    joint_spread: Spread | None


def practice(
    case: Case,
    way: Way,
    accuracy: str = "normal",
    members: int = 32,
    done: Callable[[int, int], None] | None = None,
) -> Practice:
    """March the pieces that are practised on.

    Parameters
    ----------
    case : Case
    way : Way
        How the torch is held.
    accuracy : str
    members : int
        Draws of what is not known; 0 for none.
    done : callable, optional
        Told the number of batches finished and of all.

    Returns
    -------
    Practice
    """
    setup = to_setup(case, way.strategy)
    plain, joint = braze(plain_ball(setup), accuracy), braze(setup, accuracy)
    sure: list[Spread | None] = [None, None]
    if members:
        sure = [*spreads([plain, joint], case, members, None, done)]
    return Practice(case, way, plain, joint, *sure)


def plain_ball(setup: Setup) -> Setup:
    """The same ball undrilled on a thin wire, fluxed, under the same torch, till its flux is clear.

    It stands for the joint while the flux clears: it has the joint's heat but for hole and rod. The
    model wants a hole: it is that of the wire.

    Parameters
    ----------
    setup : Setup
    """
    ball = setup.joint.ball_diameter
    hole = min(WIRE + SLACK, LEAST_HOLE * ball)
    joint = Joint(ball, "blind", hole, 0.5 * ball, hole - SLACK, 30e-3)
    phase = replace(setup.strategy.phases[0], until="flux-clear", aim="ball")
    return replace(
        setup,
        title=f"plain {1e3 * ball:g} mm ball",
        joint=joint,
        snip=replace(setup.snip, place="fed"),
        strategy=Strategy("until the flux is clear", [_no_turn(phase)]),
        clamp=None,
        second_filler=None,
    )


def _no_turn(phase: Phase) -> Phase:
    """Held still: a plain ball shows the same to all sides."""
    return replace(phase, motion="hold", longest=max(phase.longest, 60.0))


def lead(found: Practice) -> float:
    """Clear flux on the plain ball over that on the joint; NaN where one never clears [-]."""
    plain, joint = (run.stage(StageName.FLUX_CLEAR).seen_s for run in (found.plain, found.joint))
    return plain / joint if plain and joint else math.nan
