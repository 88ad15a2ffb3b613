"""Shaft and plates on plain grids."""

from __future__ import annotations

import math

import numpy as np

from thermo.heat import ConstantSolid, LinearLoss
from validation.checks import Computed, Row
from validation.grids import Run, build_grid


def shaft(row: Row) -> Computed:
    """T06; the centre by a parabola through the two innermost cells."""
    grid = build_grid(np.linspace(0.0, 0.1, 61), [0.0, 1.0], sides=[(0, 1)], turned=True)
    metal = ConstantSolid(14.9, 14.9 / 3.95e-6)
    run = Run(grid, metal, [LinearLoss(80.0, 200.0)], 600.0).to(2700.0)
    T = run.cells_C.ravel()
    share = 1.0 - (grid.volume @ (T - 200.0)) / (math.pi * 0.1**2 * 400.0)
    return {
        "centre": T[0] + (T[0] - T[1]) / 8,
        "surface": run.surface_C[0],
        "share of the heat": share,
        "heat": share * math.pi * 0.1**2 * 7900 * 477 * 400.0 / 1e3,
    }


def plates(row: Row) -> Computed:
    """T07."""
    grid = build_grid(np.linspace(0.0, 0.02, 31), sides=[(0, 1)])
    metal = ConstantSolid(110.0, 110.0 / 33.9e-6)
    run = Run(grid, metal, [LinearLoss(120.0, 500.0)], 20.0).to(420.0)
    return {"surface": run.surface_C[0], "centre": run.cells_C.ravel()[0]}


ROWS = {"T06": shaft, "T07": plates}
