"""The bar with a moving end temperature."""

from __future__ import annotations

import math

import numpy as np

from thermo.heat import ConstantSolid
from validation.checks import Computed, Row
from validation.grids import HELD, Given, Run, build_grid


def moving_end(row: Row) -> Computed:
    """T14."""
    grid = build_grid(np.linspace(0.0, 0.1, 81), sides=[(0, -1), (0, 1)])
    swing = np.array([0.0, 100.0])
    ends = Given(lambda t: (HELD * swing * math.sin(math.pi * t / 40.0), HELD, 0.0))
    run = Run(grid, ConstantSolid(35.0, 7200 * 440.5), [ends], 0.0).to(32.0)
    x, T = grid.centre[:, 0], run.cells_C.ravel()
    near, middle, far = np.interp([0.02, 0.05, 0.08], x, T)
    return {
        "at 0.08 m, as published": far,
        "at 0.08 m": far,
        "at 0.05 m": middle,
        "at 0.02 m": near,
    }


ROWS = {"T14": moving_end}
