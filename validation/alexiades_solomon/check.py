"""The melting slab."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from thermo.heat import LinearLoss
from validation.checks import Computed, Floats, Row
from validation.grids import HELD, Run, build_grid

BELOW_K = 0.1
"""The slab starts so far below its melting point, which tables of T(H) spread over 0.03 K; a
three-thousandth of the latent heat."""


@dataclass(frozen=True)
class Melting:
    """A metal with a sharp melting point."""

    k: float = 100.0
    density: float = 9000.0
    c: float = 400.0
    latent: float = 1.2e5
    melts_C: float = 600.0

    def conductivity(self, T_C: ArrayLike) -> Floats:
        """Thermal conductivity [W/mK]."""
        return np.full_like(np.asarray(T_C, dtype=float), self.k)

    def conductivity_integral(self, T_C: ArrayLike) -> Floats:
        """∫ k dT from 0 °C [W/m]."""
        return self.k * np.asarray(T_C, dtype=float)

    def enthalpy(self, T_C: ArrayLike) -> Floats:
        """Enthalpy per volume, solid at the melting point [J/m³]."""
        T = np.asarray(T_C, dtype=float)
        return self.density * (self.c * T + self.latent * (self.melts_C < T))


def melting_slab(row: Row) -> Computed:
    """S02; the front from the share of each cell that has taken up its latent heat."""
    metal = Melting()
    edges = np.concatenate([np.arange(0, 0.5e-3, 0.02e-3), np.arange(0.5e-3, 4e-3, 0.05e-3)])
    grid = build_grid(edges, sides=[(0, -1)])
    wall = LinearLoss(HELD, metal.melts_C + 60.0)
    run = Run(grid, metal, [wall], metal.melts_C - BELOW_K, tolerance_K=0.02)
    solid = metal.enthalpy(metal.melts_C)
    fronts = []
    for t in row.along:
        H = run.to(t).enthalpy
        melted = np.clip((H - solid) / (metal.density * metal.latent), 0.0, 1.0)
        fronts.append(melted @ grid.volume)
    T = run.cells_C.ravel() - metal.melts_C
    half = np.interp(fronts[-1] / 2, grid.centre[:, 0], T)
    return {"front": 1e3 * np.array(fronts), "half way, above melting": half}


ROWS = {"S02": melting_slab}
