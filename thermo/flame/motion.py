"""How the torch is held and moved: phases, strategies, and the pose they give at a time."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from thermo.flame.torch import Torch
    from thermo.shape import Joint

OBSERVABLES = ("flux-dry", "flux-clear", "liquidus", "filled")
"""What may end a phase, besides a time."""
AIMS = ("ball", "mouth", "rod")
MOTIONS = ("hold", "round", "sweep")

CONE_GAP = 2e-3
"""Distance 'cone-tip' keeps between the inner cone's tip and the surface [m] (common practice,
no source: the cone just short of touching)."""
ROD_AIM = 5e-3
"""Aim 'rod': this far below the mouth [m]."""


class StrategyName(StrEnum):
    """Ways of holding the torch that every comparison includes; sides are the filler's."""

    NEAR = "near side"
    FAR = "far side"
    MOUTH = "mouth"
    MOUTH_FAR = "mouth, far side"
    BALL_THEN_MOUTH = "ball then mouth"
    FAR_THEN_MOUTH = "far side, then mouth"
    ROUND = "round"
    ROD_FIRST = "rod first"


@dataclass(frozen=True)
class Phase:
    """One way of holding the torch, and what ends it.

    Parameters
    ----------
    aim : str or float
        "ball" (its centre), "mouth" (of the hole), "rod" (5 mm below the mouth), or metres along
        the rod from the mouth, negative on the ball.
    side : float
        Azimuth the torch comes from; where "round" starts [degrees].
    distance : float or None
        Burner's mouth to the surface aimed at [m]; None puts the inner cone's tip 2 mm short of
        the surface.
    motion : str
        "hold"; "round": round the rod at even speed; "sweep": up and down between the aim and
        one ball radius below the mouth, the burner keeping its distance from the rod's axis.
    period : float
        Time of one round or one sweep up and down [s].
    until : str or float
        One of `OBSERVABLES`, or seconds from the phase's start.
    longest : float
        The phase ends then at the latest [s].

    Raises
    ------
    ValueError
        If a value is unknown or cannot be; the message says what to give.
    """

    aim: str | float = "ball"
    side: float = 0.0
    distance: float | None = None
    motion: str = "hold"
    period: float = 2.0
    until: str | float = "filled"
    longest: float = 300.0

    def __post_init__(self) -> None:
        _check_name_or_number("aim", self.aim, AIMS, "metres along the rod from the mouth")
        _check_name_or_number("until", self.until, OBSERVABLES, "seconds")
        if self.motion not in MOTIONS:
            raise ValueError(f"motion is {self.motion!r}; give one of {', '.join(MOTIONS)}")
        if not math.isfinite(self.side):
            raise ValueError(f"side is {self.side}; give degrees")
        if self.distance is not None and not 0.0 <= self.distance < math.inf:
            raise ValueError(f"distance is {self.distance} m; give 0 or more, or None")
        for name in ("period", "longest"):
            value = getattr(self, name)
            if not 0.0 < value < math.inf:
                raise ValueError(f"{name} is {value} s; give a time above 0")
        if not isinstance(self.until, str) and not 0.0 < self.until <= self.longest:
            raise ValueError(
                f"until is {self.until} s and longest {self.longest} s; "
                "give a time above 0 and not beyond longest"
            )

    @property
    def latest(self) -> float:
        """Time after which the phase is over at the latest [s]."""
        return self.longest if isinstance(self.until, str) else self.until


@dataclass(frozen=True)
class Strategy:
    """A named list of phases, run one after the other.

    Parameters
    ----------
    name : str
        Shown in results.
    phases : sequence of Phase
        At least one.

    Raises
    ------
    ValueError
        If name or phases are empty.

    Examples
    --------
    >>> from thermo import Phase, Strategy
    >>> Strategy("soak", [Phase("rod", until=10.0), Phase("ball", motion="round")])
    <Strategy 'soak': hold on rod until 10 s, then round on ball until filled>
    """

    name: str
    phases: Sequence[Phase]

    def __post_init__(self) -> None:
        if not self.name.strip():
            raise ValueError("a strategy has no name; give it one")
        if not self.phases:
            raise ValueError(f"strategy {self.name!r} has no phases; give at least one")
        object.__setattr__(self, "phases", tuple(self.phases))

    def __repr__(self) -> str:
        phases = ", then ".join(_told(phase) for phase in self.phases)
        return f"<Strategy {self.name!r}: {phases}>"


@dataclass(frozen=True)
class Pose:
    """Where the jet is. Its axis is perpendicular to the rod's and meets it.

    Parameters
    ----------
    aim_z : float
        Height at which the jet's axis meets the rod's [m].
    azimuth : float
        Side the jet comes from [rad].
    distance : float
        Burner's mouth to the surface at that height, along the axis [m].
    start : float
        Burner's mouth to the rod's axis [m].
    """

    aim_z: float
    azimuth: float
    distance: float
    start: float


def default_strategies(filler_azimuth_deg: float = 0.0) -> dict[str, Strategy]:
    """The strategies every comparison includes, by name.

    Parameters
    ----------
    filler_azimuth_deg : float
        Side of the filler [degrees].

    Returns
    -------
    dict of str to Strategy
        One for every `StrategyName`.
    """
    near, far = filler_azimuth_deg, filler_azimuth_deg + 180.0
    on_ball, behind = Phase("ball", near), Phase("ball", far)
    mouth, mouth_behind = Phase("mouth", near), Phase("mouth", far)
    until_clear = "flux-clear"
    phases: dict[StrategyName, tuple[Phase, ...]] = {
        StrategyName.NEAR: (on_ball,),
        StrategyName.FAR: (behind,),
        StrategyName.MOUTH: (mouth,),
        StrategyName.MOUTH_FAR: (mouth_behind,),
        StrategyName.BALL_THEN_MOUTH: (Phase("ball", near, until=until_clear), mouth),
        StrategyName.FAR_THEN_MOUTH: (Phase("ball", far, until=until_clear), mouth_behind),
        StrategyName.ROUND: (Phase("ball", near, motion="round"),),
        StrategyName.ROD_FIRST: (Phase("rod", near, until="flux-dry"), on_ball),
    }
    return {str(name): Strategy(str(name), parts) for name, parts in phases.items()}


def cone_gap(phase: Phase, torch: Torch) -> float:
    """Inner cone's tip to the steel aimed at; below 0 where the steel is inside the cone [m].

    Parameters
    ----------
    phase : Phase
    torch : Torch
        Gives the cone's length.
    """
    return CONE_GAP if phase.distance is None else phase.distance - torch.cone_length


def phase_pose(phase: Phase, joint: Joint, torch: Torch, t: float) -> Pose:
    """Pose of the jet at a time.

    Parameters
    ----------
    phase : Phase
        How the torch is held.
    joint : Joint
        Gives aim height and the surface there.
    torch : Torch
        Gives the cone's length.
    t : float
        Time since the phase began [s].

    Returns
    -------
    Pose
        "round": azimuth = side + 2π t / period. "sweep": the height leaves the aim and comes
        back to it as a cosine; burner's mouth to rod's axis stays as it was at the aim.
    """
    aim_z = _aim_height(phase.aim, joint)
    gap = torch.cone_length + cone_gap(phase, torch)
    start = _surface_radius(joint, aim_z) + gap
    azimuth, turn = math.radians(phase.side), 2.0 * math.pi * t / phase.period
    if phase.motion == "round":
        azimuth += turn
    if phase.motion == "sweep":
        lowest = joint.mouth_z - joint.ball_radius
        aim_z += (lowest - aim_z) * 0.5 * (1.0 - math.cos(turn))
        gap = start - _surface_radius(joint, aim_z)
    return Pose(aim_z, azimuth, gap, start)


def _told(phase: Phase) -> str:
    """A phase in a few words."""
    aim = phase.aim if isinstance(phase.aim, str) else f"{1e3 * phase.aim:g} mm"
    until = phase.until if isinstance(phase.until, str) else f"{phase.until:g} s"
    return f"{phase.motion} on {aim} until {until}"


def _aim_height(aim: str | float, joint: Joint) -> float:
    if aim == "ball":
        return 0.0
    if aim == "mouth":
        return joint.mouth_z
    return joint.mouth_z - (ROD_AIM if isinstance(aim, str) else aim)


def _surface_radius(joint: Joint, z: float) -> float:
    """Radius of the outside at a height: ball above the mouth, rod below [m]."""
    if z < joint.mouth_z:
        return joint.rod_radius
    return math.sqrt(max(joint.ball_radius**2 - z**2, 0.0))


def _check_name_or_number(
    field: str, value: str | float, names: tuple[str, ...], unit: str
) -> None:
    if isinstance(value, str):
        if value not in names:
            raise ValueError(f"{field} is {value!r}; give one of {', '.join(names)}, or {unit}")
    elif not math.isfinite(value):
        raise ValueError(f"{field} is {value}; give {unit}")
