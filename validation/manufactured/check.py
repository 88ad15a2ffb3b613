"""Orders of convergence in boxes, in a joint, across its gap and at the surface of a ball."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike

from thermo.heat import ConstantSolid
from thermo.shape import build_mesh
from validation.checks import Computed, Floats, Row
from validation.grids import HELD, Given, Run, build_grid
from validation.manufactured.joint import Errors, Field, rest_errors
from validation.manufactured.metal import Linear
from validation.parts import one_piece, plain_ball

L = 6e-3
CELLS = (8, 16, 24, 32)  # to an edge of a box
ACROSS = (12, 18, 24, 36)  # a joint's ball
ALL_SIDES = [(axis, sign) for axis in range(3) for sign in (-1, 1)]


def _order(sizes: ArrayLike, errors: ArrayLike) -> float:
    return float(-np.polyfit(np.log(sizes), np.log(errors), 1)[0])


def _rms(values: Floats) -> float:
    return float(np.sqrt(np.mean(values**2)))


METAL = Linear(54.0, -0.0333, 1 / 2000)  # of V01


def _joint(field: Field) -> list[Errors]:
    return [rest_errors(field, across) for across in ACROSS]


def field(p: Floats, t: float) -> tuple[Floats, Floats]:
    """Temperature [°C] and source ρc ∂T/∂t - ∇·(k∇T) [W/m³] of V01 at points and a time."""
    x, y, z = p.T / L
    grown = 200.0 * np.exp(-z) * (1.0 - 0.5 * math.exp(-t / 2))
    sx, cx = np.sin(math.pi * x), np.cos(math.pi * x)
    sy, cy = np.sin(math.pi * y / 2), np.cos(math.pi * y / 2)
    u = grown * sx * cy
    T = 300.0 + u
    rate = 50.0 * np.exp(-z) * sx * cy * math.exp(-t / 2)
    bend = u * (1.0 - 1.25 * math.pi**2) / L**2
    slope = ((math.pi * grown * cx * cy) ** 2 + (math.pi / 2 * grown * sx * sy) ** 2 + u**2) / L**2
    flow = (54.0 - 0.0333 * T) * bend - 0.0333 * slope
    return T, 5e6 * (1.0 + T / 2000.0) * rate - flow


def _settled() -> Run:
    """V01 on 8 cells at 0.2 s, when what the cells make of its start has died away."""
    return _box(8, tolerance_K=1e-4).to(0.2)


def _box(n: int, tolerance_K: float = 1e-3) -> Run:
    """V01 on n cells to an edge, its faces held at the field's temperature."""
    edges = np.linspace(0.0, L, n + 1)
    grid = build_grid(edges, edges, edges, sides=ALL_SIDES)
    held = Given(lambda t: (HELD * field(grid.patches.centre, t)[0], HELD, 0.0))
    return Run(
        grid,
        METAL,
        [held],
        field(grid.centre, 0.0)[0],
        tolerance_K=tolerance_K,
        source=lambda t: field(grid.centre, t)[1],
    )


def box(row: Row) -> Computed:
    """V01."""
    errors = []
    for n in CELLS:
        run = _box(n).to(1.0)
        errors.append(_rms(run.cells_C.ravel() - field(run.grid.centre, 1.0)[0]))
    steps = np.array([0.2, 0.1, 0.05, 0.025])
    exact, *stepped = (_settled().even(1.0, h).cells_C for h in (1 / 320, *steps))
    late = [_rms(found - exact) for found in stepped]
    joint = _joint(Field((Linear(), Linear()), modes=((1, 600.0, 0.3), (2, 300.0, 0.9))))
    return {
        "order in space": _order(CELLS, errors),
        "order in time": _order(1 / steps, late),
        "error ratio, 8 to 16 cells": errors[0] / errors[1],
        "error ratio, 16 to 32 cells": errors[1] / errors[3],
        "error of 32 cells": errors[-1],
        "error of the shortest steps": late[-1],
        "joint, order": _order(ACROSS, [e.field for e in joint]),
        "joint, error over span": joint[-1].field / joint[-1].span,
    }


def _jump_field(p: Floats, second: ArrayLike) -> tuple[Floats, Floats]:
    """Temperature and source of V03; `second` tells the block of x > 0."""
    x, y, z = p.T
    s = 1e5 * np.cos(math.pi * y / L) * np.cos(math.pi * z / L)
    k = np.where(second, 20.0, 30.0)
    rise = s * x / k + np.where(second, s / 1e4, 0.0)
    return 300.0 + rise, k * 2 * (math.pi / L) ** 2 * rise


def two_blocks(row: Row) -> Computed:
    """V03."""
    errors, jumps = [], []
    joint = _joint(Field((Linear(), Linear(20.0, 0.0)), jump=1e-3))
    for n in CELLS:
        edges = np.linspace(-L / 2, L / 2, n + 1)
        grid = build_grid(edges, edges, edges, sides=ALL_SIDES, split=n // 2)
        faces = grid.patches.centre
        held = HELD * _jump_field(faces, faces[:, 0] > 0)[0]
        exact, source = _jump_field(grid.centre, grid.centre[:, 0] > 0)
        run = Run(
            grid,
            (ConstantSolid(30.0, 5e6), ConstantSolid(20.0, 5e6)),
            [Given(lambda t, held=held: (held, HELD, 0.0))],
            exact,
            gap=1e4,
            source=lambda t, source=source: source,
        ).to(3.0)
        errors.append(_rms(run.cells_C.ravel() - exact))
        first, second = run.walls_C
        plane = grid.full_centre[grid.gap.ball] * [0.0, 1.0, 1.0]
        there = _jump_field(plane, second=True)[0] - _jump_field(plane, second=False)[0]
        jumps.append(_rms(second - first - there))
    return {
        "order of the field": _order(CELLS, errors),
        "order of the jump": _order(CELLS, jumps),
        "error of the field": errors[-1],
        "error of the jump": jumps[-1],
        "joint, order of the field": _order(ACROSS, [e.field for e in joint]),
        "joint, order of the jump": _order(ACROSS, [e.jump for e in joint]),
        "joint, error over span": joint[-1].field / joint[-1].span,
        "joint, error over the largest jump": joint[-1].jump / joint[-1].largest_jump,
    }


def ball(row: Row) -> Computed:
    """V04."""
    across, errors, residuals = (12, 24, 36, 48), [], []
    joint = plain_ball()
    R = joint.ball_radius
    for n in across:
        mesh = build_mesh(joint, cell=joint.ball_diameter / n, mirrored=True)
        flux = Given(lambda t: (1e5, 0.0, 0.0))
        history = one_piece(mesh, ConstantSolid(30.0, 5e6), [flux], [1.0], tolerance_K=1e-3)
        points = ((R, 0, 0), (-R, 0, 0), (0, R, 0), (0, 0.8 * R, 0.6 * R), (0, 0, R))
        read = np.array([history.at(point=p, body="ball")[0] for p in points])
        errors.append(np.abs(read - 42.0).max())
        residuals.append(np.abs(history.residual).max())
    return {
        "order of the surface temperature": _order(across, errors),
        "error at the surface": errors[-1],
        "ledger's residual": max(residuals),
    }


ROWS = {"V01": box, "V03": two_blocks, "V04": ball}
