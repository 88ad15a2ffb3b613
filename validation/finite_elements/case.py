"""The braze that is run, as `case.toml` states it, in SI."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass, replace
from pathlib import Path

from thermo.flame import Jet, Phase, Pose, Torch, phase_pose
from thermo.matter import Solid, get_solid
from thermo.shape.joint import Joint

FOLDER = Path(__file__).parent


@dataclass(frozen=True)
class Case:
    """Joint, metals, flame and what is read.

    Attributes
    ----------
    joint : Joint
    ball, rod : Solid
    jet : Jet
    pose : Pose
    gap_conductance : float
        [W/m²K]
    emissivity : float
        [-]
    ambient_C : float
        Room and start [°C].
    marks_C : tuple
        Temperatures of the gap's coldest wall whose times are wanted [°C].
    from_mouth : tuple
        Depths into the gap from which on the coldest wall is sought [m].
    below_mouth : float
        Reading on the rod's axis [m].
    """

    joint: Joint
    ball: Solid
    rod: Solid
    jet: Jet
    pose: Pose
    gap_conductance: float
    emissivity: float
    ambient_C: float
    marks_C: tuple[float, ...]
    from_mouth: tuple[float, ...]
    below_mouth: float


def load_case(path: Path = FOLDER / "case.toml") -> Case:
    """Read the case."""
    data = tomllib.loads(path.read_text(encoding="utf-8"))
    ball, rod, surface, marks = (data[key] for key in ("ball", "rod", "surface", "marks"))
    joint = Joint(
        ball_diameter=ball["diameter_mm"] * 1e-3,
        hole="blind",
        hole_diameter=ball["hole_diameter_mm"] * 1e-3,
        hole_depth=ball["hole_depth_mm"] * 1e-3,
        rod_diameter=rod["diameter_mm"] * 1e-3,
        rod_length=rod["length_mm"] * 1e-3,
    )
    rate = data["torch"]["fuel_rate_g_per_h"] / 3.6e6
    torch = replace(Torch.of_kind(data["torch"]["kind"]), fuel_rate=rate)
    return Case(
        joint=joint,
        ball=get_solid(ball["material"]),
        rod=get_solid(rod["material"]),
        jet=Jet(torch, surface["ambient_C"]),
        pose=phase_pose(Phase(data["torch"]["aim"]), joint, torch, 0.0),
        gap_conductance=data["gap"]["conductance_W_m2K"],
        emissivity=surface["emissivity"],
        ambient_C=surface["ambient_C"],
        marks_C=tuple(marks["coldest_wall_C"]),
        from_mouth=tuple(depth * 1e-3 for depth in marks["from_mouth_mm"]),
        below_mouth=marks["below_mouth_mm"] * 1e-3,
    )
