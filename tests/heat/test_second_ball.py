"""Heat into a second ball: a fin with a lump at its tip, ledger, two metals, point readings."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from thermo.heat import (
    ConstantSolid,
    CosineLobeFlux,
    GreyLoss,
    HeatModel,
    LinearLoss,
    March,
    Sink,
)
from thermo.shape import Joint, build_mesh

K, CAPACITY, H = 30.0, 5e6, 200.0  # those of the fixture `steel`, and the loss [W/m²K]
TWO = Joint(6e-3, "blind", 2.5e-3, 4e-3, 2.4e-3, 14.5e-3, second_ball_diameter=5e-3)
A, RADIUS, R2 = math.pi * 1.2e-3**2, 1.2e-3, 2.5e-3
AREA_2 = 2 * math.pi * R2 * (R2 + math.sqrt(R2**2 - RADIUS**2))
BASE = 4e-3  # below the mouth, where the rod is even across [m]
LOADS = [CosineLobeFlux(1.5e6, (1, 0, 0)), LinearLoss(H, 20.0)]


def second_C(history):
    return history.temperature_C[:, history.mesh.body == 2][:, 0]


@pytest.mark.parametrize("second", [5e-3, 9e-3])
@pytest.mark.parametrize("accuracy", ["quick", "normal"])
def test_steady_state_is_that_of_a_fin_with_a_lump_at_its_tip(heated, accuracy, second):
    """θ'' = m² θ, at the tip -k A θ' = G θ with 1/G = 1/(h A2) + 1/(4 k a)."""
    joint, R = replace(TWO, second_ball_diameter=second), second / 2
    area = 2 * math.pi * R * (R + math.sqrt(R**2 - RADIUS**2))
    mesh = build_mesh(joint, accuracy, mirrored=True)
    history = heated(mesh, LOADS, [600.0])
    base = history.at(point=(0.0, 0.0, joint.mouth_z - BASE), body="rod")[0] - 20.0
    m, length = math.sqrt(2 * H / (K * RADIUS)), joint.rod_length - BASE
    tip = 1 / (1 / (H * area) + 1 / (4 * K * RADIUS))
    slope = tip / (K * m * A)
    end = base / (math.cosh(m * length) + slope * math.sinh(m * length))
    assert base > 200.0
    assert second_C(history)[0] - 20.0 == pytest.approx(end * tip / (H * area), rel=5e-3)
    link = np.flatnonzero(mesh.gap.second)[0]
    history.model.refresh(600.0, history.states[0])
    readings = history.model.readings(600.0, history.states[0])
    assert readings.rod[link, 0] - 20.0 == pytest.approx(end, rel=5e-3)
    heat = -readings.gap_flux[link, 0] * mesh.gap.area[link]
    assert heat == pytest.approx(tip * end, rel=5e-3)


def test_warming_up_is_that_of_a_rod_of_many_slices_and_a_lump(heated):
    """The rod below BASE by lines, driven by the model's own temperature there."""
    times = np.concatenate([[0.25, 0.5, 0.75], np.arange(1.0, 41.0)])
    mesh = build_mesh(TWO, "normal", mirrored=True)
    history = heated(mesh, LOADS, times.tolist())
    driven = history.at(point=(0.0, 0.0, TWO.mouth_z - BASE), body="rod")
    n, length = 200, TWO.rod_length - BASE
    d = length / n
    volume = 4 / 3 * math.pi * R2**3 - TWO_CAP

    def rise(t, T):
        base = np.interp(t, np.append(0.0, times), np.append(20.0, driven))
        flow = np.empty(n + 1)
        flow[0] = K * A * (base - T[0]) / (d / 2)
        flow[1:n] = K * A * (T[: n - 1] - T[1:n]) / d
        flow[n] = (T[n - 1] - T[n]) / (d / (2 * K * A) + 1 / (4 * K * RADIUS))
        lost = H * 2 * math.pi * RADIUS * d * (T[:n] - 20.0)
        rod = (flow[:n] - flow[1:] - lost) / (CAPACITY * A * d)
        return np.append(rod, (flow[n] - H * AREA_2 * (T[n] - 20.0)) / (CAPACITY * volume))

    found = solve_ivp(rise, (0.0, 40.0), np.full(n + 1, 20.0), "LSODA", [10.0, 20.0, 40.0])
    ours = np.interp(found.t, times, second_C(history))
    assert ours[-1] > 100.0
    np.testing.assert_allclose(ours, found.y[n], atol=0.01 * (ours[-1] - 20.0))


TWO_CAP = (
    math.pi
    * (R2 - math.sqrt(R2**2 - RADIUS**2)) ** 2
    * (3 * R2 - (R2 - math.sqrt(R2**2 - RADIUS**2)))
    / 3
)


@pytest.mark.parametrize("mirrored", [False, True])
def test_ledger_closes_with_a_second_ball_and_a_clamp(mirrored):
    mesh = build_mesh(TWO, "quick", mirrored=mirrored)
    metals = {"ball": ConstantSolid(30.0, 5e6), "rod": ConstantSolid(120.0, 3e6)}
    loads = [*LOADS, GreyLoss(0.8, 20.0)]
    sink = Sink(int(mesh.gap.rod[mesh.gap.second][0]), 0.03, 20.0)
    model = HeatModel(mesh, metals, 3e3, loads, sinks=[sink])
    start = model.start(20.0)
    run = March(model, start, tolerance_K=0.5)
    while run.t < 30.0:
        run.step(until=30.0)
    stored = float((model.stored(run.y) - model.stored(start))[0])
    turned = float(run.y[-2, 0] + run.y[-1, 0])
    assert abs(run.y[-2, 0] - run.y[-1, 0] - stored) <= 1e-9 * turned


def test_two_metals_at_one_temperature_exchange_nothing():
    """Across the second mouth temperatures drive the heat, not conductivity integrals."""
    mesh = build_mesh(TWO, "quick", mirrored=True)
    metals = {"ball": ConstantSolid(30.0, 5e6), "rod": ConstantSolid(120.0, 3e6)}
    model = HeatModel(mesh, metals, 1e4, [])
    y = model.start(500.0)
    model.refresh(0.0, y)
    rates = model.rates(0.0, y, np.empty_like(y))
    assert np.abs(rates[: mesh.cells]).max() < 1e-3  # of some 1e8 W/m³ under a flame


def test_half_and_whole_circle_agree(heated):
    found = [
        second_C(heated(build_mesh(TWO, "quick", mirrored=half), LOADS, [20.0]))[0]
        for half in (False, True)
    ]
    assert found[0] == pytest.approx(found[1], abs=0.02)


def test_a_far_second_ball_is_as_good_as_none(heated):
    """No heat comes through 120 mm of rod in 20 s: the ball is that of a free rod."""
    far = replace(TWO, rod_length=120e-3)
    history = heated(build_mesh(far, "quick", mirrored=True), LOADS, [20.0])
    free = replace(far, second_ball_diameter=0.0)
    alone = heated(build_mesh(free, "quick", mirrored=True), LOADS, [20.0])
    assert second_C(history)[0] == pytest.approx(20.0, abs=0.01)
    for point in ((0.0, 0.0, 2.9e-3), (2.9e-3, 0.0, 0.0)):
        a, b = (run.at(point=point, body="ball")[0] for run in (history, alone))
        assert a > 300.0
        assert a == pytest.approx(b, abs=0.05)


def test_the_end_of_a_through_rod_is_not_read_with_the_second_mouths_flux(heated):
    """The tip at the far opening is open to the room: its flux is the loss, small."""
    joint = replace(TWO, hole="through", second_ball_diameter=5e-3)
    alone = replace(joint, second_ball_diameter=0.0, rod_length=100e-3)
    long = replace(joint, rod_length=100e-3)
    point = (0.0, 0.0, joint.tip_z)
    a, b = (
        heated(build_mesh(j, "quick", mirrored=True), LOADS, [5.0]).at(point=point, body="rod")[0]
        for j in (long, alone)
    )
    assert a == pytest.approx(b, abs=0.05)
