"""Polyhedra against the volumes of the cells that they stand for."""

import numpy as np
import pytest

from thermo.shape import Joint, build_mesh
from thermo.shape.polyhedra import polyhedra

BLIND = {"hole": "blind", "hole_diameter": 2.5e-3, "hole_depth": 3.6e-3}
JOINTS = {
    "drill point": Joint(6e-3, **BLIND, rod_diameter=2.4e-3, rod_length=30e-3, point_angle=118),
    "flat and vent": Joint(
        6e-3, **BLIND, rod_diameter=2.4e-3, rod_length=30e-3, flat_diameter=3.5e-3,
        vent_diameter=0.8e-3,
    ),
    "through, second ball": Joint(
        6e-3, "through", 2.5e-3, 0.0, 2.4e-3, 30e-3, second_ball_diameter=5e-3
    ),
}  # fmt: skip


@pytest.mark.parametrize("name", JOINTS)
@pytest.mark.parametrize("mirrored", [True, False])
def test_every_cell_has_its_volume_but_for_its_arcs(name, mirrored):
    mesh = build_mesh(JOINTS[name], "quick", mirrored=mirrored)
    found = polyhedra(mesh)
    volume = np.zeros(mesh.cells)
    for kind, cell in found.cell.items():
        own = found.volume(kind)
        assert own.min() > 0.0
        volume += np.bincount(cell, own, mesh.cells)
    share = volume / mesh.volume
    assert share.max() <= np.sin(2 * np.pi / 48) / (2 * np.pi / 48) + 1e-9  # chords of 48 a turn
    assert share.min() > 0.985
    assert volume.sum() > 0.995 * mesh.volume.sum()


def test_polyhedra_lie_where_their_cells_are():
    mesh = build_mesh(JOINTS["drill point"], "quick")
    found = polyhedra(mesh)
    centre, total = np.zeros((mesh.cells, 3)), np.zeros(mesh.cells)
    for kind, cell in found.cell.items():
        middle = found.points[found.corners[kind]].mean(axis=1)
        np.add.at(centre, cell, middle * found.volume(kind)[:, None])
        np.add.at(total, cell, found.volume(kind))
    away = np.linalg.norm(centre / total[:, None] - mesh.full_centre, axis=1)
    assert away.max() < 0.2 * mesh.cell_size
