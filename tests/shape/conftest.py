"""Joints that exist, drawn at random or named, for all tests of the shape."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import strategies as st

from thermo.shape import Joint


@pytest.fixture(autouse=True)
def _strict_arithmetic():
    with np.errstate(divide="raise", over="raise", invalid="raise"):
        yield


def drawn_joint(
    hole: str,
    diameter: float,
    width: float,
    depth: float,
    rod: float,
    length: float,
    flat: float,
    angle: float,
    vent: float,
    stand_off: float,
    eccentricity: float,
) -> Joint:
    """A joint from shares of what would still fit: every draw from (0, 1) exists."""
    R = diameter / 2
    pitch = 0.16 * width * diameter if hole == "threaded" else 0.0
    bare = Joint(diameter, hole, width * diameter, 0.5 * R, 1e-5, 1e-3, thread_pitch=pitch)
    r, v = bare.hole_radius, bare.hole_radius * vent
    flat_radius = 0.0 if flat == 0 else r + flat * (0.9 * R - r) + 0.02 * R
    start = -R if flat_radius == 0 else -math.sqrt(R * R - flat_radius**2)
    mouth = -math.sqrt(R * R - r * r) if flat_radius == 0 else start
    slope = 1 / math.tan(math.radians(angle) / 2) if angle < 180 else 0.0
    highest = min(0.97 * math.sqrt(R * R - r * r), 0.97 * R - r * slope)
    floor = mouth + depth * (highest - mouth) if hole != "through" else math.sqrt(R * R - r * r)
    return Joint(
        ball_diameter=diameter,
        hole=hole,
        hole_diameter=width * diameter,
        hole_depth=floor - start,
        rod_diameter=2 * r * rod,
        rod_length=length,
        flat_diameter=2 * flat_radius,
        point_angle=angle,
        thread_pitch=pitch,
        vent_diameter=0.0 if hole == "through" else 2 * v,
        stand_off=stand_off * (floor - mouth),
        eccentricity=eccentricity,
    )


@st.composite
def joints(draw: st.DrawFn, **fixed: object) -> Joint:
    """Any joint of blind, through or threaded hole, with or without flat, drill point, vent."""
    parts = {
        "hole": st.sampled_from(["blind", "through", "threaded"]),
        "diameter": st.floats(2e-3, 15e-3),
        "width": st.floats(0.15, 0.55),
        "depth": st.floats(0.3, 1.0),
        "rod": st.floats(0.7, 1.0),
        "length": st.floats(0.5e-3, 60e-3),
        "flat": st.sampled_from([0.0, 0.1, 0.6]) | st.floats(0.01, 0.9),
        "angle": st.sampled_from([180.0, 118.0]) | st.floats(60.0, 179.0),
        "vent": st.sampled_from([0.0]) | st.floats(0.1, 0.8),
        "stand_off": st.sampled_from([0.0]) | st.floats(0.01, 0.8),
        "eccentricity": st.floats(0.0, 0.99),
    }
    return drawn_joint(**{k: fixed[k] if k in fixed else draw(v) for k, v in parts.items()})
