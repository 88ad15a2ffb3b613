"""Balls that stand in for those of the sources: what they are, and what rows do not say of them."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.optimize import brentq

from thermo.heat import ConstantSolid, LinearLoss
from thermo.shape import build_mesh
from validation.carslaw_jaeger.check import lit_from_one_side
from validation.checks import read_rows
from validation.grids import Given
from validation.parts import CENTRE, one_piece, plain_ball

R, DIFFUSIVITY = 3e-3, 30.0 / 5e6
STEEL = ConstantSolid(30.0, 5e6)


def test_plain_ball_is_a_ball():
    """The stand-in's area and volume are those of a sphere."""
    joint = plain_ball()
    area = joint.sphere_area + joint.rod_side_area
    assert area == pytest.approx(4 * math.pi * R**2, rel=1e-6)
    volume = joint.ball_volume + joint.rod_volume
    assert volume == pytest.approx(4 / 3 * math.pi * R**3, rel=2e-5)


def test_power_through_the_surface_of_a_ball():
    """q 4π R² over time is gained, and stored where nothing is lost."""
    mesh, times = build_mesh(plain_ball(), "quick", mirrored=True), np.array([0.1, 1.0, 20.0])
    history = one_piece(mesh, STEEL, [Given(lambda t: (1e5, 0.0, 0.0))], times)
    power = 1e5 * 4 * math.pi * R**2
    np.testing.assert_allclose(history.gained_J, power * times, rtol=1e-5)
    np.testing.assert_allclose(history.stored_J, history.gained_J, rtol=1e-9)


@pytest.mark.parametrize("direction", [(0.6, 0.0, 0.8), (0.0, 0.0, 1.0)])
def test_a_ball_has_no_axis(direction):
    """Row T13 lit along the mesh's z and aslant: the same within 0.3 K.

    The back is left out where it is the rod's end.
    """
    row = next(row for row in read_rows("carslaw_jaeger") if row.id == "T13")
    found = lit_from_one_side(row, direction)
    assert {"front", "side", "centre"} <= set(found)
    for name, values in found.items():
        np.testing.assert_allclose(values, row.expected[name], atol=0.3)


T01 = next(row for row in read_rows("incropera") if row.id == "T01")
ROOTS = zip(T01.along, T01.expected["sphere, root"], T01.expected["sphere, amplitude"], strict=True)


def slowest_mode(biot: float) -> tuple[float, float]:
    """First root ζ of 1 - ζ cot ζ = Bi and the amplitude C of a sphere's slowest mode."""
    root = brentq(lambda x: 1 - x / math.tan(x) - biot, 1e-6, math.pi - 1e-9, xtol=1e-13)
    sine, cosine = math.sin(root), math.cos(root)
    return root, 4 * (sine - root * cosine) / (2 * root - math.sin(2 * root))


@pytest.mark.parametrize(("biot", "root", "amplitude"), list(ROOTS))
def test_slowest_mode_of_a_ball(biot, root, amplitude):
    """Decay of a cooling ball: root within 0.3 %, amplitude at the centre within 2 %.

    The numbers of row T01. At Bi = 100 the loss is 1e6 W/m²K, far beyond a torch.
    """
    assert slowest_mode(biot) == pytest.approx((root, amplitude), abs=1e-6)
    mesh = build_mesh(plain_ball(), cell=2 * R / 20, mirrored=True)
    fourier = 0.3 + np.array([0.0, max(0.3, min(3.0, 1.0 / root**2))])
    times = fourier * R**2 / DIFFUSIVITY
    loss = LinearLoss(biot * 30.0 / R, 0.0)
    history = one_piece(mesh, STEEL, [loss], times, start_C=100.0, tolerance_K=0.001)
    centre = history.at(point=CENTRE, body="ball") / 100.0
    decay = math.log(centre[0] / centre[1]) / (fourier[1] - fourier[0])
    assert math.sqrt(decay) == pytest.approx(root, rel=3e-3)
    assert centre[0] * math.exp(decay * fourier[0]) == pytest.approx(amplitude, rel=0.02)
