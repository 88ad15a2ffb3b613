"""Clamp and tweezers, as conductances from the cells on the rod's axis."""

from dataclasses import replace

import numpy as np
import pytest

from thermo.braze import Clamp
from thermo.braze.grips import grips
from thermo.matter import constant
from thermo.shape import build_mesh

CONDUCTANCE = 0.03


@pytest.fixture(scope="module", params=[False, True])
def mesh(request, earth):
    return build_mesh(earth.joint, "quick", mirrored=request.param)


def axis(mesh):
    """Cells on the rod's axis, and their heights, by the smallest distance from it."""
    rod = np.flatnonzero(mesh.full_body == 1)
    far = np.hypot(*mesh.full_centre[rod, :2].T)
    found = rod[far < 1e-3 * mesh.joint.rod_radius]
    return mesh.fold[found], mesh.full_centre[found, 2]


def pulls(mesh, setup):
    """Conductance of each cell held, and the height of each [W/K], [m]."""
    cells, heights = axis(mesh)
    assert len(set(cells.tolist())) == len(cells) > 10
    height = dict(zip(cells.tolist(), heights.tolist(), strict=True))
    sinks = grips(setup, mesh)
    assert {sink.T_C for sink in sinks} == {setup.ambient_C}
    each = np.array([sink.conductance for sink in sinks])
    return each, np.array([height[sink.cell] for sink in sinks])


@pytest.mark.parametrize("share", [0.05, 0.31, 0.5, 0.83])
def test_a_clamp_pulls_where_it_grips(earth, mesh, share):
    """By two neighbours on the axis, whose mean by conductance is its place."""
    at = share * earth.joint.rod_length
    each, heights = pulls(mesh, replace(earth, clamp=Clamp(at, CONDUCTANCE)))
    assert len(each) == 2 and np.all(each >= 0.0)
    assert each.sum() == pytest.approx(CONDUCTANCE, rel=1e-12)
    assert each @ heights / CONDUCTANCE == pytest.approx(earth.joint.mouth_z - at, rel=1e-9)
    between = (axis(mesh)[1] > heights.min()) & (axis(mesh)[1] < heights.max())
    assert not between.any()


def test_a_clamp_at_the_very_end_pulls_at_the_last_cell(earth, mesh):
    end = Clamp(earth.joint.rod_length, CONDUCTANCE)
    each, heights = pulls(mesh, replace(earth, clamp=end))
    last = heights == axis(mesh)[1].min()
    assert each[last].sum() == pytest.approx(CONDUCTANCE, rel=1e-12)
    assert not each[~last].any()


def test_a_clamp_in_the_hole_pulls_at_the_rods_tip(earth, mesh):
    each, heights = pulls(mesh, replace(earth, clamp=Clamp(-earth.joint.hole_depth, CONDUCTANCE)))
    first = heights == axis(mesh)[1].max()
    assert each[first].sum() == pytest.approx(CONDUCTANCE, rel=1e-12)


def test_tweezers_are_the_lightest_clamp_at_the_middle_and_join_another(earth, mesh):
    light = constant("contact", "clamp").range[0]
    tweezers = replace(earth, support="tweezers")
    as_clamp = replace(earth, clamp=Clamp(0.5 * earth.joint.rod_length, light))
    assert grips(tweezers, mesh) == grips(as_clamp, mesh)
    other = replace(earth, clamp=Clamp(0.2 * earth.joint.rod_length, CONDUCTANCE))
    both = replace(other, support="tweezers")
    assert grips(both, mesh) == grips(other, mesh) + grips(tweezers, mesh)
    assert grips(earth, mesh) == []
