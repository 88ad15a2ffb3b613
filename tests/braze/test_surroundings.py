"""The room, a brick under or behind the work in the gas that it has left, and weak torches."""

import math
from dataclasses import replace

import numpy as np
import pytest
from scipy.special import erfcx

from thermo.braze import braze
from thermo.braze.surroundings import (
    BRICK,
    BRICK_BEHIND,
    BRICK_EMISSIVITY,
    Brick,
    RoomLoss,
    gas_behind,
)
from thermo.constants import SIGMA, ZERO_C_K
from thermo.flame import (
    Exposure,
    Jet,
    Phase,
    Strategy,
    absorbed_fraction,
    free_convection_cylinder,
    free_convection_sphere,
    phase_pose,
)
from thermo.heat import HeatModel
from thermo.matter import constant, get_brick, get_gas
from thermo.shape import build_mesh

PHASE = Phase("ball", distance=9e-3)


@pytest.fixture(scope="module")
def mesh(earth):
    return build_mesh(earth.joint, "quick", mirrored=True)


@pytest.fixture(scope="module")
def patches(mesh):
    return mesh.patches


def exposure_of(setup, patches, **torch):
    burner = replace(setup.torch, **torch)
    return Exposure(burner, PHASE, setup.joint, patches, patches.mirrored, setup.ambient_C)


def test_the_room_is_radiated_at_by_how_hot_the_surface_has_been(earth, patches):
    """e σ (T⁴ - Ta⁴) as bright, half and wholly oxidised steel, and as flux where it is coated."""
    coated = np.array([0, 3])
    room = RoomLoss(earth.joint, patches, coated, 35.0, 3)
    ramp = [constant("oxidation", name).value for name in ("starts", "complete")]
    ends = [constant("emissivity", name).value for name in ("bright", "oxidised")]
    hottest = np.tile([ramp[0] - 50.0, sum(ramp) / 2, ramp[1] + 50.0], (patches.count, 1))
    T = np.full(hottest.shape, 600.0)
    room.update(T, hottest, np.full(hottest.shape, 1e4))  # the flame leaves no room for convection
    expected = np.tile([ends[0], sum(ends) / 2, ends[1]], (patches.count, 1))
    expected[coated] = constant("emissivity", "flux").value
    a, b, e = room.terms(0.0, patches)
    assert not b.any()
    np.testing.assert_allclose(e, expected, rtol=1e-12)
    for C in (35.0, 600.0):
        lost = e * SIGMA * (C + ZERO_C_K) ** 4 - a
        fourth = (C + 273.15) ** 4 - (35.0 + 273.15) ** 4
        np.testing.assert_allclose(lost, expected * 5.670374419e-8 * fourth, atol=1e-9)


def test_air_rises_from_each_body_as_hot_as_it_is_where_no_flame_is(earth, patches):
    """Of its own mean temperature; less by what the flame's gas already does, never below none."""
    room, shape = (
        RoomLoss(earth.joint, patches, np.array([], dtype=int), 20.0, 3),
        (patches.count, 3),
    )
    ball, air = patches.piece_body == 0, get_gas("air")
    T = np.where(ball, 700.0, 300.0)[:, None] + np.zeros(shape)
    T[ball] += np.where(np.arange(ball.sum()) % 2, 40.0, -40.0)[: ball.sum(), None]
    room.update(T, T, np.broadcast_to([0.0, 8.0, 1e3], shape))
    a, b, e = room.terms(0.0, patches)
    mean = float(T[ball, 0].mean())
    sphere = float(free_convection_sphere(earth.joint.ball_diameter, mean, 20.0, air))
    cylinder = float(free_convection_cylinder(earth.joint.rod_diameter, 300.0, 20.0, air))
    for own, h in ((ball, sphere), (~ball, cylinder)):
        assert h > 10.0
        for column, left in enumerate((h, h - 8.0, 0.0)):
            np.testing.assert_allclose(b[own, column], left, rtol=1e-3)
    room_C = a - e * SIGMA * (20.0 + ZERO_C_K) ** 4
    np.testing.assert_allclose(room_C, 20.0 * b, rtol=1e-9, atol=1e-9)


def test_a_brick_under_the_ball_warms_as_a_half_space_behind_a_film(patches):
    """(T - T0) / (Tball - T0) = 1 - exp(x²) erfc x, x = h √t / e (Carslaw & Jaeger, 2nd ed., 2.7,
    from memory of it); it may go back to a moment that was kept."""
    brick, medium = Brick(False, patches, 20.0, 1), get_brick(BRICK)
    effusivity = math.sqrt(
        medium.conductivity(600.0) * medium.density * medium.heat_capacity(600.0)
    )
    h, ball = constant("contact", "brick").value, np.full((patches.count, 1), 500.0)
    times, faces = np.linspace(0.0, 3.0, 301), []
    for k in range(300):
        if k == 200:
            kept = brick.keep()
        brick.update(times[k], times[k + 1], ball)
        faces.append(brick.face_C[0])
    x = h * np.sqrt(times[1:]) / effusivity
    exact = 20.0 + 480.0 * (1.0 - erfcx(x))
    assert exact[50] > 100.0 and exact[-1] < 490.0
    np.testing.assert_allclose(faces[50:], exact[50:], atol=3.0)
    brick.update(3.0, 4.0, np.full((patches.count, 1), 20.0))
    brick.recall(kept)
    assert brick.face_C[0] == faces[199]
    brick.update(times[200], times[201], ball)
    assert brick.face_C[0] == faces[200]


@pytest.mark.parametrize("behind", [False, True])
def test_a_brick_below_takes_and_one_behind_gives(earth, mesh, behind):
    """Its heat stands on its own side of the ledger: h (T - face) of the spot, or its glow."""
    brick, patches = Brick(behind, mesh.patches, 20.0, 1), mesh.patches
    brick.face(0, exposure_of(earth, patches), earth.joint)
    brick.face_C = np.array([600.0 if behind else 100.0])
    model = HeatModel(mesh, {"ball": earth.ball, "rod": earth.rod}, 1e4, [brick])
    y = model.start(500.0)
    model.refresh(0.0, y)
    gained, lost = model.rates(0.0, y, np.empty_like(y))[-2:, 0]
    outside = model.readings(0.0, y).metal
    a, b, _ = brick.terms(0.0, patches)
    into = float(patches.area @ (a - b * outside)[:, 0])
    assert gained == pytest.approx(into if behind else 0.0, rel=1e-6)
    assert lost == pytest.approx(0.0 if behind else -into, rel=1e-6)
    spot = constant("contact", "brick").value * 0.025 * earth.joint.sphere_area * 400.0
    assert gained > 0.0 if behind else lost == pytest.approx(spot, rel=0.05)


def test_gas_behind_has_lost_what_the_work_takes(earth, patches):
    for rate in (20.0, 2.0):
        exposure = exposure_of(earth, patches, fuel_rate=rate / 3.6e6)
        torch = exposure.torch
        jet = Jet(torch, earth.ambient_C)
        away = phase_pose(PHASE, earth.joint, torch, 0.0).start + earth.joint.ball_radius
        alone, speed = (float(x) for x in jet.at(away + BRICK_BEHIND, 0.0))
        h, gas = gas_behind(exposure, earth.joint, earth.ambient_C)
        taken = absorbed_fraction(exposure, patches.area) * torch.fuel_power / jet.power
        assert gas - 20.0 == pytest.approx((1.0 - taken) * (alone - 20.0), rel=1e-6)
        assert 0.05 < taken < 0.5
        width = 2 * float(jet.width(away + BRICK_BEHIND))
        Re = speed * width * jet.gas.density(alone) / jet.gas.viscosity(alone)
        Nu = 0.76 * math.sqrt(Re) * jet.gas.prandtl(alone) ** 0.4
        bare = float(Nu * jet.gas.conductivity(alone)) / width
        assert h == pytest.approx(bare, rel=0.03)
        assert 100.0 < alone < 1725.0


@pytest.mark.parametrize("rate", [20.0, 1.0, 1e-3, 1e-9])
def test_part_and_brick_behind_take_no_more_than_the_jets_power(earth, patches, rate):
    exposure = exposure_of(earth, patches, fuel_rate=rate / 3.6e6)
    torch = exposure.torch
    jet = Jet(torch, earth.ambient_C)
    away = phase_pose(PHASE, earth.joint, torch, 0.0).start + earth.joint.ball_radius
    h, gas = gas_behind(exposure, earth.joint, earth.ambient_C)
    brick = h * math.pi * float(jet.width(away + BRICK_BEHIND)) ** 2 * (gas - 20.0)
    part = absorbed_fraction(exposure, patches.area) * torch.fuel_power
    assert h > 0.0
    assert part + brick <= jet.power * (1 + 1e-9)


def test_a_brick_behind_warms_by_its_gas_and_radiates_on_what_faces_it(earth, patches):
    exposure = exposure_of(earth, patches)
    brick = Brick(True, patches, 20.0, 1)
    brick.face(0, exposure, earth.joint)
    h, gas = gas_behind(exposure, earth.joint, 20.0)
    brick.update(0.0, 1e-3, np.full((patches.count, 1), 20.0))
    face = brick.face_C[0]
    per_flux = 2.0 * math.sqrt(1e-3) / (math.sqrt(math.pi) * brick._effusivity)
    assert face - 20.0 == pytest.approx(per_flux * (h * (gas - face) - radiated(face)), rel=1e-9)
    brick.face_C = np.array([600.0])
    a, b, e = (np.broadcast_to(x, (patches.count, 1))[:, 0] for x in brick.terms(0.0, patches))
    assert not b.any() and not e.any()
    far = patches.normal[:, 0] < -0.95  # torch at +x, brick beyond -x
    full = constant("emissivity", "oxidised").value * BRICK_EMISSIVITY * SIGMA
    full *= (600.0 + ZERO_C_K) ** 4 - (20.0 + ZERO_C_K) ** 4
    share = (1.0 - patches.normal[:, 0]) / 2
    np.testing.assert_allclose(a, full * share, rtol=1e-9)
    assert a[far].min() > 0.9 * full


def radiated(T_C):
    return BRICK_EMISSIVITY * SIGMA * ((T_C + ZERO_C_K) ** 4 - (20.0 + ZERO_C_K) ** 4)


def test_a_brick_that_is_hot_cools_by_its_radiation(earth, patches):
    brick, cold = Brick(True, patches, 20.0, 1), np.full((patches.count, 1), 20.0)
    brick._gas = np.array([[50.0, 1000.0]])
    for t in range(60):
        brick.update(t, t + 1.0, cold)
    brick.face(0, None, earth.joint)
    for t in range(60, 80):
        before = brick.face_C[0]
        brick.update(t, t + 1.0, cold)
        assert 20.0 < brick.face_C[0] < before
        assert brick._fluxes[-1][0] == pytest.approx(-radiated(brick.face_C[0]), rel=1e-9)


@pytest.mark.parametrize("h", [10.0, 300.0, 1e4])
def test_no_jet_makes_a_brick_swing(patches, h):
    """In however strong a jet, in whatever steps, its face stays between room and gas."""
    brick, cold = Brick(True, patches, 20.0, 1), np.full((patches.count, 1), 20.0)
    brick._gas, t, faces = np.array([[h, 763.0]]), 0.0, [20.0]
    for step in [0.01, 0.05, 0.5, *([2.0] * 20)]:
        brick.update(t, t + step, cold)
        t += step
        faces.append(brick.face_C[0])
    assert np.all(np.diff(faces) > 0.0) and faces[-1] < 763.0


def test_a_brick_under_a_hot_spot_warms_as_a_semi_infinite_body_does(patches):
    """1 - exp(b²) erfc b with b = h √t / e (Carslaw & Jaeger, 2nd ed., 2.7), to 2 % of the rise."""
    brick, hot = Brick(False, patches, 20.0, 1), np.full((patches.count, 1), 720.0)
    for k in range(200):
        brick.update(k * 0.1, (k + 1) * 0.1, hot)
    b = brick._contact * math.sqrt(20.0) / brick._effusivity
    assert brick.face_C[0] - 20.0 == pytest.approx(700.0 * (1.0 - erfcx(b)), rel=0.02)


@pytest.mark.parametrize(
    ("kind", "rates"),
    [("pocket", (10, 20, 30)), ("pencil", (30, 45, 60)), ("hand", (100, 160, 250))],
)
def test_more_fuel_never_gets_the_joint_ready_later(earth, kind, rates):
    """At one distance beyond the longest cone; the cone grows with the flow."""
    from thermo.flame import Torch

    usual = Torch.of_kind(kind)
    torches = [usual.turned(rate / (3.6e6 * usual.fuel_rate)) for rate in rates]
    phase = Phase("ball", distance=torches[-1].cone_length + 2e-3)
    times = []
    for torch in torches:
        setup = replace(earth, torch=torch, strategy=Strategy("held", (phase,)))
        t = braze(setup, "quick").stage("liquidus").time_s
        times.append(math.inf if t is None else t)
    assert times == sorted(times, reverse=True)
    assert math.isfinite(times[-1])


def test_a_flame_of_nearly_nothing_gives_nearly_nothing(earth):
    """Part and filler: at most the fuel's heat over the whole run, and rounding."""
    torch = replace(earth.torch, fuel_rate=1e-9 / 3.6e6)
    setup = replace(earth, torch=torch, strategy=Strategy("held", (replace(PHASE, longest=30.0),)))
    run = braze(setup, "quick")
    burnt = torch.fuel_power * run.stage("flame-off").time_s
    assert run.energy.in_J <= burnt + 1e-6
