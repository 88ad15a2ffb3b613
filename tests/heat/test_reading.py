"""Readings at points and walls: level and linear fields come back as they are."""

from __future__ import annotations

import numpy as np
import pytest

from thermo.heat import CosineLobeFlux, LinearLoss
from thermo.heat.reading import point_weights
from thermo.shape import build_mesh

BALL = [(0.0, 0.0, 2e-3), (2e-3, 0.0, 0.0), (-1.5e-3, 1.0e-3, 1.2e-3), (0.3e-3, -0.4e-3, 1.9e-3)]
ROD = [(0.0, 0.0, -1e-3), (0.7e-3, 0.2e-3, 0.3e-3), (-0.5e-3, 0.6e-3, -4e-3)]


@pytest.fixture(scope="module", params=["quick", "normal", "fine"])
def mesh(request, drilled):
    return build_mesh(drilled, request.param)


@pytest.mark.parametrize(("body", "points"), [(0, BALL), (1, ROD)])
def test_linear_fields_are_read_exactly(mesh, body, points):
    """T = x, y, z from its cell means, near the axis too."""
    for point in points:
        place = point_weights(mesh, np.array(point), body)
        assert place.depth == 0.0
        assert place.value.sum() == pytest.approx(1.0, abs=1e-9)
        found = place.value @ mesh.full_centre[place.cells]
        assert found == pytest.approx(point, abs=1e-8 * mesh.joint.ball_radius)


def surface(joint):
    """Points on all walls that can be read: body, point, outward normal."""
    R, r, bar = joint.ball_radius, joint.hole_radius, joint.rod_radius
    return [
        (0, (R, 0, 0), (1, 0, 0)),
        (0, (0, 0, R), (0, 0, 1)),
        (0, (0.6 * R, 0.0, 0.8 * R), (0.6, 0.0, 0.8)),
        (0, (0, r, 0), (0, -1, 0)),
        (0, (0, 0, joint.floor_z), (0, 0, -1)),
        (1, (0, -bar, 0), (0, -1, 0)),
        (1, (0, 0, joint.tip_z), (0, 0, 1)),
        (1, (bar, 0, joint.mouth_z - 1e-3), (1, 0, 0)),
    ]


def test_walls_are_known_with_their_normals(mesh):
    """A foot point inside the metal, carried to the wall along its normal."""
    for body, point, normal in surface(mesh.joint):
        place = point_weights(mesh, np.array(point, dtype=float), body)
        assert place.depth > 0.0
        np.testing.assert_allclose(place.normal, normal, atol=1e-12)
        foot = np.array(point) - place.depth * place.normal
        found = place.value @ mesh.full_centre[place.cells]
        np.testing.assert_allclose(found, foot, atol=1e-8 * mesh.joint.ball_radius)
        slope = place.slope @ mesh.full_centre[place.cells]
        np.testing.assert_allclose(slope, normal, atol=1e-6)


def test_gap_walls_find_their_links(mesh):
    """Links of the wall nearest to the point, none on the outer surface."""
    for body, point, normal in surface(mesh.joint):
        place = point_weights(mesh, np.array(point, dtype=float), body)
        inside = np.hypot(*point[:2]) < 1.3e-3 and -2.7e-3 < point[2] < 1.1e-3
        assert (len(place.links) > 0) == inside
        if inside:
            flat = mesh.gap.floor[place.links]
            assert np.all(flat == (normal[2] != 0))


def test_level_temperature_is_read_everywhere(mesh, heated):
    """300 °C throughout, no loads: 300 °C at every point and wall."""
    history = heated(mesh, [], [0.1], start_C=300.0, gap_conductance=1e4)
    inside = [(0, p) for p in BALL] + [(1, p) for p in ROD] + [(1, (0, 0, -30e-3))]
    for body, point in [*inside, *((b, p) for b, p, _ in surface(mesh.joint))]:
        found = history.at(point=point, body=("ball", "rod")[body])
        assert found == pytest.approx([300.0], abs=1e-6)
    for body in ("ball", "rod"):
        for side in (1, -1):
            assert history.gap(body=body, side=side) == pytest.approx([300.0], abs=1e-9)


def test_level_temperature_is_read_on_the_far_rods_side(mesh, heated):
    history = heated(mesh, [], [0.1], start_C=300.0, gap_conductance=1e4)
    found = history.at(point=(mesh.joint.rod_radius, 0, -20e-3), body="rod")
    assert found == pytest.approx([300.0], abs=1e-6)


def test_linear_field_is_read_on_the_axis_of_a_ball_with_a_tiny_hole(plain_ball):
    mesh = build_mesh(plain_ball, cell=6e-3 / 28)
    place = point_weights(mesh, np.array([0.0, 0.0, 0.1e-3]), 0)
    found = place.value @ mesh.full_centre[place.cells]
    assert found == pytest.approx([0.0, 0.0, 0.1e-3], abs=1e-8)


def test_half_and_whole_mesh_read_the_same(drilled, heated):
    """Folded onto y > 0, read on either side of it."""
    loads = [CosineLobeFlux(2.5e5, (1, 0, 0)), LinearLoss(60.0, 20.0)]
    fine = {"gap_conductance": 1e4, "tolerance_K": 0.002}
    whole, half = (
        heated(build_mesh(drilled, "quick", mirrored=m), loads, [2.0], **fine)
        for m in (False, True)
    )
    for point in ((0, 3e-3, 0), (0, -3e-3, 0), (3e-3, 0, 0), (-1e-3, -1e-3, 2e-3)):
        found = [h.at(point=point, body="ball")[0] for h in (whole, half)]
        assert found[0] == pytest.approx(found[1], abs=1e-3)
    for body in ("ball", "rod"):
        for side in (1, -1):
            found = [h.gap(body=body, side=side)[0] for h in (whole, half)]
            assert found[0] == pytest.approx(found[1], abs=1e-3)
