"""Readings at points and walls: level and linear fields come back as they are."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.optimize import brentq

from thermo.heat import ConstantSolid, CosineLobeFlux, GreyLoss, LinearLoss, march
from thermo.heat.reading import point_weights
from thermo.matter import get_solid
from thermo.shape import Joint, build_mesh

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


@pytest.mark.parametrize(
    ("body", "point"),
    [
        (0, (0.0, 0.0, 1.01)),
        (0, (0.9, 0.0, 0.5)),
        (0, (0.3, 0.0, -0.99)),
        (0, (0.0, 0.0, 0.0)),
        (1, (0.0, 0.0, 1.0)),
        (1, (0.5, 0.0, 0.0)),
        (1, (0.0, 0.0, -100.0)),
    ],
)
def test_what_is_no_metal_of_the_body_is_not_read(mesh, body, point):
    """Beyond the ball on any side, below its mouth, in its hole; beside the rod or beyond it."""
    with pytest.raises(ValueError, match="outside the body"):
        point_weights(mesh, mesh.joint.ball_radius * np.array(point), body)


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


R, ROOM_C, START_C = 3e-3, 20.0, 1020.0
METAL = ConstantSolid(30.0, 5e6)
NEARLY_WHOLE = Joint(2 * R, "blind", 0.3e-3, 1e-3, 0.3e-3, 1e-3)
EARLY_S = (0.1, 0.2, 0.5)
OUTSIDE = [(R, 0, 0), (0, 0, R), (0.8 * R, 0, 0.6 * R), (0, -0.6 * R, 0.8 * R)]


def cooled_sphere(biot, t):
    """(T - room)/(start - room) at the outside of a sphere under a film, its whole series.

    Source: H. S. Carslaw and J. C. Jaeger, Conduction of Heat in Solids, 2nd ed. (1959), section
    9.4: roots of 1 - z cot z = Bi.
    """

    def rooted(z):
        return z * math.cos(z) - (1.0 - biot) * math.sin(z)

    z = np.array([brentq(rooted, n * math.pi + 1e-9, (n + 1) * math.pi - 1e-9) for n in range(60)])
    size = 4 * (np.sin(z) - z * np.cos(z)) / (2 * z - np.sin(2 * z))
    fourier = METAL.k / METAL.heat_capacity * t / R**2
    return float(np.sum(size * np.exp(-z * z * fourier) * np.sin(z) / z))


def outside_errors(biot, across):
    """Readings less the series, (points, times) [K]."""
    mesh = build_mesh(NEARLY_WHOLE, cell=2 * R / across)
    history = march(
        mesh,
        solids={"ball": METAL, "rod": METAL},
        gap_conductance=math.inf,
        loads=[LinearLoss(biot * METAL.k / R, ROOM_C)],
        start_C=START_C,
        times=EARLY_S,
    )
    exact = [ROOM_C + (START_C - ROOM_C) * cooled_sphere(biot, t) for t in EARLY_S]
    return np.array([history.at(point=p, body="ball") for p in OUTSIDE]) - exact


@pytest.mark.parametrize(("biot", "most_K"), [(0.1, 0.4), (1.0, 1.5), (10.0, 4.0)])
def test_the_outside_of_a_sphere_under_a_film_at_early_times(biot, most_K):
    """Within 0.04, 0.15 and 0.4 % of the fall when cells are 1/28 of the ball."""
    assert np.abs(outside_errors(biot, 28)).max() < most_K


def test_a_thick_films_outside_converges_with_second_order():
    """Bi 10: half the cell, a third of the error or less (order 1.6 at least), and below 9 K."""
    coarse, fine = (np.sqrt(np.mean(outside_errors(10.0, n) ** 2)) for n in (14, 28))
    assert coarse < 9.0
    assert fine < coarse / 3.0


def test_an_outside_that_radiates_meets_its_own_flux():
    """k (T_outside - T_inside)/depth is what the outside's own temperature radiates."""
    mesh = build_mesh(NEARLY_WHOLE, "quick")
    history = march(
        mesh,
        solids={"ball": METAL, "rod": METAL},
        gap_conductance=math.inf,
        loads=[GreyLoss(1.0, ROOM_C), LinearLoss(2e4, ROOM_C)],
        start_C=1400.0,
        times=[0.05],
    )
    place = point_weights(mesh, np.array([R, 0.0, 0.0]), 0)
    T = history.temperature_C[0]
    outside = history.at(point=(R, 0, 0), body="ball")[0]
    own = 2e4 * (ROOM_C - outside)
    own += 5.670374419e-8 * ((ROOM_C + 273.15) ** 4 - (outside + 273.15) ** 4)
    carried = 2 * (outside - place.value @ T[place.cells]) / place.depth
    carried -= place.slope @ T[place.cells]
    assert METAL.k * carried == pytest.approx(own, rel=1e-6)


def test_an_outside_is_read_by_the_conductivity_of_the_cell_it_lies_on():
    """Of steel that conducts worse the hotter it is, on a slant: all neighbours are otherwise."""
    mesh, steel, h = build_mesh(NEARLY_WHOLE, "quick"), get_solid("carbon-steel"), 2e4
    history = march(
        mesh,
        solids={"ball": steel, "rod": steel},
        gap_conductance=math.inf,
        loads=[LinearLoss(h, ROOM_C)],
        start_C=600.0,
        times=[0.05],
    )
    slant = mesh.full_centre @ [1.0, 2.0, 3.0]
    history.states[0][: mesh.cells, 0] = steel.enthalpy(500.0 + 60.0 * slant / R)
    point = R * np.array([0.8 * math.cos(0.1), 0.8 * math.sin(0.1), 0.6])
    place, T = point_weights(mesh, point, 0), history.temperature_C[0]
    away = np.linalg.norm(mesh.full_centre[place.cells] - point, axis=1)
    first, second = (
        float(steel.conductivity(T[cell])) for cell in place.cells[np.argsort(away)[:2]]
    )
    outside = history.at(point=point, body="ball")[0]
    carried = 2 * (outside - place.value @ T[place.cells]) / place.depth
    carried -= place.slope @ T[place.cells]
    found = h * (ROOM_C - outside) / carried
    assert found == pytest.approx(first, rel=1e-4)
    assert abs(second - first) > 1e-2 * first


def test_walls_of_the_gap_are_read_from_their_own_side():
    """Heat crosses from ball to rod: at the wall the ball is colder, the rod hotter than within."""
    mesh = build_mesh(Joint(6e-3, "blind", 2.5e-3, 4e-3, 2.4e-3, 6e-3), "quick")
    history = march(
        mesh,
        solids={"ball": METAL, "rod": METAL},
        gap_conductance=5e3,
        loads=[CosineLobeFlux(1e6, (1.0, 0.0, 0.0))],
        start_C=ROOM_C,
        times=[1.0],
    )
    seen = history.model.readings(1.0, history.states[0])
    turn, z = math.radians(15.0), 0.0
    for body, radius, walls in (("ball", 1.25e-3, seen.hole), ("rod", 1.2e-3, seen.rod)):
        wall = (radius * math.cos(turn), radius * math.sin(turn), z)
        near = np.argmin(
            np.abs(mesh.gap.azimuth - turn) + 1e3 * np.abs(mesh.gap.z - z) + 9.0 * mesh.gap.floor
        )
        other = seen.rod if body == "ball" else seen.hole
        step = walls[near, 0] - other[near, 0]
        assert abs(step) > 3.0
        assert history.at(point=wall, body=body)[0] == pytest.approx(
            walls[near, 0], abs=0.1 * abs(step)
        )


def test_walls_of_hole_and_rod_are_not_mixed_up(drilled, steel):
    """Heat into the ball through a poor gap: its wall is the hotter one."""
    mesh = build_mesh(drilled, "quick", mirrored=True)
    history = march(
        mesh,
        solids={"ball": steel, "rod": steel},
        gap_conductance=500.0,
        loads=[CosineLobeFlux(2e5, (1, 0, 0))],
        start_C=20.0,
        times=[5.0],
    )
    for side in (-1, 1):
        assert history.gap(body="ball", side=side) > history.gap(body="rod", side=side) + 5.0
