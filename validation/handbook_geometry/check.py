"""Closed forms of the joint, and sums over its mesh."""

from __future__ import annotations

import math

from thermo.shape import Joint, build_mesh
from validation.checks import Computed, Row


def drilled_ball(row: Row) -> Computed:
    """G01."""
    joint = Joint(6e-3, "blind", 2.5e-3, 4e-3, 2.4e-3, 36e-3)
    mesh = build_mesh(joint, "normal")
    whole = 4 / 3 * math.pi * joint.ball_radius**3
    return {
        "cap height": 1e3 * (joint.ball_radius + joint.mouth_z),
        "wall length": 1e3 * joint.insertion,
        "volume removed": 1e9 * (whole - joint.ball_volume),
        "ball volume": 1e9 * joint.ball_volume,
        "sphere area": 1e6 * joint.sphere_area,
        "hole wall area": 1e6 * joint.hole_wall_area,
        "ball volume, mesh": 1e9 * mesh.volume[mesh.body == 0].sum(),
        "sphere area, mesh": 1e6 * mesh.patches.area[mesh.patches.piece_body == 0].sum(),
    }


ROWS = {"G01": drilled_ball}
