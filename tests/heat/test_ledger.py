"""Nothing is lost: gains, losses and stored heat agree whatever the loads, metals and gap."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from thermo.heat import (
    ConstantSolid,
    CosineLobeFlux,
    GreyLoss,
    HeatModel,
    Layer,
    LinearLoss,
    March,
    Sink,
    march,
)
from thermo.heat.march import LAYER_ERRS
from thermo.matter import get_solid, solid_names
from thermo.shape import Joint, build_mesh

CLOSES = 1e-9


@pytest.fixture(scope="module")
def mesh(drilled):
    return build_mesh(drilled, "quick", mirrored=True)


def residual(model: HeatModel, start: np.ndarray, y: np.ndarray) -> float:
    """(gained - lost - stored) over the heat turned over."""
    stored = model.stored(y) - model.stored(start)
    turned = np.abs(y[-2]) + np.abs(y[-1])
    return float(np.max(np.abs((y[-2] - y[-1] - stored) / turned)))


LOADS = {
    "flux": st.floats(1e4, 5e5),
    "coefficient": st.floats(1.0, 300.0),
    "emissivity": st.floats(0.05, 1.0),
    "ambient": st.floats(-10.0, 40.0),
    "gap": st.floats(10.0, 1e6) | st.just(math.inf),
    "k": st.floats(10.0, 150.0),
    "capacity": st.floats(2e6, 5e6),
    "slope": st.floats(0.0, 2 * math.pi),
}


@settings(deadline=None, max_examples=40)
@given(draw=st.fixed_dictionaries(LOADS))
def test_ledger_closes_whatever_the_loads(mesh, draw):
    direction = (math.cos(draw["slope"]), 0.0, math.sin(draw["slope"]))
    history = march(
        mesh,
        solids={
            "ball": ConstantSolid(draw["k"], draw["capacity"]),
            "rod": ConstantSolid(160.0 - draw["k"], 4e6),
        },
        gap_conductance=draw["gap"],
        loads=[
            CosineLobeFlux(draw["flux"], direction),
            LinearLoss(draw["coefficient"], draw["ambient"]),
            GreyLoss(draw["emissivity"], draw["ambient"]),
        ],
        start_C=20.0,
        times=[0.5, 5.0],
        tolerance_K=0.5,
    )
    assert np.abs(history.residual).max() <= CLOSES
    assert np.all(history.gained_J > 0)


@settings(deadline=None, max_examples=10)
@given(ball=st.sampled_from(solid_names()), rod=st.sampled_from(solid_names()))
def test_ledger_closes_whatever_the_metals(mesh, ball, rod):
    history = march(
        mesh,
        solids={"ball": get_solid(ball), "rod": get_solid(rod)},
        gap_conductance=3e3,
        loads=[CosineLobeFlux(4e5, (1, 0, 0)), GreyLoss(0.8, 20.0)],
        start_C=20.0,
        times=[5.0, 40.0],
        tolerance_K=0.5,
    )
    assert np.abs(history.residual).max() <= CLOSES


@pytest.mark.parametrize("name", solid_names())
def test_heat_to_700_C_and_beyond_is_the_metals_own(name, surface_load):
    """Heat taken up from 20 °C is volume times the metal's exact enthalpy at the end: no latent
    heat of a transformation is stepped over, though a step may cross its whole peak.

    A flux that brings the ball to about 900 °C in 20 s; metals above their range are not asked
    for. Tables are linear between 4096 enthalpies: 0.1 % of the heat.
    """
    joint = Joint(6e-3, "blind", 2.4e-3, 4e-3, 2.4e-3, 0.5e-3)
    mesh = build_mesh(joint, "quick", mirrored=True)
    solid = get_solid(name)
    volume = joint.ball_volume + joint.rod_volume
    area = joint.sphere_area + joint.rod_side_area
    heat = float(solid.enthalpy(900.0)) * volume
    flux = surface_load(lambda t: (heat / area / 20.0, 0.0, 0.0), gain=True)
    history = march(
        mesh,
        solids={"ball": solid, "rod": solid},
        gap_conductance=math.inf,
        loads=[flux],
        start_C=20.0,
        times=[20.0],
        tolerance_K=2.0,
    )
    assert history.gained_J[0] == pytest.approx(heat, rel=1e-9)
    T = history.temperature_C[0]
    taken = float(mesh.volume @ solid.enthalpy(T))
    assert taken == pytest.approx(heat, rel=1e-3)
    mean = mesh.volume @ T / mesh.volume.sum()
    assert mean == pytest.approx(900.0, abs=2.0)


def test_perfect_contact_is_the_limit_of_a_good_gap(mesh, heated):
    """h = ∞ is finite, and what 1e9 W/m²K comes to."""
    loads = [CosineLobeFlux(2.5e5, (1, 0, 0)), LinearLoss(60.0, 20.0)]
    perfect = heated(mesh, loads, [5.0], gap_conductance=math.inf)
    good = heated(mesh, loads, [5.0], gap_conductance=1e9)
    poor = heated(mesh, loads, [5.0], gap_conductance=1e4)
    np.testing.assert_allclose(good.temperature_C, perfect.temperature_C, atol=2e-3)
    assert np.abs(poor.temperature_C - perfect.temperature_C).max() > 1.0
    for side in (1, -1):
        walls = [perfect.gap(body=body, side=side)[0] for body in ("ball", "rod")]
        assert walls[0] == pytest.approx(walls[1], abs=1e-9)


def test_clamp_takes_what_the_ledger_says(mesh, steel):
    """Two sinks at fixed temperatures: no other loss, the ledger holds their heat and closes."""
    rod = np.flatnonzero(mesh.body == 1)
    sinks = [Sink(int(rod[-1]), 0.05, 20.0), Sink(int(rod[0]), 0.02, 0.0)]
    model = HeatModel(mesh, {"ball": steel, "rod": steel}, 1e4, [], sinks=sinks)
    start = model.start(500.0)
    run = March(model, start, tolerance_K=0.05)
    model.refresh(0.0, start)
    rate = model.rates(0.0, start, np.empty_like(start))
    assert rate[-1, 0] == pytest.approx(0.05 * 480.0 + 0.02 * 500.0, rel=1e-3)
    while run.t < 20.0:
        run.step(until=20.0)
    assert run.y[-2, 0] == 0.0
    assert run.y[-1, 0] > 10.0
    assert residual(model, start, run.y) <= CLOSES


def plain_layer(mesh, conductance=500.0, latent=2e5) -> Layer:
    """A coat of 1.5 kg/m² on the whole ball: 1000 J/kgK, melting at 300 to 310 °C."""
    pieces = np.flatnonzero(mesh.patches.piece_body == 0)
    T = np.concatenate([np.linspace(-50.0, 300.0, 100), np.linspace(310.0, 1600.0, 100)])
    heat = 1e3 * (T - 20.0) + latent * np.clip((T - 300.0) / 10.0, 0.0, 1.0)
    grid = np.linspace(heat[0], heat[-1], 2048)
    return Layer(
        pieces=pieces,
        mass=np.full((len(pieces), 1), 1.5),
        enthalpy=grid,
        temperature=np.interp(grid, heat, T),
        conductance=np.full(len(grid), conductance),
    )


@settings(deadline=None, max_examples=15)
@given(flux=st.floats(1e5, 1e6), conductance=st.floats(100.0, 8e3), change=st.floats(0.1, 10.0))
def test_ledger_closes_with_a_coat(mesh, flux, conductance, change):
    """Coat and metal together keep what comes in, also when the coat's contact changes."""
    layer, steel = plain_layer(mesh, conductance), get_solid("100Cr6")
    loads = [CosineLobeFlux(flux, (1, 0, 0)), LinearLoss(80.0, 20.0), GreyLoss(0.8, 20.0)]
    model = HeatModel(mesh, {"ball": steel, "rod": steel}, 2e3, loads, layer=layer)
    start = model.start(20.0)
    run = March(model, start, tolerance_K=0.5)
    while run.t < 3.0:
        run.step(until=3.0)
    layer.conductance = layer.conductance * change
    model.discontinuity()
    while run.t < 8.0:
        run.step(until=8.0)
    assert residual(model, start, run.y) <= CLOSES


def test_coat_and_metal_settle_at_the_mixing_temperature(mesh):
    """Hot coat on cold metal, no loads: heat is shared by heat capacities."""
    layer, metal = plain_layer(mesh, 3e3), ConstantSolid(200.0, 4e6)
    model = HeatModel(mesh, {"ball": metal, "rod": metal}, 1e6, [], layer=layer)
    start = model.start(20.0)
    n = mesh.cells
    start[n:-2] = layer.store(250.0)
    run = March(model, start, tolerance_K=0.01)
    while run.t < 60.0:
        run.step(until=60.0)
    area = mesh.patches.area[layer.pieces].sum()
    coat, body = area * 1.5 * 1e3, mesh.volume.sum() * 4e6
    mixed = (coat * 250.0 + body * 20.0) / (coat + body)
    np.testing.assert_allclose(model.temperatures(run.y), mixed, atol=0.2)
    np.testing.assert_allclose(layer.read(run.y[n:-2]), mixed, atol=0.2)
    np.testing.assert_allclose(
        model.readings(run.t, run.y).outside(model.order[: model.covered]), mixed, atol=0.2
    )


def test_coat_takes_its_latent_heat(mesh):
    """The coat's temperature against its heat: flat while it melts, straight before and after."""
    layer = plain_layer(mesh)
    for T in (20.0, 150.0, 299.0, 305.0, 320.0, 900.0):
        np.testing.assert_allclose(layer.read(layer.store(T)), T, atol=0.5)
    gained = float((layer.store(310.0) - layer.store(300.0))[0, 0])
    assert gained == pytest.approx(1.5 * (1e4 + 2e5), rel=0.01)
    assert layer.least_capacity == pytest.approx(1e3, rel=0.01)


def test_uncoated_pieces_and_coated_ones_differ_in_what_is_outside(mesh, steel):
    """Where there is a coat its temperature is the outside, elsewhere the metal's."""
    layer = plain_layer(mesh)
    loads = [CosineLobeFlux(3e5, (1, 0, 0)), LinearLoss(60.0, 20.0)]
    model = HeatModel(mesh, {"ball": steel, "rod": steel}, 1e4, loads, layer=layer)
    run = March(model, model.start(20.0), tolerance_K=0.1)
    while run.t < 2.0:
        run.step(until=2.0)
    found = model.readings(run.t, run.y)
    outside, metal = found.outside(layer.pieces), found.metal
    rod = np.setdiff1d(np.arange(mesh.patches.count), layer.pieces)
    np.testing.assert_array_equal(outside[rod], metal[rod])
    front = np.argmax(mesh.patches.centre[:, 0])
    assert outside[front, 0] > metal[front, 0] + 10.0


def test_metal_under_a_coat_takes_from_it_what_it_passes_on(mesh, steel):
    """k (surface - cell) / depth is h (coat - surface)."""
    layer = plain_layer(mesh, 700.0)
    model = HeatModel(mesh, {"ball": steel, "rod": steel}, 1e4, [], layer=layer)
    y = model.start(400.0)
    y[mesh.cells : -2] = layer.store(900.0)
    model.refresh(0.0, y)
    metal = model.readings(0.0, y).metal[layer.pieces, 0]
    into = 30.0 * (metal - 400.0) / mesh.patches.depth[layer.pieces]
    np.testing.assert_allclose(into, 700.0 * (900.0 - metal), rtol=1e-6)
    assert metal.min() > 401.0


@pytest.mark.parametrize("coated", [True, False])
def test_gain_and_loss_are_booked_apart(mesh, steel, surface_load, coated):
    """Both at the outside's own temperature: Σ A (a - b Ts) of gains, Σ A (b Ts - a) of losses."""
    layer = plain_layer(mesh) if coated else None
    loads = [
        surface_load(lambda t: (9e5, 500.0, 0.0), gain=True),
        surface_load(lambda t: (4e3, 200.0, 0.0), gain=False),
    ]
    model = HeatModel(mesh, {"ball": steel, "rod": steel}, 1e4, loads, layer=layer)
    y = model.start(400.0)
    model.refresh(0.0, y)
    gained, lost = model.rates(0.0, y, np.empty_like(y))[-2:, 0]
    outside = model.readings(0.0, y).outside(model.order[: model.covered])[:, 0]
    assert gained == pytest.approx(mesh.patches.area @ (9e5 - 500.0 * outside), rel=1e-9)
    assert lost == pytest.approx(mesh.patches.area @ (200.0 * outside - 4e3), rel=1e-9)
    assert gained > 2.0 * lost > 0.0


@pytest.mark.parametrize(("where", "allowed"), [("cells", 1.0), ("coat", LAYER_ERRS)])
def test_a_step_answers_for_metal_and_coat_alike(mesh, steel, where, allowed):
    """4/5 of a change that no slope foretold (see `local_error`), of 1 K, by a tolerance of 0.1."""
    layer, n = plain_layer(mesh), mesh.cells
    model = HeatModel(mesh, {"ball": steel, "rod": steel}, 1e4, [], layer=layer)
    y = model.start(100.0)
    model.refresh(0.0, y)
    leapt, none = y.copy(), np.zeros_like(y)
    if where == "cells":
        leapt[:n] += 5e6
    else:
        leapt[n:-2] += 1.5e3
    error = March(model, y, tolerance_K=0.1)._error(y, leapt, none, none, 1.0)
    assert error == pytest.approx(8.0 / allowed, rel=0.01)
