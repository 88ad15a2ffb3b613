"""Balls, slabs, rods and discs of Carslaw & Jaeger."""

from __future__ import annotations

import numpy as np

from thermo.heat import (
    ConstantSolid,
    CosineLobeFlux,
    HeatModel,
    History,
    LinearLoss,
    March,
    Sink,
)
from thermo.shape import Joint, build_mesh
from validation.checks import Computed, Floats, Row
from validation.grids import HELD, Given, Run, build_grid, steady
from validation.parts import CENTRE, one_piece, plain_ball

STEEL = ConstantSolid(30.0, 5e6)
R = 3e-3
ROUND = ((R, 0, 0), (-R, 0, 0), (0, R, 0), (0, 0.8 * R, 0.6 * R), (0, 0, R))


def _worst_surface(history: History, wanted: Floats) -> Floats:
    """Of some points of the surface, the reading farthest from what is wanted, by time."""
    found = np.stack([history.at(point=p, body="ball") for p in ROUND])
    return found[np.abs(found - wanted).argmax(axis=0), np.arange(len(wanted))]


def warmed_by_gas(row: Row) -> Computed:
    """T04."""
    mesh = build_mesh(plain_ball(), "fine", mirrored=True)
    loads = [LinearLoss(row.inputs["film"], row.inputs["gas_C"])]
    history = one_piece(mesh, STEEL, loads, row.along)
    return {
        "centre": history.at(point=CENTRE, body="ball"),
        "surface": _worst_surface(history, row.expected["surface"]),
        "mean": history.temperature_C @ mesh.volume / mesh.volume.sum(),
    }


def uniform_flux(row: Row) -> Computed:
    """T12."""
    mesh = build_mesh(plain_ball(), "fine", mirrored=True)
    flux = Given(lambda t: (row.inputs["flux"], 0.0, 0.0))
    history = one_piece(mesh, STEEL, [flux], row.along)
    return {
        "surface": _worst_surface(history, row.expected["surface"] + 20.0) - 20.0,
        "centre": history.at(point=CENTRE, body="ball") - 20.0,
    }


def lit_from_one_side(
    row: Row, direction: tuple[float, float, float] = (1.0, 0.0, 0.0)
) -> Computed:
    """T13, from any direction in the plane y = 0.

    The back is not read where it is the rod's end.
    """
    mesh = build_mesh(plain_ball(), "normal", mirrored=True)
    loads = [
        CosineLobeFlux(row.inputs["flux"], direction),
        LinearLoss(row.inputs["film"], 20.0),
    ]
    history = one_piece(mesh, STEEL, loads, row.along)
    toward = R * np.array(direction)
    places = {"front": toward, "back": -toward, "side": (0, R, 0), "centre": CENTRE}
    return {
        name: history.at(point=place, body="ball")
        for name, place in places.items()
        if tuple(place) != (0, 0, -R)
    }


def half_space(row: Row) -> Computed:
    """T10."""
    edges = np.linspace(0.0, 8e-3, 401)
    grid = build_grid(edges, sides=[(0, -1)])
    run = Run(grid, STEEL, [Given(lambda t: (2.5e5, 0.0, 0.0))], 20.0, tolerance_K=2e-5)
    surface, deep = [], []
    for t in row.along:
        run.to(t)
        surface.append(run.surface_C[0] - 20.0)
        deep.append(np.interp(1e-3, grid.centre[:, 0], run.cells_C.ravel()) - 20.0)
    return {"surface": surface, "1 mm deep": deep}


READ_AT_MM = (5, 10, 20)


def held_end(row: Row) -> Computed:
    """F03, on a plain grid and on the rod of a joint."""
    return _held_grid(row.along) | _held_joint(row.along)


def _held_grid(times: Floats) -> Computed:
    along = np.concatenate([np.arange(0, 25e-3, 0.1e-3), np.geomspace(25e-3, 0.16, 80)])
    grid = build_grid(np.linspace(0, 1.2e-3, 4), along, sides=[(1, -1), (0, 1)], turned=True)
    end = grid.patches.side == 0
    film = np.where(end, HELD, 60.0)
    load = Given(lambda t: (film * np.where(end, 700.0, 20.0), film, 0.0))
    run, found = Run(grid, STEEL, [load], 20.0), []
    section, middles = grid.volume.reshape(grid.shape), (along[1:] + along[:-1]) / 2
    for t in times:
        mean = np.average(run.to(t).cells_C, axis=0, weights=section)[:, 0]
        found.append(np.interp(1e-3 * np.array(READ_AT_MM), middles, mean))
    columns = np.array(found).T
    return {f"at {x} mm": column for x, column in zip(READ_AT_MM, columns, strict=True)}


def _held_joint(times: Floats) -> Computed:
    """Distances count from the centre of the last cell held."""
    joint = Joint(4e-3, "blind", 2.4e-3, 2e-3, 2.4e-3, 0.16)
    mesh = build_mesh(joint, cell=0.25e-3)
    loads, solids = [LinearLoss(60.0, 20.0)], {"ball": STEEL, "rod": STEEL}
    free = HeatModel(mesh, solids, 1.0, loads)
    free.refresh(0.0, free.start(20.0))
    z = mesh.full_centre[:, 2]
    held = np.flatnonzero((z > -10e-3) & (z < joint.mouth_z - joint.ball_radius))
    end = z[held].min()
    sinks = [Sink(int(c), 0.9 * free.rate * 5e6 * mesh.volume[c], 700.0) for c in held]
    model = HeatModel(mesh, solids, 1.0, loads, sinks=sinks)
    start = model.start(np.where(z >= end, 700.0, 20.0)[:, None])
    run, states = March(model, start, tolerance_K=0.02), []
    for t in times:
        while run.t < t:
            run.step(until=float(t))
        states.append(run.y)
    history = History(model, times, np.stack(states), start)
    return {
        f"a joint's rod at {x} mm": history.at(point=(0.0, 0.0, end - x * 1e-3), body="rod")
        for x in READ_AT_MM
    }


def flux_at_the_end(row: Row) -> Computed:
    """F04."""
    along = np.concatenate([np.arange(0, 6e-3, 0.1e-3), np.geomspace(6e-3, 0.15, 120)])
    grid = build_grid(np.linspace(0, 1.2e-3, 4), along, sides=[(1, -1), (0, 1)], turned=True)
    at_end = grid.patches.side == 0
    load = Given(lambda t: (np.where(at_end, 2.5e5, 60.0 * 20.0), np.where(at_end, 0.0, 60.0), 0.0))
    run = Run(grid, STEEL, [load], 20.0)
    area = grid.patches.area[at_end]
    return {"end": [run.to(t).surface_C[at_end] @ area / area.sum() for t in row.along]}


def _two_bodies(other: ConstantSolid, conductance: float) -> Run:
    """Steel at 700 °C in x < 0, another body at 20 °C in x > 0."""
    fine = np.concatenate([np.arange(0, 0.4e-3, 0.01e-3), np.geomspace(0.4e-3, 40e-3, 140)])
    edges = np.concatenate([-fine[:0:-1], fine])
    grid = build_grid(edges, sides=[(0, -1)], split=len(fine) - 1)
    start = np.where(grid.centre[:, 0] < 0, 700.0, 20.0)
    return Run(
        grid, (STEEL, other), [LinearLoss(0.0, 20.0)], start, gap=conductance, tolerance_K=0.01
    )


def touching_bodies(row: Row) -> Computed:
    """C01."""
    water = _two_bodies(ConstantSolid(0.6, 4.18e6), np.inf).to(0.1)
    steel = _two_bodies(STEEL, np.inf).to(0.1)
    deep = np.interp(-1e-3, water.grid.centre[:, 0], water.cells_C.ravel())
    return {
        "interface, water": water.walls_C[0][0],
        "1 mm inside steel, water": deep,
        "interface, steel": steel.walls_C[0][0],
    }


def contact_resistance(row: Row) -> Computed:
    """C02."""
    run = _two_bodies(STEEL, 1e4)
    found = [(*(w[0] for w in run.to(t).walls_C), run.gap_flux[0] / 1e6) for t in row.along]
    return dict(zip(("hot face", "cold face", "flux"), np.array(found).T, strict=True))


def spreading_disc(row: Row) -> Computed:
    """C08."""
    a, k, far = 1.2e-3, 30.0, 300
    half = np.concatenate([np.geomspace(1e-4, 0.1, 24), np.linspace(0.1, 1.0, 28)[1:]])
    inside = 1.0 - half[::-1]  # finest at the rim
    outward = np.concatenate([half[:24], np.geomspace(0.1, far, 70)[1:]])
    r = a * np.concatenate([inside, [1.0], 1.0 + outward])
    z = a * np.concatenate([[0.0], outward])
    grid = build_grid(r, z, sides=[(1, -1), (1, 1), (0, 1)], turned=True)
    patches = grid.patches
    disc = (patches.side == 0) & (patches.centre[:, 0] < a)
    away = patches.side > 0
    _, heat = steady(grid, k, np.where(disc | away, HELD, 0.0), np.where(disc, 1.0, 0.0))
    area = patches.area[disc]
    T, _ = steady(grid, k, np.where(away, HELD, 0.0), 0.0, np.where(disc, 1 / area.sum(), 0))
    surface = T[patches.cell[disc]] + patches.depth[disc] / k / area.sum()
    return {
        "disc of one temperature": 1.0 / heat[disc].sum(),
        "uniform flux, mean": surface @ area / area.sum(),
        "uniform flux, centre": surface[0],
    }


ROWS = {
    "T04": warmed_by_gas,
    "T12": uniform_flux,
    "T13": lit_from_one_side,
    "T10": half_space,
    "F03": held_end,
    "F04": flux_at_the_end,
    "C01": touching_bodies,
    "C02": contact_resistance,
    "C08": spreading_disc,
}
