"""What is read from a braze, and where: edges of the gap, seats, bodies, the eye's side."""

from dataclasses import replace

import numpy as np
import pytest

from thermo.braze.gap import edge_weights
from thermo.braze.model import BrazeModel
from thermo.braze.monitors import NAMES, Monitors
from thermo.braze.surroundings import TOUCHING, Brick
from thermo.heat import Readings
from thermo.shape import Joint, build_mesh

JOINTS = {
    "plain": Joint(6e-3, "blind", 2.5e-3, 3.6e-3, 2.4e-3, 30e-3),
    "stand-off 0.1": Joint(6e-3, "blind", 2.5e-3, 3.6e-3, 2.4e-3, 30e-3, stand_off=0.1e-3),
    "stand-off 0.5": Joint(6e-3, "blind", 2.5e-3, 3.6e-3, 2.4e-3, 30e-3, stand_off=0.5e-3),
    "flat": Joint(6e-3, "blind", 2.5e-3, 3.0e-3, 2.4e-3, 30e-3, flat_diameter=3.2e-3),
    "through": Joint(6e-3, "through", 2.5e-3, 0.0, 2.4e-3, 30e-3),
    "drill point": Joint(6e-3, "blind", 2.5e-3, 3.2e-3, 2.4e-3, 30e-3, point_angle=118.0),
}


@pytest.mark.parametrize("accuracy", ["quick", "normal"])
@pytest.mark.parametrize("name", JOINTS)
def test_linear_wall_temperatures_are_carried_to_the_edges_exactly(name, accuracy):
    joint = JOINTS[name]
    mesh = build_mesh(joint, accuracy, mirrored=True)
    links = np.flatnonzero(~mesh.gap.floor)
    _, first = np.unique(mesh.fold, return_index=True)
    for body, cells in ((0, mesh.gap.ball), (1, mesh.gap.rod)):
        wall = mesh.full_centre[first[cells[links]], 2]  # T = z at each wall's own cells
        for end in (joint.mouth_z, joint.tip_z):
            carried = edge_weights(mesh, links, body, end) @ wall
            np.testing.assert_allclose(carried, end, atol=1e-9 * joint.ball_diameter)


@pytest.mark.parametrize("body", [0, 1])
def test_walls_are_carried_to_the_edges_by_parabolas_sector_by_sector(body):
    joint = JOINTS["plain"]
    mesh = build_mesh(joint, "normal", mirrored=True)
    links = np.flatnonzero(~mesh.gap.floor)
    _, first = np.unique(mesh.fold, return_index=True)
    cells = (mesh.gap.rod if body else mesh.gap.ball)[links]
    z, turn = mesh.full_centre[first[cells], 2], mesh.gap.azimuth[links]
    assert len(np.unique(np.round(z, 9))) >= 4
    wall = np.cos(turn) * (1.0 + 300.0 * z + 8e5 * z**2)
    for end in (joint.mouth_z, joint.tip_z):
        expected = np.cos(np.unique(turn)) * (1.0 + 300.0 * end + 8e5 * end**2)
        carried = edge_weights(mesh, links, body, end) @ wall
        np.testing.assert_allclose(carried, expected, rtol=1e-9, atol=1e-9)


@pytest.fixture(scope="module")
def braze_model(earth):
    return BrazeModel(earth, [earth.strategy], "quick")


def level(braze_model, **changes) -> Readings:
    """Readings of a joint at 100 °C, with changes."""
    mesh = braze_model.mesh
    sizes = {
        "cells": mesh.cells,
        "hole": len(mesh.gap.area),
        "rod": len(mesh.gap.area),
        "metal": mesh.patches.count,
        "layer": len(braze_model.layer.pieces),
        "gap_flux": len(mesh.gap.area),
    }
    return Readings(**({k: np.full((n, 1), 100.0) for k, n in sizes.items()} | changes))


def read(braze_model, readings, name):
    return Monitors(braze_model).read(readings, braze_model.spent(0.0))[NAMES.index(name), 0]


def test_seats_lie_on_the_ball(braze_model):
    on_ball = np.where(braze_model.mesh.patches.piece_body == 0, 300.0, 100.0)[:, None]
    found = level(braze_model, metal=on_ball)
    assert (
        read(braze_model, found, "seat_near_C") == read(braze_model, found, "seat_far_C") == 300.0
    )


def test_either_half_of_the_gap_is_the_mean_of_its_own_walls(braze_model):
    """Hole 10 K above the rod, toward the flame 40 K above the lee; the flame comes from +x."""
    toward = np.cos(braze_model.mesh.gap.azimuth)[:, None] > 0
    hole = np.where(toward, 540.0, 500.0)
    found = level(braze_model, hole=hole, rod=hole - 10.0)
    assert read(braze_model, found, "gap_near_C") == pytest.approx(535.0, rel=1e-12)
    assert read(braze_model, found, "gap_far_C") == pytest.approx(495.0, rel=1e-12)


def test_each_body_has_its_own_hottest_place(braze_model):
    on_rod = np.where(braze_model.mesh.patches.piece_body == 1, 300.0, 100.0)[:, None]
    found = level(braze_model, metal=on_rod)
    assert read(braze_model, found, "ball_max_C") == 100.0
    assert read(braze_model, found, "rod_max_C") == read(braze_model, found, "part_max_C") == 300.0


@pytest.mark.parametrize("falls", ["mouth", "tip"])
def test_the_gap_is_read_up_to_its_very_ends(braze_model, falls):
    """Walls that rise straight from one end to the other, the rod's 30 K below the hole's."""
    mesh, joint = braze_model.mesh, braze_model.setup.joint
    _, first = np.unique(mesh.fold, return_index=True)
    z = mesh.full_centre[first, 2]
    per_m = 4e3 if falls == "mouth" else -4e3
    cold = joint.mouth_z if falls == "mouth" else joint.tip_z
    hole, rod = (
        650.0 + over + per_m * (z[cells] - cold)[:, None]
        for cells, over in ((mesh.gap.ball, 30.0), (mesh.gap.rod, 0.0))
    )
    part = np.full((mesh.cells, 1), 20.0)
    part[0] = 900.0
    found = level(braze_model, hole=hole, rod=rod, cells=part)
    long = 4e3 * (joint.tip_z - joint.mouth_z)
    ends = {"gap_mouth_C": 665.0, "gap_bottom_C": 665.0, "gap_min_C": 650.0, "mouth_cold_C": 650.0}
    ends["gap_max_C"] = 680.0 + long
    ends["gap_bottom_C" if falls == "mouth" else "gap_mouth_C"] += long
    if falls == "tip":
        ends["mouth_cold_C"] += long
    for name, expected in ends.items():
        assert read(braze_model, found, name) == pytest.approx(expected, abs=1e-6), name


def test_the_eye_follows_the_torch(braze_model):
    """Flux cold on +x only: seen from there, not from behind."""
    patches = braze_model.mesh.patches
    pieces = braze_model.layer.pieces
    front = (patches.normal[pieces, 0] > 0.8)[:, None]
    found = level(braze_model, layer=np.where(front, 50.0, 100.0))
    monitors = Monitors(braze_model)
    row = NAMES.index("coat_cold_C")
    for side, cold in ((0.0, 50.0), (180.0, 100.0)):
        monitors.face(0, replace(braze_model.phases[0][0], side=side))
        assert monitors.read(found, braze_model.spent(0.0))[row, 0] == cold


@pytest.mark.parametrize("name", ["plain", "through"])
@pytest.mark.parametrize("accuracy", ["quick", "normal"])
def test_a_brick_touches_one_spot_of_the_ball_at_its_top(name, accuracy):
    patches = build_mesh(JOINTS[name], accuracy, mirrored=True).patches
    share = Brick(False, patches, 20.0, 1).terms(0.0, patches)[1][:, 0]
    touched = share > 0
    assert (patches.piece_body[touched] == 0).all()
    assert patches.centre[touched, 2].min() > 0
    area = patches.area @ (share / share.max())
    assert area == pytest.approx(TOUCHING * patches.area[patches.piece_body == 0].sum(), rel=1e-9)


def test_flux_spent_is_told_apart_at_the_mouth_and_in_the_gap(braze_model):
    coat, gap = (np.zeros_like(spent) for spent in braze_model.spent(0.0))
    coat[:], gap[:] = 0.25, 0.75
    found = Monitors(braze_model).read(level(braze_model), (coat, gap))[:, 0]
    assert found[NAMES.index("mouth_spent_pct")] == 25.0
    assert found[NAMES.index("gap_spent_pct")] == 75.0


def test_the_front_is_under_the_torch_and_the_back_opposite(braze_model):
    """Metal as warm as it lies far toward +x, where the torch is."""
    x = braze_model.mesh.patches.centre[:, 0]
    found = level(braze_model, metal=100.0 + 1e4 * x[:, None])
    R = braze_model.setup.joint.ball_radius
    assert read(braze_model, found, "ball_front_C") == pytest.approx(100.0 + 1e4 * R, abs=8.0)
    assert read(braze_model, found, "ball_back_C") == pytest.approx(100.0 - 1e4 * R, abs=8.0)


def test_the_hottest_place_may_be_on_the_surface_or_inside(braze_model):
    patches, cells = braze_model.mesh.patches, np.full((braze_model.mesh.cells, 1), 100.0)
    spot = np.full((patches.count, 1), 100.0)
    spot[np.flatnonzero(patches.piece_body == 0)[3]] = 400.0
    assert read(braze_model, level(braze_model, metal=spot), "ball_max_C") == 400.0
    cells[np.flatnonzero(braze_model.mesh.body == 0)[3]] = 500.0
    assert read(braze_model, level(braze_model, metal=spot, cells=cells), "ball_max_C") == 500.0


def test_walls_are_held_between_what_the_whole_part_has(braze_model):
    """Carried to the very ends, no wall is beyond cells and surface, both of which count."""
    places = len(braze_model.mesh.gap.area), 1
    for part in ("metal", "cells"):
        size = getattr(level(braze_model), part).shape
        found = level(braze_model, hole=np.full(places, 900.0), **{part: np.full(size, 700.0)})
        _, ends = braze_model.fill_paths.walls(found)
        assert ends.max() == 700.0
