"""A second ball: closed forms of its shape, the cell and skin of it, how the rod's heat enters."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.special import eval_legendre

from thermo.shape import ACCURACIES, Joint, build_mesh
from thermo.shape.second import ZONES, second_section, spreading_depth

EXACT = 1e-9
SECOND = 2
TWO = Joint(6e-3, "blind", 2.5e-3, 4e-3, 2.4e-3, 14.5e-3, second_ball_diameter=5e-3)


def test_spacing_is_from_centre_to_centre():
    """Mouths lie sqrt(3² - 1.25²) = 2.72718 and sqrt(2.5² - 1.2²) = 2.19317 mm from centres."""
    assert TWO.spacing == pytest.approx((2.727178 + 14.5 + 2.193171) * 1e-3, rel=1e-6)
    assert TWO.room(30e-3) == pytest.approx(14.5e-3 + 30e-3 - TWO.spacing)
    assert replace(TWO, rod_length=TWO.room(30e-3)).spacing == pytest.approx(30e-3)


def test_volume_and_area_by_slices():
    R, a = 2.5e-3, 1.2e-3
    z = np.linspace(-R, math.sqrt(R * R - a * a), 200_001)
    middle = (z[1:] + z[:-1]) / 2
    volume = np.sum(math.pi * (R * R - middle**2) * np.diff(z))
    assert TWO.second_ball_volume == pytest.approx(volume, rel=1e-8)
    assert TWO.second_ball_area == pytest.approx(2 * math.pi * R * (z[-1] - z[0]), rel=1e-9)
    centroid = np.sum(middle * math.pi * (R * R - middle**2) * np.diff(z)) / volume
    height = second_section(TWO).height[0] - TWO.second_ball_z
    assert height == pytest.approx(centroid, rel=1e-5)


@pytest.mark.parametrize("second", [2.4e-3, 1e-3])
def test_a_second_ball_no_wider_than_the_rod_is_refused(second):
    with pytest.raises(ValueError, match=r"second_ball_diameter = .*wider than the rod"):
        replace(TWO, second_ball_diameter=second)


@pytest.mark.parametrize("second", [-1e-3, math.nan, math.inf])
def test_impossible_diameters_are_refused(second):
    with pytest.raises(ValueError, match="second_ball_diameter"):
        replace(TWO, second_ball_diameter=second)


@settings(deadline=None, max_examples=60)
@given(
    data=st.data(),
    share=st.floats(1.05, 6.0),
    accuracy=st.sampled_from(["quick", "normal"]),
    half=st.booleans(),
)
def test_totals_are_the_closed_forms(joints, data, share, accuracy, half):
    plain = data.draw(joints())
    joint = replace(plain, second_ball_diameter=share * plain.rod_diameter)
    mesh = build_mesh(joint, accuracy, mirrored=half)
    patches = mesh.patches
    own = patches.piece_body == SECOND
    assert mesh.volume[mesh.body == SECOND].sum() == pytest.approx(
        joint.second_ball_volume, rel=EXACT
    )
    assert patches.area[own].sum() == pytest.approx(joint.second_ball_area, rel=EXACT)
    rest = mesh.volume[mesh.body < SECOND].sum()
    assert rest == pytest.approx(joint.ball_volume + joint.rod_volume, rel=EXACT)
    R, ring = joint.second_ball_diameter / 2, patches.ring[own]
    np.testing.assert_allclose(R * patches.nr[ring], patches.r[ring], rtol=1e-9)
    np.testing.assert_allclose(
        R * patches.nz[ring], patches.z[ring] - joint.second_ball_z, atol=1e-9 * joint.spacing
    )
    np.testing.assert_allclose(np.hypot(patches.nr[ring], patches.nz[ring]), 1.0, rtol=1e-9)
    assert len(np.unique(ring)) == ZONES
    assert set(mesh.body[patches.cell[own]]) == {SECOND}


@pytest.mark.parametrize("mirrored", [False, True])
@pytest.mark.parametrize("accuracy", list(ACCURACIES))
def test_one_link_through_the_rods_section_at_the_second_mouth(accuracy, mirrored):
    mesh = build_mesh(TWO, accuracy, mirrored=mirrored)
    gap = mesh.gap
    (link,) = np.flatnonzero(gap.second)
    assert gap.floor[link]
    assert gap.area[link] == pytest.approx(math.pi * 1.2e-3**2)
    assert gap.z[link] == pytest.approx(TWO.far_z)
    assert gap.thickness[link] == 0.0
    assert (mesh.body[gap.ball[link]], mesh.body[gap.rod[link]]) == (SECOND, 1)
    lowest = mesh.full_centre[mesh.full_body == 1, 2].min()
    assert gap.rod_depth[link] == pytest.approx(lowest - TWO.far_z)
    assert (
        mesh.annulus_links
        == build_mesh(
            replace(TWO, second_ball_diameter=0.0), accuracy, mirrored=mirrored
        ).annulus_links
    )


@pytest.mark.parametrize("mirrored", [False, True])
def test_it_is_one_cell_a_fifth_of_its_radius_below_its_surface(mirrored):
    """A sphere under a uniform flux q has its mean q R / 5 k below its surface."""
    mesh = build_mesh(TWO, "quick", mirrored=mirrored)
    assert np.count_nonzero(mesh.full_body == SECOND) == 1
    patches = mesh.patches
    assert patches.depth[patches.piece_body == SECOND] == pytest.approx(2.5e-3 / 5)


def test_without_one_there_is_neither_cell_nor_link():
    mesh = build_mesh(replace(TWO, second_ball_diameter=0.0), "quick")
    assert not mesh.gap.second.any()
    assert set(mesh.body) == {0, 1}
    assert set(mesh.patches.piece_body) == {0, 1}


def test_the_second_ball_is_of_the_balls_metal():
    mesh = build_mesh(TWO, "quick", mirrored=True)
    np.testing.assert_array_equal(mesh.metal, np.array([0, 1, 0])[mesh.body])


def constriction(share: float) -> float:
    """Cap's mean less sphere's mean over Q / kR, uniform flux Q through a cap, Q spent evenly.

    T = Q r² / 6 k V + Σ (R q_n / n k) (r/R)^n P_n, with q_n the Legendre coefficients of the flux.
    """
    edge, n = math.sqrt(1 - share**2), np.arange(1, 4000)
    d = eval_legendre(n - 1, edge) - eval_legendre(n + 1, edge)  # (2n + 1) ∫ P_n over the cap
    flux = 1 / (2 * math.pi * (1 - edge))
    return 1 / (20 * math.pi) + float(np.sum(flux / 2 * d / n * d / (2 * n + 1) / (1 - edge)))


@pytest.mark.parametrize("share", [0.15, 0.2, 0.3, 0.4, 0.5, 0.6])
def test_constriction_is_near_the_exact_one_of_a_sphere(share):
    """Uniform flux bounds the resistance from above; a half-space's disc is 8/3π² against 1/4."""
    R = 3e-3
    joint = replace(
        TWO, rod_diameter=2 * share * R, hole_diameter=2.1 * share * R, rod_length=20e-3
    )
    joint = replace(joint, hole_depth=3e-3, second_ball_diameter=2 * R)
    area = math.pi * joint.rod_radius**2
    ours = spreading_depth(joint) / area  # of k = 1
    assert ours == pytest.approx(1 / (4 * joint.rod_radius))  # C08, Carslaw & Jaeger 8.2
    assert ours * R == pytest.approx(constriction(share), rel=0.12)


def test_the_series_meets_the_half_space_for_a_small_cap():
    """Carslaw & Jaeger 8.2: mean over a disc of uniform flux, 8 / 3 π² k a."""
    assert constriction(0.02) == pytest.approx(8 / (3 * math.pi**2 * 0.02), rel=0.02)


def test_discs_are_fine_at_both_ends_of_the_arm():
    mesh = build_mesh(replace(TWO, rod_length=60e-3), "quick", mirrored=True)
    on_axis = (mesh.full_body == 1) & (mesh.full_centre[:, 2] < TWO.mouth_z - TWO.ball_radius)
    z = np.unique(mesh.full_centre[on_axis, 2])
    steps = np.diff(z)
    assert max(steps[0], steps[-1]) < 0.5 * steps.max()
