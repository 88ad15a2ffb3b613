"""Balls, rods, a gap and correlations of Incropera & DeWitt."""

from __future__ import annotations

import math

import numpy as np

from thermo.flame import churchill_bernstein_cylinder, whitaker_sphere
from thermo.heat import ConstantSolid, GreyLoss, HeatModel, LinearLoss, Load, March
from thermo.shape import Joint, Mesh, build_mesh
from validation.checks import Computed, Floats, Row
from validation.grids import HELD, Grid, Links, Sides, build_grid, slowest_mode, steady
from validation.parts import CENTRE, lumped_joint, mean_C, one_piece, passed_s, plain_ball

ZERO_C = 273.15


def bearing_ball(row: Row) -> Computed:
    """T02."""
    mesh = build_mesh(plain_ball(20e-3), "fine", mirrored=True)
    times = np.linspace(3.2, 3.7, 11)
    loads = [LinearLoss(5000.0, 1300.0 - ZERO_C)]
    metal = ConstantSolid(50.0, 7800 * 500.0)
    history = one_piece(mesh, metal, loads, times, start_C=300.0 - ZERO_C)
    found = history.at(point=(9e-3, 0, 0), body="ball")
    return {"time": passed_s(times, found, 1000.0 - ZERO_C)}


def slowest_modes(row: Row) -> Computed:
    """T01: root ζ and amplitude C of each body at each Bi."""
    found: dict[str, list[float]] = {}
    edges = np.linspace(0.0, 1.0, 2001)
    for name, turned in (("slab", False), ("cylinder", True)):
        grid = build_grid(edges, sides=[(0, 1)], turned=turned)
        for biot in row.along:
            rate, mode = slowest_mode(grid, biot)
            centre = mode[0] - (mode[1] - mode[0]) / 8
            _append(found, name, math.sqrt(rate), centre, mode, grid.volume)
    joint = plain_ball()
    R = joint.ball_radius
    mesh = build_mesh(joint, cell=R / 15, mirrored=True)
    points = mesh.full_centre[np.unique(mesh.fold, return_index=True)[1]]
    square = np.sum(points**2, axis=1) / R**2
    near = square < 0.2
    powers = square[near, None] ** np.arange(4)  # even powers of the radius
    for biot in row.along:
        rate, mode = slowest_mode(mesh, biot / R)
        centre = np.linalg.lstsq(powers, mode[near], rcond=None)[0][0]
        _append(found, "sphere", R * math.sqrt(rate), centre, mode, mesh.volume)
    return found


def _append(
    found: dict[str, list[float]], name: str, root: float, centre: float, mode: Floats, V: Floats
) -> None:
    """Root, and the centre's share in a start at 1 everywhere."""
    found.setdefault(f"{name}, root", []).append(root)
    found.setdefault(f"{name}, amplitude", []).append(centre * (V @ mode) / (V @ mode**2))


def quenched_sphere(row: Row) -> Computed:
    """T03."""
    mesh = build_mesh(plain_ball(10e-3), "fine", mirrored=True)
    metal = ConstantSolid(20.0, 3000 * 1000.0)
    air, water = np.linspace(90.0, 98.0, 5), np.linspace(2.7, 3.2, 11)
    first = one_piece(mesh, metal, [LinearLoss(10.0, 20.0)], air, start_C=400.0)
    second = one_piece(mesh, metal, [LinearLoss(6000.0, 20.0)], water, start_C=335.0)
    centre = second.at(point=CENTRE, body="ball")
    surface = second.at(point=(5e-3, 0, 0), body="ball")
    return {
        "in air": passed_s(air, first.at(point=CENTRE, body="ball"), 335.0),
        "in water": (t := passed_s(water, centre, 50.0)),
        "surface then": np.interp(t, water, surface),
    }


def long_rods(row: Row) -> Computed:
    """F01."""
    along = np.concatenate([np.arange(0, 4e-3, 0.2e-3), np.geomspace(4e-3, 0.8, 140)])
    grid = build_grid(np.linspace(0, 2.5e-3, 7), along, sides=[(1, -1), (0, 1)], turned=True)
    base = grid.patches.side == 0
    film, ambient = np.where(base, HELD, 100.0), np.where(base, 100.0, 25.0)
    return {"heat": [steady(grid, k, film, ambient)[1][base].sum() for k in row.along]}


def _cooled(
    joint: Joint, metal: ConstantSolid, load: Load, start_C: float, levels: Floats
) -> list[float]:
    """Times at which a lumped body has cooled to falling levels [s]."""
    mesh = build_mesh(joint, cell=joint.ball_diameter / 6, mirrored=True)
    model = HeatModel(mesh, {"ball": metal, "rod": metal}, math.inf, [load])
    run, found = March(model, model.start(start_C), tolerance_K=0.005), []
    step = run.step(until=1e4)
    for level in levels:
        while mean_C(model, step.y1) > level:
            step = run.step(until=1e4)
        found.append(step.crossing(lambda t, s=step: -mean_C(model, s.at(t)), -level))
    return found


def radiating_ball(row: Row) -> Computed:
    """F06."""
    metal = ConstantSolid(300.0, 7850 * 600.0)
    loss = GreyLoss(0.8, 20.0)
    return {"time": _cooled(lumped_joint(6 / 6e-3), metal, loss, 900.0, row.along)}


def _sleeve(mesh: Mesh, radius: float) -> Grid:
    """The part of a ball round its hole out to a radius: hole wall first, then the outside.

    The radius is that of the ball's flat, where the mesh has a grid line, so no cell is cut.
    """
    joint, x, y, z = mesh.joint, *mesh.full_centre.T
    outward = np.hypot(x, y) / np.sinc(mesh.half_turn / math.pi)  # the centroid of the whole arc
    kept = (mesh.body == 0) & (outward < radius) & (z < joint.floor_z)
    number = np.cumsum(kept) - 1
    inside, leaves = kept[mesh.left] & kept[mesh.right], kept[mesh.left] & ~kept[mesh.right]
    rim = leaves & (np.abs(mesh.face[:, 2]) < 1e-3 * mesh.cell_size**2)
    cell, gap, wall = mesh.left[rim], mesh.gap, ~mesh.gap.floor
    arc = np.linalg.norm(mesh.face[rim], axis=1) / np.sinc(mesh.half_turn[cell] / math.pi)
    cells = np.concatenate([gap.ball[wall], cell])
    return Grid(
        shape=(int(kept.sum()), 1, 1),
        volume=mesh.volume[kept],
        body=mesh.body[kept],
        centre=mesh.full_centre[kept],
        fold=np.arange(kept.sum()),
        left=number[mesh.left[inside]],
        right=number[mesh.right[inside]],
        face=mesh.face[inside],
        gap=Links(*[np.array([], dtype=int)] * 2, *[np.array([])] * 3),
        patches=Sides(
            area=np.concatenate([gap.area[wall], arc]),
            depth=np.concatenate([gap.ball_depth[wall], radius - outward[cell]]),
            cell=number[cells],
            centre=mesh.full_centre[cells],
            side=np.repeat([0, 1], [wall.sum(), len(cell)]),
        ),
    )


def sleeve_on_a_rod(row: Row) -> Computed:
    """C04; temperatures of hole wall and outside are means over them."""
    depth, outside, k = 3.7272e-3, 3.0e-3, 30.0
    joint = Joint(8.4e-3, "blind", 2.5e-3, depth, 2.4e-3, 5e-3, flat_diameter=2 * outside)
    grid = _sleeve(build_mesh(joint, cell=0.14e-3), outside)
    patches, hole = grid.patches, grid.patches.side == 0
    T, heat = steady(grid, k, np.where(hole, 1e4, 60.0), np.where(hole, 700.0, 20.0))
    face = T[patches.cell] + heat * patches.depth / (k * patches.area)
    wall, out = (np.average(face[s], weights=patches.area[s]) for s in (hole, ~hole))
    Q = heat[hole].sum()
    return {
        "gap": (700.0 - wall) / Q,
        "wall": (wall - out) / Q,
        "convection": (out - 20.0) / Q,
        "heat": Q,
        "hole wall": wall,
        "outside": out,
    }


def ball_in_a_stream(row: Row) -> Computed:
    """H01."""
    D = 10e-3
    Nu = float(whitaker_sphere(10.0 * D / 15.36e-6, 0.709, 181.6 / 197.8))
    h = Nu * 0.0258 / D
    metal = ConstantSolid(4000.0, 8933 * 387.0)
    times = _cooled(lumped_joint(6 / D), metal, LinearLoss(h, 23.0), 75.0, np.array([35.0]))
    return {"Nu": Nu, "h": h, "cooling time": times}


def cylinder_in_a_stream(row: Row) -> Computed:
    """H03."""
    Nu = float(churchill_bernstein_cylinder(6071, 0.70))
    return {"Nu": Nu, "h": Nu * 0.030 / 12.7e-3}


def cylinder_by_library(row: Row) -> Computed:
    """H03 by the library."""
    from ht.conv_external import Nu_cylinder_Churchill_Bernstein

    return {"Nu": Nu_cylinder_Churchill_Bernstein(Re=6071, Pr=0.70)}


ROWS = {
    "T01": slowest_modes,
    "T02": bearing_ball,
    "T03": quenched_sphere,
    "F01": long_rods,
    "F06": radiating_ball,
    "C04": sleeve_on_a_rod,
    "H01": ball_in_a_stream,
    "H03": cylinder_in_a_stream,
}
LIBRARIES = {"H03": ("ht", cylinder_by_library)}
