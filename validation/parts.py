"""Joints that stand in for the bodies of published examples, and marching them."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from thermo.heat import HeatModel, History, Load, SolidLike, march
from thermo.shape import Joint, Mesh

CENTRE = (0.0, 0.0, 0.0)


def plain_ball(diameter: float = 6e-3) -> Joint:
    """As good as a ball alone: a hole of 1/30 of its width, filled flush by its rod.

    The rod stands out by half its radius, so that its side (π r²) gives the surface back what
    the hole takes from it. In perfect contact one piece is left, its area that of the sphere to
    1e-6, its volume to 2e-5.
    """
    rod = diameter / 30
    return Joint(diameter, "blind", rod, diameter / 60, rod, rod / 4)


def lumped_joint(surface_per_volume: float) -> Joint:
    """Ball and rod of one piece with a given ratio of surface to volume [1/m]."""

    def shape(D: float) -> Joint:
        return Joint(D, "blind", 0.3 * D, 0.45 * D, 0.3 * D, 0.1 * D)

    unit = shape(1.0)
    area = unit.sphere_area + unit.rod_side_area
    return shape(area / (unit.ball_volume + unit.rod_volume) / surface_per_volume)


def one_piece(
    mesh: Mesh,
    metal: SolidLike,
    loads: Sequence[Load],
    times: Sequence[float] | NDArray[np.float64],
    start_C: float = 20.0,
    tolerance_K: float = 0.02,
) -> History:
    """March ball and rod of one metal in perfect contact."""
    return march(
        mesh,
        solids={"ball": metal, "rod": metal},
        gap_conductance=math.inf,
        loads=loads,
        start_C=start_C,
        times=np.asarray(times).tolist(),
        tolerance_K=tolerance_K,
    )


def mean_C(model: HeatModel, y: NDArray[np.float64]) -> float:
    """Mean temperature by volume [°C]."""
    volume = model.mesh.volume
    return float(volume @ model.temperatures(y)[:, 0] / volume.sum())


def passed_s(times: NDArray[np.float64], values: NDArray[np.float64], level: float) -> float:
    """When a monotonic reading passes a level, by a parabola through the three nearest [s]."""
    near = np.argsort(np.abs(values - level))[:3]
    return float(np.polyval(np.polyfit(values[near] - level, times[near], 2), 0.0))
