"""The column on a plane grid."""

from __future__ import annotations

import numpy as np

from validation.checks import Computed, Row
from validation.grids import HELD, build_grid, steady

PER_QUARTER = 10  # cells in a quarter of the width


def column(row: Row) -> Computed:
    """C07; y counts from the top. A point is the mean of the four cells round it."""
    n = PER_QUARTER
    grid = build_grid(
        np.linspace(0, 1, 4 * n + 1),
        np.linspace(0, 2, 8 * n + 1),
        sides=[(0, -1), (1, -1), (1, 1)],
    )
    T, _ = steady(grid, 1.0, HELD, np.where(grid.patches.side == 1, 20.0, 0.0))
    T = T.reshape(grid.shape)[:, :, 0]
    T = np.vstack([T, T[-1:]])  # mirror image beyond the insulated side
    corners = (T[:-1, :-1] + T[1:, :-1] + T[:-1, 1:] + T[1:, 1:]) / 4
    at = corners[n - 1 :: n, n - 1 :: n]
    return {name: at[:, i] for i, name in enumerate(row.expected)}


ROWS = {"C07": column}
