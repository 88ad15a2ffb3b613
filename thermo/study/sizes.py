"""How long balls of other sizes take, and where the torch gives up."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from thermo.braze import Braze, Setup, Work, braze, reckoned
from thermo.files import Case
from thermo.files.defaults import DEPTH_BEYOND_CENTRE
from thermo.shape import Joint
from thermo.study.fit import Misfit, fitted, laid

if TYPE_CHECKING:
    from thermo.study.spread import Spread

HOLE_SHARE = ((6e-3, 0.5), (12e-3, 0.4))
"""Hole over ball: half up to 6 mm, a little less on larger balls (common practice, no source)."""


@dataclass(frozen=True)
class SizeRow:
    """One ball size.

    Attributes
    ----------
    joint : Joint
    run : Braze
    spread : Spread or None
        What its members come to; None where none were drawn.
    """

    joint: Joint
    run: Braze
    spread: Spread | None = None


def sizes(
    setup: Setup,
    balls: Sequence[float],
    rods: Sequence[float] | None = None,
    accuracy: str = "normal",
    workers: int | None = None,
    done: Callable[[int, int], None] | None = None,
    begins: Callable[[Sequence[Work]], None] | None = None,
    case: Case | None = None,
    members: int = 0,
) -> list[SizeRow]:
    """Braze balls of several sizes by the case's strategy.

    Parameters
    ----------
    setup : Setup
        Gives everything but the sizes.
    balls : sequence of float
        Diameters [m].
    rods : sequence of float, optional
        Rod for each ball; by default the rule of `joint_for` [m].
    accuracy : str
    workers : int, optional
    done : callable, optional
        Told the number of balls finished and of all.
    begins : callable, optional
        Told how much there is to do in each, before it is done; what it raises ends the study.
    case : Case, optional
        Gives the ranges that members are drawn from.
    members : int
        Draws for each ball, where there is a case.

    Returns
    -------
    list of SizeRow
        In the order of the balls.

    Raises
    ------
    Misfit
        A joint cannot be made, or rods and balls differ in number.
    """
    from thermo.study.pool import run_all  # brings processes: joints of other sizes do without

    if rods is not None and len(rods) != len(balls):
        raise Misfit(f"{len(balls)} balls but {len(rods)} rods: give one rod for each ball")
    chosen: Sequence[float | None] = rods or [None] * len(balls)
    pairs = zip(balls, chosen, strict=True)
    joints = [joint_for(setup.joint, ball, rod) for ball, rod in pairs]
    jobs = [(_filled(setup, joint), accuracy) for joint in joints]
    if begins is not None:
        begins([reckoned(one, [one.strategy], accuracy) for one, _ in jobs])
    largest_first = np.argsort([-joint.ball_diameter for joint in joints], kind="stable")
    found = run_all(_one, [jobs[i] for i in largest_first], workers, done)
    runs = dict(zip(largest_first.tolist(), found, strict=True))
    ordered = [runs[i] for i in range(len(joints))]
    sure: list[Spread | None] = [None] * len(joints)
    if case is not None and members:
        from thermo.study.spread import spreads  # joints of other sizes do without

        sure = [*spreads(ordered, case, members, workers, done)]
    return [SizeRow(*row) for row in zip(joints, ordered, sure, strict=True)]


def on_one_rod(setup: Setup, balls: Sequence[float]) -> tuple[list[float], dict[float, str]]:
    """Balls that go on the setup's own rod, and why the others do not.

    Parameters
    ----------
    setup : Setup
    balls : sequence of float
        [m]

    Returns
    -------
    list of float, dict
        The ones that go, in their order; by ball, what is in the way of the others.
    """
    fit: list[float] = []
    unfit: dict[float, str] = {}
    for ball in balls:
        try:
            _filled(setup, joint_for(setup.joint, ball, setup.joint.rod_diameter))
        except Misfit as fault:
            unfit[ball] = str(fault)
        else:
            fit.append(ball)
    return fit, unfit


def _filled(setup: Setup, joint: Joint) -> Setup:
    what = f"a ball of {joint.ball_diameter * 1e3:.4g} mm"
    return laid(what, replace(setup, joint=joint))


def joint_for(model: Joint, ball: float, rod: float | None = None) -> Joint:
    """A joint of another size after a model.

    The hole is half the ball up to 6 mm and falls to 0.4 of it at 12 mm, to 0.1 mm; its depth ends
    a tenth of the ball beyond the centre; the model's clearance is kept, its flat, vent and
    stand-off grow with the ball.

    Parameters
    ----------
    model : Joint
    ball : float
        [m]
    rod : float, optional
        Instead of the rule [m].

    Raises
    ------
    Misfit
        It cannot be made.
    """
    if ball == model.ball_diameter and rod in (None, model.rod_diameter):
        return model
    scale = ball / model.ball_diameter
    excess = model.hole_diameter - model.rod_diameter
    hole = (
        round(ball * _hole_share(ball), 4) if rod is None else rod + excess
    )  # drills go by 0.1 mm
    flat = model.flat_diameter * scale
    start = math.sqrt((ball / 2) ** 2 - (flat / 2) ** 2)
    depth = model.hole_depth if scale == 1.0 else start + DEPTH_BEYOND_CENTRE * ball
    what = f"a ball of {ball * 1e3:.4g} mm on a rod of {(hole - excess) * 1e3:.4g} mm"
    if hole <= excess:
        raise Misfit(f"{what}: the case's gap leaves no room for a rod; give a larger ball")
    return fitted(
        what,
        model,
        ball_diameter=ball,
        rod_diameter=hole - excess,
        hole_diameter=hole,
        hole_depth=depth,
        flat_diameter=flat,
        vent_diameter=model.vent_diameter * scale,
        stand_off=model.stand_off * scale,
    )


def _hole_share(ball: float) -> float:
    """Hole over ball by the rule, straight between its two sizes."""
    (small, most), (large, least) = HOLE_SHARE
    share = (min(max(ball, small), large) - small) / (large - small)
    return most + share * (least - most)


def _one(job: tuple[Setup, str]) -> Braze:
    return braze(*job)
