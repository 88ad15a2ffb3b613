"""Plane, point and band sources that move over plain grids until the field moves with them."""

from __future__ import annotations

import math

import numpy as np
from scipy.interpolate import CubicSpline

from thermo.heat import ConstantSolid
from validation.checks import Computed, Floats, Row
from validation.grids import Given, Run, build_grid

STEEL = ConstantSolid(30.0, 5e6)


def _hat(x: Floats, at: float) -> Floats:
    """Shares of a source at a place, given to the two nearest of some places."""
    i = int(np.clip(np.searchsorted(x, at) - 1, 0, len(x) - 2))
    share = np.zeros(len(x))
    share[i + 1] = (at - x[i]) / (x[i + 1] - x[i])
    share[i] = 1.0 - share[i + 1]
    return share


def rod(row: Row) -> Computed:
    """M01."""
    r, v, seconds, dx = 1.2e-3, 2e-3, 50.0, 0.1e-3
    end = v * seconds
    behind, ahead = _away(dx, 7e-3, end + 20e-3, 1.05), _away(dx, 4e-3, 25e-3, 1.05)
    edges = end + dx / 2 + np.concatenate([-behind[:0:-1], ahead])
    grid = build_grid([0.0, r], edges, sides=[(0, 1)], turned=True)
    z, ring = grid.centre[:, 1], 2 * math.pi * r * np.diff(edges)
    load = Given(lambda t: (_hat(z, v * t) / ring, 60.0, 0.0))
    run = Run(grid, STEEL, [load], 0.0, tolerance_K=0.01).to(seconds, longest=dx / v / 2)
    return {"rise": CubicSpline(z, run.cells_C.ravel())(end + row.along * 1e-3)}


def _away(fine: float, until: float, end: float, ratio: float = 1.25) -> Floats:
    """Edges from 0: even as far as `until`, then growing to the end."""
    edges = list(np.arange(0.0, until, fine))
    step = fine
    while edges[-1] < end:
        edges.append(edges[-1] + step)
        step *= ratio
    return np.array(edges)


def point(row: Row) -> Computed:
    """M02; half of it, y > 0, from the plane of the source's path on."""
    v, seconds, h = 2e-3, 20.0, 0.3e-3
    end = v * seconds
    x = end + np.concatenate([-_away(h, 4e-3, end + 15e-3)[:0:-1], _away(h, 3.6e-3, 15e-3)])
    y = np.concatenate([[0.0], h / 2 + _away(h, 3.3e-3, 25e-3)])
    grid = build_grid(x, y, _away(h, 3.6e-3, 25e-3), sides=[(2, -1)])
    along = (x[1:] + x[:-1]) / 2

    def terms(t: float) -> tuple[Floats, float, float]:
        share = np.zeros(grid.shape[:2])
        share[:, 0] = _hat(along, v * t) * 5.0
        return share.ravel() / grid.patches.area, 0.0, 0.0

    run = Run(grid, STEEL, [Given(terms)], 0.0, tolerance_K=0.05).to(seconds, longest=0.1)
    surface = run.surface_C.reshape(grid.shape[:2])
    path = CubicSpline(along, surface[:, 0])
    y_mid, z_mid = (np.unique(grid.centre[:, a].round(12)) for a in (1, 2))
    rows = np.array([path(end), *CubicSpline(along, surface[:, 1:])(end)])
    deep = CubicSpline(along, run.cells_C[:, 0, :])(end)
    beside, below = y_mid > 1e-3, z_mid > 1e-3
    return {
        "2 mm behind": path(end - 2e-3),
        "2 mm beside": CubicSpline(y_mid[beside], rows[beside])(2e-3),
        "2 mm ahead": path(end + 2e-3),
        "3 mm below": CubicSpline(z_mid[below], deep[below])(3e-3),
    }


def _band(v: float, b: float = 2e-3, flux: float = 2.5e5) -> tuple[float, float, float]:
    """Maximum, rise at the centre, place of the maximum behind it over b."""
    diffusivity = STEEL.k / STEEL.heat_capacity
    seconds = 5 * 4 * diffusivity / v**2
    end = v * seconds
    behind, ahead = _away(b / 10, 1.6 * b, end + 6 * b, 1.1), _away(b / 10, 1.4 * b, 8 * b, 1.2)
    x = end + np.concatenate([-behind[:0:-1], ahead])
    grid = build_grid(x, _away(b / 20, b / 2, 60e-3, 1.15), sides=[(1, -1)])

    def terms(t: float) -> tuple[Floats, float, float]:
        low, high = np.maximum(x[:-1], v * t - b), np.minimum(x[1:], v * t + b)
        return flux * np.maximum(high - low, 0.0) / np.diff(x), 0.0, 0.0

    run = Run(grid, STEEL, [Given(terms)], 0.0, tolerance_K=0.02)
    run.to(seconds, longest=b / 5 / v)
    middle = (x[1:] + x[:-1]) / 2 - end
    near = np.abs(middle) < 1.5 * b
    spline = CubicSpline(middle[near], run.surface_C[near])
    fine = np.linspace(-b, 0.0, 4001)
    top = int(spline(fine).argmax())
    return float(spline(fine[top])), float(spline(0.0)), -fine[top] / b


def band(row: Row) -> Computed:
    """M04."""
    found = np.array([_band(v * 1e-3) for v in row.along]).T
    return dict(zip(("maximum", "centre", "place of the maximum"), found, strict=True))


ROWS = {"M01": rod, "M02": point, "M04": band}
