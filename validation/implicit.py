"""A rival march: two-stage diagonally implicit steps with a factorisation kept while it serves.

R. Alexander, SIAM J. Numer. Anal. 14 (1977) 1006: second order, L-stable, gamma = 1 - 1/sqrt(2).
Each stage is iterated with one LU of I - gamma h J, J the Jacobian of the right-hand side in
enthalpy; the LU is renewed when the step changes by a quarter or the iteration slows down.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray
from scipy import sparse
from scipy.sparse.linalg import SuperLU, splu

from thermo.constants import ZERO_C_K
from thermo.heat import HeatModel, March

Floats = NDArray[np.float64]

GAMMA = 1.0 - math.sqrt(0.5)
SETTLED_K = 0.02
MOST_ITERATIONS = 8
SLOW = 4  # iterations from which the factorisation is renewed for the next step


class ImplicitMarch(March):
    """Adaptive implicit march of one column; the same model, the same error control."""

    factorisations = 0

    def _longest_stable(self) -> float:
        return math.inf

    def _try(self, t: float, y: Floats, f: Floats, h: float) -> tuple[Floats, Floats]:
        lu = self._lu(t, y, h)
        delta = GAMMA * h
        first = self._stage(lu, t + delta, y, f, delta)
        if first is None:
            return self._refuse(y)
        slope = (first - y) / delta
        last = self._stage(lu, t + h, y + (h - delta) * slope, slope, delta)
        if last is None:
            return self._refuse(y)
        return last, self._rates(t + h, last)

    def _rates(self, t: float, y: Floats) -> Floats:
        self.evaluations += 1
        return self.model.rates(t, y, np.empty_like(y))

    def _refuse(self, y: Floats) -> tuple[Floats, Floats]:
        self._held: tuple[float, SuperLU] | None = None
        nothing = np.full_like(y, np.nan)
        return nothing, nothing

    def _stage(
        self, lu: SuperLU, t: float, base: Floats, slope: Floats, delta: float
    ) -> Floats | None:
        """State z = base + delta f(t, z), or None where the iteration does not settle."""
        z = base + delta * slope
        for count in range(MOST_ITERATIONS):
            rates = self._rates(t, z)
            rest = base + delta * rates - z
            change = np.zeros_like(z)
            change[:-2, 0] = lu.solve(rest[:-2, 0])
            z = z + change
            z[-2:] = base[-2:] + delta * rates[-2:]
            if np.abs(self._kelvin(change)).max() < SETTLED_K:
                if count >= SLOW:
                    self._held = None
                return z
        return None

    def _lu(self, t: float, y: Floats, h: float) -> SuperLU:
        held = getattr(self, "_held", None)
        if held is not None and abs(held[0] / h - 1) < 0.25:
            return held[1]
        size = len(y) - 2
        matrix = sparse.eye_array(size) - GAMMA * h * jacobian(self.model, t, y)
        lu = splu(sparse.csc_matrix(matrix))
        self._held = h, lu
        self.factorisations += 1
        return lu


def jacobian(model: HeatModel, t: float, y: Floats) -> sparse.csr_array:
    """Derivative of the rates of cells and layer with respect to their enthalpies."""
    n, s, c = model.mesh.cells, len(model.cell), model.covered
    gap, g, size = model.mesh.gap, len(model.mesh.gap.area), len(y) - 2
    warming, diffusivity = (x[:, 0] for x in model.tables.slopes(y[:n]))
    link, half, cover, _, b, e, _, _ = (x[:, 0] for x in model.now(t))
    links, pieces, layer = np.arange(g), np.arange(s), np.zeros(c)
    outside = model.temperatures(y)[model.cell, 0]
    if model.layer is not None:
        layer, outside[:c] = (
            x[:, 0] for x in (model.layer.slope(y[n:-2]), model.layer.read(y[n:-2]))
        )
    surface = b + 4 * e * (outside + ZERO_C_K) ** 3
    inflow = -surface / (1.0 + surface * half)
    own = np.concatenate(
        [n + pieces[:c], model.cell[c:]]
    )  # what the outside's temperature hangs on
    warms = np.concatenate([layer, warming[model.cell[c:]]])
    rows = [links, links, g + pieces[:c], g + pieces[:c], g + c + pieces]
    columns = [gap.ball, gap.rod, n + pieces[:c], model.cell[:c], own]
    values = [
        link * warming[gap.ball],
        -link * warming[gap.rod],
        cover * layer,
        -cover * warming[model.cell[:c]],
        inflow * warms,
    ]
    boundary = sparse.csr_array(
        (np.concatenate(values), (np.concatenate(rows), np.concatenate(columns))),
        shape=(g + c + 2 * s, size),
    )
    conduct = sparse.hstack([sparse.diags_array(diffusivity), sparse.csr_array((n, size - n))])
    return sparse.csr_array(model._operator[:-2] @ sparse.vstack([conduct, boundary]))
