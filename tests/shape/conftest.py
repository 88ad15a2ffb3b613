"""Joints that exist, drawn at random, for all tests of the shape."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator

import numpy as np
import pytest
from hypothesis import strategies as st

from thermo.shape import Joint

SHARES = {
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


@pytest.fixture(autouse=True, scope="module")
def strict_arithmetic() -> Iterator[None]:
    """A division by zero or an overflow anywhere in the mesh is an error."""
    with np.errstate(divide="raise", over="raise", invalid="raise"):
        yield


@pytest.fixture(scope="session")
def joints() -> Callable[..., st.SearchStrategy[Joint]]:
    """Strategy of joints; keywords hold one of the SHARES fixed."""

    def strategy(**fixed: object) -> st.SearchStrategy[Joint]:
        shares = {k: st.just(fixed[k]) if k in fixed else v for k, v in SHARES.items()}
        return st.fixed_dictionaries(shares).map(lambda drawn: fitted(**drawn))

    return strategy


def fitted(
    *,
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
    """A joint from shares of what would still fit, so that every draw exists."""
    R = diameter / 2
    pitch = 0.16 * width * diameter if hole == "threaded" else 0.0
    bare = Joint(diameter, hole, width * diameter, 0.5 * R, 1e-5, 1e-3, thread_pitch=pitch)
    r = bare.hole_radius
    flat_radius = 0.0 if flat == 0 else r + 0.02 * R + flat * (0.9 * R - r)
    start = -R if flat_radius == 0 else -math.sqrt(R * R - flat_radius**2)
    edge = math.sqrt(R * R - r * r)
    mouth = -edge if flat_radius == 0 else start
    rise = r / math.tan(math.radians(angle) / 2)
    floor = edge if hole == "through" else mouth + depth * (min(edge, R - rise) * 0.97 - mouth)
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
        vent_diameter=0.0 if hole == "through" else 2 * r * vent,
        stand_off=stand_off * (floor - mouth),
        eccentricity=eccentricity,
    )
