"""Levers of a joint: what its maker may change, one thing at a time, all else as it is."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from enum import StrEnum

from thermo.braze import Setup
from thermo.braze.filler.misplaced import misplaced
from thermo.braze.filler.preforms import inside
from thermo.constants import MM
from thermo.files.defaults import USUAL_COAT_MM
from thermo.flame import Phase, Strategy, Torch, default_strategies
from thermo.matter import get_filler
from thermo.study.neighbour import places

STRONGER, WEAKER = 1.5, 0.7
"""Shares of the torch's fuel."""
VENT = 1e-3
"""Vent to try, or half the hole where that is less [m]."""


class LeverName(StrEnum):
    """What may be changed, from what costs a maker least to what costs most."""

    AMOUNT = "aim-amount"
    DISTANCE = "distance"
    WAY = "way"
    ON_BALL = "on-ball"
    AT_MOUTH = "at-mouth"
    ROUND = "round"
    WEAKER = "weaker"
    STRONGER = "stronger"
    OPPOSITE = "opposite"
    BRICK = "brick-behind"
    FLUXED = "fluxed"
    DRIED = "dried"
    FED = "fed"
    UNDER = "under"
    CLAMP = "clamp"
    VENT = "vent"
    FILLER = "other-filler"
    TORCH = "other-torch"


@dataclass(frozen=True)
class Lever:
    """One thing to change.

    Attributes
    ----------
    name : LeverName
    value : str or float, optional
        To what: of a distance the inner cone's tip to the steel [m]; the name of a way of holding
        the torch, a filler or a kind of torch. None for all others.
    """

    name: LeverName
    value: str | float | None = None


def pulled(setup: Setup, lever: Lever) -> Setup | None:
    """The joint with one lever pulled; None where it is so already or cannot be.

    Parameters
    ----------
    setup : Setup
    lever : Lever

    Returns
    -------
    Setup or None
    """
    if lever.name in TO_WHAT:
        return TO_WHAT[lever.name](setup, lever.value)
    return PLAIN[lever.name](setup)


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
    return below if misplaced(below) is None else None


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


def _brick(setup: Setup) -> Setup | None:
    return None if setup.support != "free" else replace(setup, support="brick-behind")


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


def _fluxed(setup: Setup) -> Setup | None:
    """Paste brushed on as usual, where there is none."""
    if setup.coat.thickness > 0.0:
        return None
    return replace(setup, coat=replace(setup.coat, thickness=MM * USUAL_COAT_MM))


def _off(setup: Setup, gap: object) -> Setup | None:
    """The torch held so that its inner cone ends this far from the steel, in every phase."""
    assert isinstance(gap, float)
    strategy, distance = setup.strategy, setup.torch.cone_length + gap
    phases = [replace(phase, distance=distance) for phase in strategy.phases]
    if list(strategy.phases) == phases:
        return None
    return replace(setup, strategy=Strategy(strategy.name, phases))


def _way(setup: Setup, name: object) -> Setup | None:
    """One of the usual ways of holding the torch."""
    strategy = next(
        way for key, way in default_strategies(setup.snip.azimuth).items() if key == name
    )
    return None if strategy.phases == setup.strategy.phases else replace(setup, strategy=strategy)


def _filler(setup: Setup, name: object) -> Setup | None:
    filler = get_filler(str(name))
    return None if filler == setup.filler else replace(setup, filler=filler)


def _torch(setup: Setup, kind: object) -> Setup | None:
    torch = Torch.of_kind(str(kind))
    return None if torch == setup.torch else replace(setup, torch=torch)


PLAIN: dict[LeverName, Callable[[Setup], Setup | None]] = {
    LeverName.AMOUNT: _aim_amount,
    LeverName.ON_BALL: _on_ball,
    LeverName.AT_MOUTH: _at_mouth,
    LeverName.ROUND: _round,
    LeverName.WEAKER: _weaker,
    LeverName.STRONGER: _stronger,
    LeverName.OPPOSITE: _opposite,
    LeverName.BRICK: _brick,
    LeverName.FLUXED: _fluxed,
    LeverName.DRIED: _dried,
    LeverName.FED: _fed,
    LeverName.UNDER: _under,
    LeverName.CLAMP: _clamp,
    LeverName.VENT: _vent,
}
TO_WHAT: dict[LeverName, Callable[[Setup, object], Setup | None]] = {
    LeverName.DISTANCE: _off,
    LeverName.WAY: _way,
    LeverName.FILLER: _filler,
    LeverName.TORCH: _torch,
}
