"""Does a joint brazed before, at the rod's other end, hold while this one is brazed."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from thermo.braze import Braze, Clamp, Limit, Setup, braze
from thermo.braze.limits import LimitName
from thermo.matter import constant
from thermo.shape import Joint
from thermo.study.fit import Misfit
from thermo.study.sizes import joint_for

SHARES = (0.5,)
"""Places for a clamp, in shares of the rod between the mouths; then one beside the neighbour."""
BESIDE = 1e-3  # from the neighbour's mouth to the clamp (assumed) [m]
ENOUGH_K = 50.0
"""Margin below which a joint is not said to hold (assumed, no source)."""


@dataclass(frozen=True)
class JointMargin:
    """One braze beside a neighbour.

    Attributes
    ----------
    clamp : Clamp or None
        Between the balls.
    run : Braze
    """

    clamp: Clamp | None
    run: Braze

    @property
    def limit(self) -> Limit:
        """The second joint's hottest place against its filler's solidus."""
        return next(limit for limit in self.run.limits if limit.name == LimitName.NEIGHBOUR)

    @property
    def margin_K(self) -> float:
        """Solidus less the second joint's hottest; negative where its filler begins to melt [K]."""
        return self.limit.limit - self.limit.value

    @property
    def hottest_s(self) -> float:
        """When the second joint is hottest, often after the flame is taken away [s]."""
        stations = self.run.stations
        return float(stations.time_s[np.argmax(stations["second_joint_C"])])

    @property
    def filled_s(self) -> float | None:
        """When this joint's gap is full, None for never [s]."""
        return self.run.filled_s

    @property
    def holds(self) -> bool:
        """True where the margin is enough to be told."""
        return self.margin_K >= ENOUGH_K


@dataclass(frozen=True)
class Neighbour:
    """What becomes of the neighbour, with and without a clamp and the other way round.

    Attributes
    ----------
    given : JointMargin
        The case as it is.
    bare : JointMargin
        Without any clamp, on the coarse mesh.
    clamped : tuple of JointMargin
        Clamps tried, from midway to beside the neighbour, on the coarse mesh.
    swapped : JointMargin or None
        This ball there first and the neighbour brazed after it, without a clamp; None where both
        are alike, or where the neighbour's own joint cannot be made after this one's.
    """

    given: JointMargin
    bare: JointMargin
    clamped: tuple[JointMargin, ...]
    swapped: JointMargin | None

    @property
    def alike(self) -> bool:
        """True where balls and fillers are the same on both ends."""
        return _alike(self.given.run.setup)

    @property
    def best(self) -> JointMargin | None:
        """The clamp that lets both joints be: the neighbour holds, this gap fills soonest."""
        fit = [held for held in self.clamped if held.holds and held.filled_s is not None]
        return min(fit, key=lambda held: held.filled_s or math.inf, default=None)

    def later_s(self, held: JointMargin) -> float | None:
        """How much later the gap is full than without a clamp; None where either never is [s]."""
        if held.filled_s is None or self.bare.filled_s is None:
            return None
        return held.filled_s - self.bare.filled_s


def neighbour(
    run: Braze,
    accuracy: str = "quick",
    workers: int | None = None,
    done: Callable[[int, int], None] | None = None,
) -> Neighbour:
    """Try clamps between the balls, and the other order of work.

    Parameters
    ----------
    run : Braze
        Of a joint whose rod carries a second ball.
    accuracy : str
        Of the runs for comparison.
    workers : int, optional
        Processes.
    done : callable, optional
        Told the number of runs finished and of all.

    Returns
    -------
    Neighbour

    Raises
    ------
    ValueError
        If the rod carries no second ball.
    """
    from thermo.study.pool import run_all  # brings processes: margins do without

    setup = run.setup
    if setup.second_filler is None:
        raise ValueError("no second ball on the rod: nothing to look after")
    grips = [None, *places(setup)]
    setups = [replace(setup, clamp=grip) for grip in grips]
    other = the_other_way_round(setup)
    jobs = [(one, accuracy) for one in (*setups, *([other] if other else []))]
    runs = run_all(_one, jobs, workers, done)
    bare, *clamped = (JointMargin(grip, found) for grip, found in zip(grips, runs, strict=False))
    return Neighbour(
        given=JointMargin(setup.clamp, run),
        bare=bare,
        clamped=tuple(clamped),
        swapped=JointMargin(None, runs[-1]) if other else None,
    )


def places(setup: Setup) -> list[Clamp]:
    """Clamps to try between two balls: the case's own grip or a usual one, then a light one."""
    length, usual = setup.joint.rod_length, constant("contact", "clamp")
    grip = usual.value if setup.clamp is None else setup.clamp.conductance
    beside = max(length - BESIDE, SHARES[-1] * length)
    found = [Clamp(at, grip) for at in (*(share * length for share in SHARES), beside)]
    return found if grip <= usual.range[0] else [*found, Clamp(beside, usual.range[0])]


def the_other_way_round(setup: Setup) -> Setup | None:
    """The neighbour brazed beside this ball: balls and fillers change places, the rod stays.

    The neighbour's hole is drilled after this one's: as wide, its depth and flat by the size.
    None where both joints are alike or no such joint can be made.
    """
    joint, filler = setup.joint, setup.second_filler
    assert filler is not None
    if _alike(setup):
        return None
    try:
        other = _exchanged(joint)
    except Misfit:
        return None
    return replace(setup, joint=other, filler=filler, second_filler=setup.filler, clamp=None)


def _alike(setup: Setup) -> bool:
    joint = setup.joint
    same_ball = joint.second_ball_diameter == joint.ball_diameter
    return same_ball and setup.second_filler == setup.filler


def _exchanged(joint: Joint) -> Joint:
    rod = joint.rod_diameter
    if joint.second_ball_diameter == joint.ball_diameter:
        return joint
    other = joint_for(joint, joint.second_ball_diameter, rod)
    return replace(other, second_ball_diameter=joint.ball_diameter)


def _one(job: tuple[Setup, str]) -> Braze:
    return braze(*job)
