"""The pin on a turned grid."""

from __future__ import annotations

import numpy as np

from validation.checks import Computed, Row
from validation.grids import HELD, build_grid, steady


def pin(row: Row) -> Computed:
    """F02."""
    grid = build_grid(
        np.linspace(0, 1.5e-3, 7),
        np.linspace(0, 30e-3, 121),
        sides=[(1, -1), (0, 1)],
        turned=True,
    )
    base = grid.patches.side == 0
    T, heat = steady(grid, 15.0, np.where(base, HELD, 10.0), np.where(base, 120.0, 20.0))
    last = T.reshape(grid.shape)[:, -1, 0]
    area = np.diff(np.linspace(0, 1.5e-3, 7) ** 2)
    return {"tip": last @ area / area.sum(), "heat": heat[base].sum()}


ROWS = {"F02": pin}
