"""Balls, rods, a gap and correlations of Incropera & DeWitt."""

from __future__ import annotations

import math

import numpy as np

from thermo.flame import churchill_bernstein_cylinder, whitaker_sphere
from thermo.heat import ConstantSolid, GreyLoss, HeatModel, LinearLoss, Load, March
from thermo.shape import Joint, build_mesh
from validation.checks import Computed, Floats, Row
from validation.grids import HELD, build_grid, steady
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
    base = grid.skin.side == 0
    film, ambient = np.where(base, HELD, 100.0), np.where(base, 100.0, 25.0)
    return {"heat": [steady(grid, k, film, ambient)[1][base].sum() for k in row.along]}


def _cooled(
    joint: Joint, metal: ConstantSolid, load: Load, start_C: float, levels: Floats
) -> list[float]:
    """Times at which a lumped body has cooled to falling levels [s]."""
    mesh = build_mesh(joint, cell=joint.ball_diameter / 6, mirrored=True)
    model = HeatModel(mesh, {"ball": metal, "rod": metal}, math.inf, [load])
    run, found = March(model, model.start(start_C), tolerance_K=0.05), []
    step = run.step(until=1e4)
    for level in levels:
        while mean_C(model, step.y1) > level:
            step = run.step(until=1e4)
        found.append(step.crossing(lambda t, y: -mean_C(model, y), -level))
    return found


def radiating_ball(row: Row) -> Computed:
    """F06."""
    metal = ConstantSolid(300.0, 7850 * 600.0)
    loss = GreyLoss(0.8, 20.0)
    return {"time": _cooled(lumped_joint(6 / 6e-3), metal, loss, 900.0, row.along)}


def annular_gap(row: Row) -> Computed:
    """C04."""
    mesh = build_mesh(Joint(6e-3, "blind", 2.5e-3, 4e-3, 2.4e-3, 36.27e-3))
    metal = ConstantSolid(1e9, 5e6)
    model = HeatModel(mesh, {"ball": metal, "rod": metal}, 1e4, [])
    y = model.start(np.where(mesh.body == 0, 690.2036, 700.0)[:, None])
    model.refresh(0.0, y)
    annulus = ~mesh.gap.floor
    read = model.readings(0.0, y)
    heat = -float(mesh.gap.area[annulus] @ read.gap_flux[annulus, 0])
    return {
        "gap resistance": (700.0 - 690.2036) / heat,
        "heat": heat,
        "hole wall": read.hole[annulus].min(),
        "rod wall": read.rod[annulus].max(),
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
    "T02": bearing_ball,
    "T03": quenched_sphere,
    "F01": long_rods,
    "F06": radiating_ball,
    "C04": annular_gap,
    "H01": ball_in_a_stream,
    "H03": cylinder_in_a_stream,
}
LIBRARIES = {"H03": ("ht", cylinder_by_library)}
