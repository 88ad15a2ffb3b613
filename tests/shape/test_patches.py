"""The outer surface: its pieces lie where the bodies end, each over its own cell."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from thermo.shape import build_mesh

BALL = 0


@settings(deadline=None, max_examples=60)
@given(data=st.data(), half=st.booleans())
def test_pieces_lie_on_the_bodies_and_look_outward(joints, data, half):
    joint = data.draw(joints())
    patches = build_mesh(joint, "quick", mirrored=half).patches
    centre, normal = patches.centre, patches.normal
    axis = np.hypot(centre[:, 0], centre[:, 1])
    ball, flat = patches.piece_body == BALL, normal[:, 2] == -1.0
    side, tip = ~ball & (normal[:, 2] == 0.0), ~ball & (normal[:, 2] == 1.0)
    assert np.linalg.norm(normal, axis=1) == pytest.approx(1.0)
    R = joint.ball_radius
    assert centre[ball & ~flat] == pytest.approx(R * normal[ball & ~flat], abs=1e-12)
    assert np.all(ball[flat]) and np.all(ball | side | tip)
    if flat.any():
        assert centre[flat, 2] == pytest.approx(joint.flat_z)
        assert np.all(axis[flat] > joint.hole_radius)
        assert np.all(axis[flat] < joint.flat_diameter / 2)
    assert axis[side] == pytest.approx(joint.rod_radius)
    assert centre[side, :2] == pytest.approx(joint.rod_radius * normal[side, :2])
    assert np.all((centre[side, 2] > joint.far_z) & (centre[side, 2] < joint.mouth_z))
    assert centre[tip, 2] == pytest.approx(joint.tip_z)


@settings(deadline=None, max_examples=60)
@given(data=st.data())
def test_pieces_lie_over_their_cells(joints, data):
    """In rings of many pieces the cell's centroid is right below, at the depth told."""
    mesh = build_mesh(data.draw(joints()), "quick")
    patches = mesh.patches
    inward = patches.centre - mesh.full_centre[patches.cell]
    depth = np.sum(inward * patches.normal, axis=1)
    sideways = np.linalg.norm(inward - depth[:, None] * patches.normal, axis=1)
    rings = patches.sectors[patches.ring] >= 8
    assert depth[rings] == pytest.approx(patches.depth[rings], abs=0.1 * mesh.cell_size)
    assert np.all(sideways[rings] < 0.5 * mesh.cell_size)
    assert np.all(patches.depth[rings] > 0.0)
