"""The conduction operator on real cut-cell meshes: balance, exactness, order of convergence."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from thermo.heat import HeatModel, History, March
from thermo.heat.conduction import conduction_operator
from thermo.shape import Joint, Mesh, build_mesh
from validation.manufactured.joint import OwnFlux
from validation.manufactured.metal import Linear

DRILLED = Joint(6e-3, "blind", 2.5e-3, 4e-3, 2.4e-3, 36e-3)
SHAPES = {
    "blind": DRILLED,
    "through": replace(DRILLED, hole="through"),
    "threaded": replace(DRILLED, hole="threaded", hole_diameter=3e-3, thread_pitch=0.5e-3),
    "flat and drill point": replace(
        DRILLED, flat_diameter=3.2e-3, hole_depth=3.5e-3, point_angle=118.0
    ),
    "vent": replace(DRILLED, vent_diameter=0.8e-3, point_angle=118.0),
}


@pytest.mark.parametrize("mirrored", [False, True])
@pytest.mark.parametrize("shape", list(SHAPES))
def test_what_leaves_one_cell_enters_another(shape, mirrored):
    """Columns sum to zero: no heat is made; rows sum to zero: none flows in a level field."""
    mesh = build_mesh(SHAPES[shape], "quick", mirrored=mirrored)
    operator = conduction_operator(mesh)
    size = np.abs(operator.data).max()
    assert np.abs(operator.sum(axis=0)).max() <= 1e-13 * size
    assert np.abs(operator.sum(axis=1)).max() <= 1e-13 * size


SLIM = {
    "deep": Joint(21e-3, "blind", 0.4e-3, 18.5e-3, 0.3e-3, 40e-3, point_angle=118.0),
    "very deep": Joint(30e-3, "blind", 0.4e-3, 27e-3, 0.3e-3, 40e-3, point_angle=90.0),
}


@pytest.mark.parametrize("accuracy", ["quick", "normal"])
@pytest.mark.parametrize("shape", [*SHAPES, *SLIM])
def test_no_field_grows_by_conduction(shape, accuracy):
    """Σ Θ dΘ/dt <= 0: slanted faces feed nothing, be a cell ever so much higher than wide."""
    operator = conduction_operator(build_mesh((SHAPES | SLIM)[shape], accuracy)).toarray()
    size = np.abs(operator).max()
    assert np.linalg.eigvalsh(operator + operator.T)[-1] <= 1e-12 * size
    assert np.abs(operator.sum(axis=0)).max() <= 1e-13 * size
    assert np.abs(operator.sum(axis=1)).max() <= 1e-13 * size


def touching(mesh: Mesh) -> np.ndarray:
    """Cells with a wall of any kind: skin, gap, vent, drill point, far end."""
    joint = mesh.joint
    edge = np.zeros(mesh.cells, dtype=bool)
    edge[np.concatenate([mesh.patches.cell, mesh.gap.ball, mesh.gap.rod])] = True
    net = np.zeros_like(mesh.full_centre)
    np.add.at(net, mesh.left, mesh.face)
    np.add.at(net, mesh.right, -mesh.face)
    edge |= np.abs(net).max(axis=1) > 1e-9 * mesh.cell_size**2
    edge |= mesh.full_centre[:, 2] < joint.far_z + mesh.cell_size
    return edge


@pytest.mark.parametrize("accuracy", ["quick", "normal"])
@pytest.mark.parametrize("shape", list(SHAPES))
def test_linear_fields_are_exact_inside(shape, accuracy):
    """Θ = x, y, z has no net flow in cells without walls, slanted faces included."""
    mesh = build_mesh(SHAPES[shape], accuracy)
    inside = ~touching(mesh)
    assert np.count_nonzero(inside) > 50
    flow = conduction_operator(mesh) @ mesh.full_centre
    assert np.abs(flow[inside]).max() <= 1e-9 * mesh.cell_size**2


@pytest.mark.parametrize("shape", list(SHAPES))
def test_linear_fields_are_exact_at_faces_to_walls(shape):
    """Heat through all faces of a cell at a wall is grad Θ · (their vector areas)."""
    mesh = build_mesh(SHAPES[shape], "normal")
    net = np.zeros_like(mesh.full_centre)
    np.add.at(net, mesh.left, mesh.face)
    np.add.at(net, mesh.right, -mesh.face)
    flow = conduction_operator(mesh) @ mesh.full_centre
    assert np.abs(flow - net).max() <= 1e-9 * mesh.cell_size**2


class Manufactured:
    """Θ = Θ0 + A e^(ax) cos(by + 0.4) cos(c (z - far end)), a² = b² + c²: no source is needed,
    and nothing flows through the rod's far end."""

    a, b, c, level, size = 250.0, 200.0, 150.0, 12000.0, 5000.0

    def __init__(self, joint: Joint) -> None:
        self.far_z = joint.far_z

    def value(self, p: np.ndarray) -> np.ndarray:
        x, y, z = np.moveaxis(p, -1, 0)
        wave = np.cos(self.b * y + 0.4) * np.cos(self.c * (z - self.far_z))
        return self.level + self.size * np.exp(self.a * x) * wave

    def gradient(self, p: np.ndarray, body: int) -> np.ndarray:
        x, y, z = np.moveaxis(p, -1, 0)
        e = self.size * np.exp(self.a * x)
        y, z = self.b * y + 0.4, self.c * (z - self.far_z)
        return np.stack(
            [
                self.a * e * np.cos(y) * np.cos(z),
                -self.b * e * np.sin(y) * np.cos(z),
                -self.c * e * np.cos(y) * np.sin(z),
            ],
            axis=-1,
        )


ACROSS = (12, 16, 20, 28)  # cells across the ball; as many sectors round it
POLES = [(3e-3, 0, 0), (-3e-3, 0, 0), (0, 3e-3, 0), (0, 0, 3e-3)]


@pytest.fixture(scope="module")
def manufactured_errors():
    """Errors [K] by cells across: root mean square, largest, at the poles; and the range."""
    joint = Joint(6e-3, "blind", 2.4e-3, 4e-3, 2.4e-3, 3e-3)
    field, solid, found = Manufactured(joint), Linear(), []
    for across in ACROSS:
        mesh = build_mesh(joint, cell=6e-3 / across)
        flux = OwnFlux(field, mesh)
        assert abs(mesh.patches.area @ flux.flux[:, 0]) < 1e-9 * np.abs(flux.flux).max()
        model = HeatModel(mesh, {"ball": solid, "rod": solid}, math.inf, [flux])
        exact = solid.temperature(field.value(mesh.full_centre))
        start = model.start(exact[:, None])
        run = March(model, start, tolerance_K=1e-3)
        while run.t < 3.0:
            run.step(until=3.0)
        volume = mesh.volume / mesh.volume.sum()
        error = model.temperatures(run.y)[:, 0] - exact
        history = History(model, np.array([run.t]), run.y[None], start)
        pole = [
            history.at(point=p, body="ball")[0] - solid.temperature(field.value(np.array(p)))
            for p in POLES
        ]
        level = volume @ error  # flux alone does not set the mean
        spread = math.sqrt(volume @ (error - level) ** 2)
        largest = np.abs(error - level).max()
        found.append((spread, largest, np.abs(np.array(pole) - level).max(), np.ptp(exact)))
    return np.array(found).T


@pytest.mark.parametrize(
    ("which", "share"), [(0, 0.0005), (1, 0.002), (2, 0.01)], ids=["rms", "largest", "poles"]
)
def test_manufactured_field_converges_with_second_order(manufactured_errors, which, share):
    """A smooth field through ball, perfect joint and rod with k(T): order 1.8 or better, and at
    28 cells across errors below a share of the field's range.

    Method of manufactured solutions (Salari & Knupp, SAND2000-1444): the exact field is given its
    exact flux on every cut surface piece and marched until it rests on the discrete one. As many
    sectors as cells across, multiples of four, so that both grow in step.
    """
    errors, span = manufactured_errors[which], manufactured_errors[3]
    order = -np.polyfit(np.log(ACROSS), np.log(errors), 1)[0]
    assert order >= 1.8, errors
    assert np.all(np.diff(errors) < 0)
    assert errors[-1] <= share * span[-1], errors / span
