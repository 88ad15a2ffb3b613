"""Columns, slab and cylinder on plain grids; a lumped ball on a rod in the fire."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from thermo.heat import ConstantSolid, LinearLoss
from validation.checks import Computed, Floats, Row
from validation.grids import Given, Run, build_grid
from validation.parts import lumped_joint
from validation.standard_fire import fire_load, in_the_fire

ALL_SIDES = [(0, -1), (0, 1), (1, -1), (1, 1)]


def cooling_column(row: Row) -> Computed:
    """T09; an odd number of cells, so that one lies in the middle."""
    edges = np.linspace(-1.0, 1.0, 62)
    grid = build_grid(edges, edges, sides=ALL_SIDES)
    run = Run(grid, ConstantSolid(1.0, 1.0), [LinearLoss(1.0, 0.0)], 1000.0, tolerance_K=0.01)
    found = [run.to(t).cells_C[30, 30, 0] for t in row.along]
    return {"published": found, "exact": found}


def heated_column(row: Row) -> Computed:
    """T16, a quarter; the corner by a straight line along the side."""
    edges = np.linspace(0.0, 0.1, 41)
    grid = build_grid(edges, edges, sides=[(0, 1), (1, 1)])
    metal = ConstantSolid(1.0, 2400 * 1000.0)
    run = Run(grid, metal, [fire_load(10.0, 0.8, 0.0)], 0.0, tolerance_K=0.05)
    centre, side, corner = [], [], []
    for minutes in row.along:
        run.to(60.0 * minutes)
        surface = run.surface_C[grid.patches.side == 0]
        centre.append(run.cells_C[0, 0, 0])
        side.append(surface[0])
        corner.append(1.5 * surface[-1] - 0.5 * surface[-2])
    return {"centre": centre, "middle of a side": side, "corner": corner}


class Linear:
    """k = 0.10, 0.15, 0.20 W/mK and c = 1000, 1200, 1000 J/kgK at 0, 100, 200 °C."""

    T, k, c = (np.array(x, float) for x in ((0, 100, 200), (0.10, 0.15, 0.20), (1e3, 1.2e3, 1e3)))
    density = 1e4

    def conductivity(self, T_C: ArrayLike) -> Floats:
        """Thermal conductivity [W/mK]."""
        return np.interp(T_C, self.T, self.k)

    def conductivity_integral(self, T_C: ArrayLike) -> Floats:
        """∫ k dT from 0 °C [W/m]."""
        return _integral(T_C, self.T, self.k)

    def enthalpy(self, T_C: ArrayLike) -> Floats:
        """Enthalpy per volume from 0 °C [J/m³]."""
        return self.density * _integral(T_C, self.T, self.c)


def _integral(T_C: ArrayLike, at: Floats, values: Floats) -> Floats:
    """Integral of a broken line from its first point on, its ends carried on level."""
    T = np.asarray(T_C, dtype=float)
    total = values[0] * np.minimum(T - at[0], 0.0) + values[-1] * np.maximum(T - at[-1], 0.0)
    for i in range(len(at) - 1):
        part = np.clip(T, at[i], at[i + 1]) - at[i]
        slope = (values[i + 1] - values[i]) / (at[i + 1] - at[i])
        total = total + part * (values[i] + slope * part / 2)
    return total


def slab(row: Row) -> Computed:
    """T18."""
    grid = build_grid(np.linspace(0.0, 0.01, 201), sides=[(0, 1), (0, -1)])
    films = Given(lambda t: (np.array([7000.0, 0.0]), 10.0, 0.0))
    run = Run(grid, Linear(), [films], 0.0)
    found = np.array([run.to(t).surface_C for t in row.along]).T
    return {"surface": found[0], "back": found[1]}


def cylinder(row: Row) -> Computed:
    """T19."""
    grid = build_grid(np.linspace(0.0, 0.01, 201), [0.0, 1.0], sides=[(0, 1)], turned=True)
    run = Run(grid, Linear(), [LinearLoss(10.0, 700.0)], 0.0)
    found = np.array([(run.to(t).surface_C[0], run.cells_C.ravel()[0]) for t in row.along]).T
    return {"surface": found[0], "centre": found[1]}


def lumped_steel(row: Row) -> Computed:
    """F10."""
    joint = lumped_joint(50.0)
    metal = ConstantSolid(4e4 * joint.ball_diameter, 7850 * 520.0)
    found = in_the_fire(joint, metal, 25.0, 0.7, row.along)
    return {"published": found, "differential equation": found}


ROWS = {
    "T09": cooling_column,
    "T16": heated_column,
    "T18": slab,
    "T19": cylinder,
    "F10": lumped_steel,
}
