"""Outlines of ball and rod in a plane through the axis."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from thermo.shape import Joint

Floats = NDArray[np.float64]


def ball_outline(joint: Joint) -> list[Floats]:
    """Closed outlines of the ball's metal in the plane, (K, 2) arrays of x and z [m]."""
    R, hole, far = joint.ball_radius, joint.hole_radius, joint.far_opening_radius
    edge = max(joint.flat_diameter / 2, hole)
    turn = np.linspace(math.asin(far / R), math.pi - math.asin(edge / R), 181)
    corners = [(hole, joint.mouth_z), (hole, joint.floor_z)]
    if joint.hole != "through":
        corners.append((far, joint.apex_z - far * joint.point_slope))
    right = np.concatenate([np.column_stack([R * np.sin(turn), R * np.cos(turn)]), corners])
    left = right[::-1] * [-1.0, 1.0]
    return [right, left] if far > 0 else [np.concatenate([right, left])]


def rod_outline(joint: Joint, azimuth: float, low: float) -> Floats:
    """Outline of the rod in the plane down to a height, (4, 2) array of x and z [m]."""
    shift = -joint.eccentricity * joint.clearance * math.cos(azimuth)
    left, right = shift - joint.rod_radius, shift + joint.rod_radius
    return np.array([(left, low), (left, joint.tip_z), (right, joint.tip_z), (right, low)])
