"""Changes of a case that may help: one thing at a time, all else as it is."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from thermo.braze import Setup
from thermo.braze.filler.preforms import inside
from thermo.files.checks import under_the_rod
from thermo.flame import Phase, Strategy
from thermo.study.neighbour import places

STRONGER, WEAKER = 1.5, 0.7
"""Shares of the torch's fuel."""
VENT = 1e-3
"""Vent to try, or half the hole where that is less [m]."""


def changed(setup: Setup, name: str) -> Setup | None:
    """The case with one change; None where it is so already or cannot be.

    Parameters
    ----------
    setup : Setup
    name : str
        One of `CHANGES`.
    """
    return CHANGES[name](setup)


def _opposite(setup: Setup) -> Setup | None:
    if setup.snip.central:
        return None
    azimuth = (setup.snip.azimuth + 180.0) % 360.0
    return replace(setup, snip=replace(setup.snip, azimuth=azimuth))


def _under(setup: Setup) -> Setup | None:
    """Filler at the bottom of the hole, where there is a bottom and the pieces go in."""
    if inside(setup.snip):
        return None
    below = replace(setup, snip=replace(setup.snip, place="hole-bottom"))
    return None if any(under_the_rod(below)) else below


def _fed(setup: Setup) -> Setup | None:
    if setup.snip.place == "fed":
        return None
    return replace(setup, snip=replace(setup.snip, place="fed"))


def _aim_amount(setup: Setup) -> Setup | None:
    if setup.snip.length is None:
        return None
    return replace(setup, snip=replace(setup.snip, length=None))


def _held(setup: Setup, aim: str) -> Setup | None:
    """The flame held on one place, from the side and distance it begins with."""
    phases = setup.strategy.phases
    if all(phase.aim == aim and phase.motion == "hold" for phase in phases):
        return None
    phase = Phase(aim, phases[0].side, phases[0].distance)
    return replace(setup, strategy=Strategy(aim, [phase]))


def _on_ball(setup: Setup) -> Setup | None:
    return _held(setup, "ball")


def _at_mouth(setup: Setup) -> Setup | None:
    return _held(setup, "mouth")


def _round(setup: Setup) -> Setup | None:
    phases = setup.strategy.phases
    if any(phase.motion == "round" for phase in phases):
        return None
    phase = Phase("ball", phases[0].side, phases[0].distance, motion="round")
    return replace(setup, strategy=Strategy("round", [phase]))


def _fuel(setup: Setup, share: float) -> Setup | None:
    torch = setup.torch
    if torch.fuel_rate == 0.0:
        return None
    return replace(setup, torch=torch.turned(share))


def _stronger(setup: Setup) -> Setup | None:
    return _fuel(setup, STRONGER)


def _weaker(setup: Setup) -> Setup | None:
    return _fuel(setup, WEAKER)


def _clamp(setup: Setup) -> Setup | None:
    """A clamp beside the second ball, the lightest that is usual."""
    if setup.second_filler is None or setup.clamp is not None:
        return None
    return replace(setup, clamp=places(setup)[-1])


def _vent(setup: Setup) -> Setup | None:
    joint = setup.joint
    if joint.hole != "blind" or joint.vent_diameter > 0.0:
        return None
    vent = min(VENT, joint.hole_radius)
    return replace(setup, joint=replace(joint, vent_diameter=vent))


def _dried(setup: Setup) -> Setup | None:
    coat = setup.coat
    if coat.dried or coat.thickness <= 0.0:
        return None
    return replace(setup, coat=replace(coat, dried=True))


CHANGES: dict[str, Callable[[Setup], Setup | None]] = {
    "opposite": _opposite,
    "under": _under,
    "fed": _fed,
    "aim-amount": _aim_amount,
    "on-ball": _on_ball,
    "at-mouth": _at_mouth,
    "round": _round,
    "stronger": _stronger,
    "weaker": _weaker,
    "clamp": _clamp,
    "vent": _vent,
    "dried": _dried,
}
