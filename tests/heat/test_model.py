"""Heat put into cells from outside the model: where it goes, and by either engine."""

from __future__ import annotations

import math

import numpy as np
import pytest

from thermo.heat import (
    ConstantSolid,
    Contact,
    CosineLobeFlux,
    GreyLoss,
    HeatModel,
    LinearLoss,
    March,
)
from thermo.heat.reference import ReferenceMarch
from thermo.matter import get_solid
from thermo.shape import build_mesh

WATTS = 3.0


@pytest.fixture(scope="module")
def mesh(drilled):
    return build_mesh(drilled, "quick", mirrored=True)


def floor_source(mesh, columns=1, watts=WATTS):
    """So much heat, shared by the cells under the hole's floor [W/m³]."""
    found, cells = np.zeros((mesh.cells, columns)), np.unique(mesh.gap.ball[mesh.gap.floor])
    found[cells] = watts / mesh.volume[cells].sum()
    return found


def lit(mesh, columns=1):
    metals = {"ball": get_solid("100Cr6"), "rod": ConstantSolid(40.0, 4e6)}
    loads = [CosineLobeFlux(2e5, (1, 0, 0)), LinearLoss(50.0, 20.0), GreyLoss(0.8, 20.0)]
    return HeatModel(mesh, metals, 3e3, loads, columns=columns)


def marched(engine, model, start, seconds, longest):
    run = engine(model, start, tolerance_K=0.05)
    while run.t < seconds:
        run.step(seconds, longest)
    return run.y


def test_a_source_goes_into_its_cells_and_not_into_the_ledger(mesh):
    """Per column; heat lost and gained at that moment are as without it."""
    model = lit(mesh, columns=2)
    y = model.start(300.0)
    model.refresh(0.0, y)
    plain = model.rates(0.0, y, np.empty_like(y)).copy()
    model.source = floor_source(mesh, 2) * [1.0, -0.5]
    more = model.rates(0.0, y, np.empty_like(y)) - plain
    np.testing.assert_allclose(more[: mesh.cells], model.source, rtol=1e-9, atol=1e-3)
    assert not more[mesh.cells :].any()
    np.testing.assert_allclose(mesh.volume @ more[: mesh.cells], [WATTS, -WATTS / 2], rtol=1e-9)


@pytest.mark.parametrize("engine", [March, ReferenceMarch])
@pytest.mark.parametrize("watts", [WATTS, -WATTS])
def test_stored_heat_is_the_ledgers_and_the_sources(mesh, engine, watts):
    """Gained - lost + 3 W for 4 s, to 1e-9 of the heat turned over."""
    model = lit(mesh)
    start = model.start(300.0)
    model.source = floor_source(mesh, watts=watts)
    y = marched(engine, model, start, 4.0, 0.5)
    stored = float((model.stored(y) - model.stored(start))[0])
    gained, lost = y[-2:, 0]
    turned = abs(gained) + abs(lost) + abs(4.0 * watts)
    assert abs(gained - lost + 4.0 * watts - stored) <= 1e-9 * turned


def test_both_engines_put_a_source_to_the_same_use(mesh):
    """After 4 s no cell differs by 0.1 K, where the source alone makes tens of kelvin."""
    model = lit(mesh)
    start, ends = model.start(300.0), []
    for engine, source in ((March, True), (ReferenceMarch, True), (March, False)):
        model.source = floor_source(mesh) if source else None
        ends.append(model.temperatures(marched(engine, model, start, 4.0, 0.1)))
    assert np.abs(ends[0] - ends[1]).max() < 0.1
    assert (ends[0] - ends[2]).max() > 20.0


def test_a_source_alone_warms_a_good_conductor_as_a_lump(drilled):
    """P t = Σ ρ c V ΔT."""
    mesh, metal = build_mesh(drilled, "quick", mirrored=True), ConstantSolid(1e4, 4e6)
    model = HeatModel(mesh, {"ball": metal, "rod": metal}, math.inf, [])
    model.source = floor_source(mesh)
    y = marched(March, model, model.start(20.0), 10.0, 1.0)
    rise = WATTS * 10.0 / (4e6 * mesh.volume.sum())
    np.testing.assert_allclose(model.temperatures(y), 20.0 + rise, atol=0.02 * rise)


def test_a_gap_is_carried_on_by_its_state_and_never_leaves_its_law(mesh):
    """Hotter by 100 K in a second, its law done at 350 °C: two steps on it conducts no more."""
    model = lit(mesh)
    y, links = model.start(300.0), len(mesh.gap.area)

    def law(hottest_C):
        return 1e3 * np.exp(np.interp(hottest_C, [250.0, 350.0], [0.0, math.log(20.0)]))

    for t, hottest in ((0.0, 200.0), (1.0, 300.0)):
        model.gap = Contact(law, np.full((links, 1), hottest))
        model.refresh(t, y, 2.0)
    metals = dict(zip(("ball", "rod"), model.tables.solids, strict=True))
    most = HeatModel(mesh, metals, 2e4, model.loads)
    most.refresh(0.0, y)
    np.testing.assert_allclose(model.now(3.0)[0], most.now(0.0)[0], rtol=1e-12)
    half = (model.now(1.0)[0] + model.now(3.0)[0]) / 2  # straight between a step's ends
    np.testing.assert_allclose(model.now(2.0)[0], half, rtol=1e-12)
    assert (model.now(1.0)[0] < model.now(3.0)[0]).all()


def test_what_crosses_the_gap_crosses_the_half_cells_beside_it(mesh):
    """k (T - wall) / depth on either side, in two metals, is h (hole - rod)."""
    metals = {"ball": ConstantSolid(20.0, 4e6), "rod": ConstantSolid(50.0, 5e6)}
    model, gap = HeatModel(mesh, metals, 3e3, []), mesh.gap
    y = model.start(np.where(mesh.body == 0, 700.0, 400.0)[:, None])
    model.refresh(0.0, y)
    seen = model.readings(0.0, y)
    hole, rod, flux = (x[:, 0] for x in (seen.hole, seen.rod, seen.gap_flux))
    own = 300.0 / (gap.ball_depth / 20.0 + 1.0 / 3e3 + gap.rod_depth / 50.0)
    np.testing.assert_allclose(flux, own, rtol=1e-9)
    np.testing.assert_allclose(20.0 * (700.0 - hole) / gap.ball_depth, flux, rtol=1e-9)
    np.testing.assert_allclose(50.0 * (rod - 400.0) / gap.rod_depth, flux, rtol=1e-9)
    np.testing.assert_allclose(3e3 * (hole - rod), flux, rtol=1e-9)
    np.testing.assert_array_equal(seen.colder, seen.rod)
