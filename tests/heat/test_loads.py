"""Loads averaged over cut surface pieces against closed forms and direct sums."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from thermo.constants import SIGMA, ZERO_C_K
from thermo.heat import ConstantSolid, CosineLobeFlux, GreyLoss, HeatModel, LinearLoss
from thermo.heat.model import in_series
from thermo.shape import build_mesh


@pytest.fixture(scope="module")
def mesh(drilled):
    return build_mesh(drilled, "quick")


def test_power_on_the_drilled_ball_of_the_reference(drilled):
    """2.5e5 W/m² from the side on a 6 mm ball without the cap of a 2.4 mm hole: 6.96753 W.

    Source: q (π R² - A), A the shadow that the cap's strip throws from the side, half the sphere's
    outline beyond the mouth: R² acos(d/R) - d sqrt(R² - d²) with d the mouth's height.
    """
    R, d = 3e-3, math.sqrt(3e-3**2 - 1.2e-3**2)
    segment = R * R * math.acos(d / R) - d * math.sqrt(R * R - d * d)
    wanted = 2.5e5 * (math.pi * R * R - segment)
    assert wanted == pytest.approx(6.96753, abs=1e-5)
    mesh = build_mesh(replace(drilled, hole_diameter=2.4e-3), "normal")
    a, _, _ = CosineLobeFlux(2.5e5, (1, 0, 0)).terms(0.0, mesh.patches)
    assert float(mesh.patches.area @ a[:, 0]) == pytest.approx(wanted, rel=1e-5)


@settings(deadline=None, max_examples=40)
@given(tilt=st.floats(-math.pi / 2, math.pi / 2), turn=st.floats(-10.0, 10.0))
def test_lobe_from_anywhere_is_the_mean_over_each_piece(mesh, tilt, turn):
    """Against 400 points per piece on the sphere; nothing on the rod.

    Along the meridian three Gauss points stand for a piece: where the lobe's edge runs through it
    they are 0.5 % of the flux off, in all 0.03 % of the power.
    """
    d = np.array([math.cos(tilt) * math.cos(turn), math.cos(tilt) * math.sin(turn), math.sin(tilt)])
    patches = mesh.patches
    share = CosineLobeFlux(1.0, tuple(d)).terms(0.0, patches)[0][:, 0]
    assert np.all(share[patches.piece_body == 1] == 0.0)
    parts = (np.arange(20) + 0.5) / 20
    ball = np.flatnonzero(patches.piece_body == 0)
    width = 2 * math.pi / patches.sectors[patches.ring[ball]]
    angle = width[:, None] * (patches.sector[ball][:, None] + parts)
    middle, R = patches.z[patches.ring[ball], 1], mesh.joint.ball_radius
    height = patches.area[ball] / (width * R)
    z = middle[:, None] + height[:, None] * (parts - 0.5)
    r = np.sqrt(np.maximum(R * R - z * z, 0.0))
    round_ = np.cos(angle) * d[0] + np.sin(angle) * d[1]
    facing = r[:, :, None] * round_[:, None, :] + z[:, :, None] * d[2]
    direct = np.maximum(facing / R, 0.0).mean(axis=(1, 2))
    assert float(np.abs(share[ball] - direct).max()) <= 1e-2
    power = float(patches.area[ball] @ (share[ball] - direct))
    assert abs(power) <= 5e-4 * math.pi * R**2


def test_lobe_need_not_be_given_as_a_unit_vector(mesh):
    one, other = (
        CosineLobeFlux(2e5, d).terms(0.0, mesh.patches)[0] for d in ((1, 0, 1), (3, 0, 3))
    )
    np.testing.assert_allclose(one, other, rtol=1e-14)


def test_lobe_aslant_needs_the_whole_mesh(drilled):
    half = build_mesh(drilled, "quick", mirrored=True)
    with pytest.raises(ValueError, match="must lie in the plane y = 0 on a mirrored mesh"):
        CosineLobeFlux(2e5, (1, 0.2, 0)).terms(0.0, half.patches)


def test_terms_at_a_point_are_those_of_the_pieces(mesh):
    """LinearLoss is the same everywhere; the lobe at its brightest point is its flux."""
    loss = LinearLoss(60.0, 20.0)
    assert loss.at(0.0, np.array([1.0, 0.0, 0.0]), 1) == (1200.0, 60.0, 0.0)
    lobe = CosineLobeFlux(2.5e5, (1, 0, 0))
    assert lobe.at(0.0, np.array([1.0, 0.0, 0.0]), 0) == (2.5e5, 0.0, 0.0)
    assert lobe.at(0.0, np.array([-1.0, 0.0, 0.0]), 0) == (0.0, 0.0, 0.0)
    assert lobe.at(0.0, np.array([1.0, 0.0, 0.0]), 1) == (0.0, 0.0, 0.0)


@pytest.mark.parametrize("T", [200.0, 700.0, 1100.0])
def test_grey_body_radiates_by_the_fourth_power(mesh, T):
    """ε σ A (T⁴ - Ta⁴) of the whole surface, metal so good that its surface is its inside.

    Source: Stefan-Boltzmann law; σ of CODATA 2018.
    """
    metal = ConstantSolid(1e9, 5e6)
    model = HeatModel(mesh, {"ball": metal, "rod": metal}, 1e4, [GreyLoss(0.7, 20.0)])
    y = model.start(T)
    model.refresh(0.0, y)
    loss = model.rates(0.0, y, np.empty_like(y))[-1, 0]
    fourth = (T + ZERO_C_K) ** 4 - (20.0 + ZERO_C_K) ** 4
    area = mesh.joint.sphere_area + mesh.joint.rod_side_area
    assert loss == pytest.approx(0.7 * SIGMA * area * fourth, rel=1e-6)


def test_surface_in_series_with_its_half_cell(mesh, steel):
    """Strong loss: the surface follows from h (Ts - Ta) = k (T - Ts) / depth."""
    h = 1e5
    model = HeatModel(mesh, {"ball": steel, "rod": steel}, 1e4, [LinearLoss(h, 20.0)])
    y = model.start(500.0)
    model.refresh(0.0, y)
    resistance = mesh.patches.depth / 30.0
    wanted = 20.0 + 480.0 / (1.0 + h * resistance)
    np.testing.assert_allclose(
        model.readings(0.0, y).outside(model.order[: model.covered])[:, 0], wanted, rtol=1e-6
    )


def test_radiating_surface_is_linearised_once(mesh, steel):
    """One Newton step for the surface's own temperature: the flux that leaves it and the flux
    that reaches it differ by less than 1e-4 at 1100 °C."""
    model = HeatModel(mesh, {"ball": steel, "rod": steel}, 1e4, [GreyLoss(0.9, 20.0)])
    y = model.start(1100.0)
    model.refresh(0.0, y)
    surface = model.readings(0.0, y).outside(model.order[: model.covered])[:, 0]
    leaves = 0.9 * SIGMA * ((surface + ZERO_C_K) ** 4 - (20.0 + ZERO_C_K) ** 4)
    reaches = 30.0 * (1100.0 - surface) / mesh.patches.depth
    np.testing.assert_allclose(reaches, leaves, rtol=1e-4)


def test_emissivity_may_differ_by_piece_and_column(mesh):
    """(P, m) emissivities give (P, m) terms."""
    e = np.linspace(0.3, 0.9, 2 * mesh.patches.count).reshape(-1, 2)
    a, _, found = GreyLoss(e, 20.0).terms(0.0, mesh.patches)
    np.testing.assert_array_equal(found, e)
    np.testing.assert_allclose(a, e * SIGMA * (20.0 + ZERO_C_K) ** 4, rtol=1e-14)


@given(
    T=st.floats(-50.0, 1600.0),
    x=st.floats(-50.0, 1600.0),
    a=st.floats(-1e6, 1e6),
    b=st.floats(0.0, 1e4),
    e=st.floats(0.0, 1.0),
    half=st.floats(0.0, 1e-4),
)
def test_flux_through_a_half_cell_is_the_tangent_of_its_law_at_the_outside(T, x, a, b, e, half):
    """q = s - p x is q(T) + q'(T) (Ts - T) where Ts = x + q·half; q' by a complex step."""

    def law(outside):
        return a - b * outside - e * SIGMA * (outside + ZERO_C_K) ** 4

    push, pull = in_series(T, half, a, b, e * SIGMA)
    q = push - pull * x
    tangent = law(T) + law(T + 1e-20j).imag / 1e-20 * (x + half * q - T)
    size = abs(a) + (b + 4.0 * e * SIGMA * 2000.0**3) * 2000.0
    least = 1e-30  # W/m²: below, the complex step underflows
    assert q == pytest.approx(tangent, rel=1e-9, abs=1e-12 * size + least)
