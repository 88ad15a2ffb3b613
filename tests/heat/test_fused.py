"""Columns led through a step by compiled code: what it gives, and what it asks of the system."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from numba import njit

from thermo.heat import CosineLobeFlux, GreyLoss, HeatModel, Layer, LinearLoss, March, Sink
from thermo.heat.fused import WIDTH, compiled
from thermo.heat.model import FUSED_FROM
from thermo.heat.rkc import stages_for
from thermo.matter import get_solid
from thermo.shape import build_mesh
from validation.grids import Given

CLOSE = 1e-12
COLUMNS = (FUSED_FROM, WIDTH, WIDTH + 3)


@pytest.fixture(scope="module")
def mesh(drilled):
    return build_mesh(drilled, "quick", mirrored=True)


def coat(mesh, columns):
    """On the ball, thicker from column to column; melts at 300 to 310 °C."""
    pieces = np.flatnonzero(mesh.patches.piece_body == 0)
    T = np.concatenate([np.linspace(-50.0, 300.0, 100), np.linspace(310.0, 1600.0, 100)])
    heat = 1e3 * (T - 20.0) + 2e5 * np.clip((T - 300.0) / 10.0, 0.0, 1.0)
    grid = np.linspace(heat[0], heat[-1], 2048)
    return Layer(
        pieces=pieces,
        mass=np.full((len(pieces), 1), 1.5) * np.linspace(0.5, 1.5, columns),
        enthalpy=grid,
        temperature=np.interp(grid, heat, T),
        conductance=np.full(len(grid), 800.0),
    )


def lit(mesh, columns, moving=False):
    """A model of all there is, and a state of it; each column another."""
    rng, n = np.random.default_rng(7), mesh.cells
    rod = np.flatnonzero(mesh.body == 1)
    loads = [
        CosineLobeFlux(np.linspace(1e5, 4e5, columns), (1, 0, 0)),
        LinearLoss(np.linspace(20.0, 90.0, columns), 20.0),
        GreyLoss(0.8, 20.0),
    ]
    if moving:
        loads.append(Given(lambda t: (1e5 * np.cos(40.0 * t), 30.0 * t, 0.0)))
    model = HeatModel(
        mesh,
        {"ball": get_solid("100Cr6"), "rod": get_solid("brass")},
        np.geomspace(1e3, 1e4, len(mesh.gap.area) * columns).reshape(-1, columns),
        loads,
        columns=columns,
        layer=coat(mesh, columns),
        sinks=[Sink(int(rod[-1]), 0.05, 20.0), Sink(int(rod[0]), 0.02, 0.0)],
    )
    y = model.start(400.0)
    y[:n] += 4e6 * np.linspace(-50.0, 250.0, columns) + 4e7 * rng.standard_normal((n, columns))
    y[n:-2] *= 1.0 + 0.2 * rng.standard_normal((model.covered, columns))
    model.source = 1e9 * rng.standard_normal((n, columns))
    before = y.copy()  # so that what the boundaries follow has a pace
    before[:-2] *= 0.999
    model.refresh(0.0, before, 0.01)
    model.refresh(0.01, y, 0.01)
    return model, y


def alike(model, found, wanted):
    """Every value, as close as rounding leaves it beside the largest of its row."""
    for row in (slice(0, model.mesh.cells), slice(model.mesh.cells, -2), slice(-2, None)):
        most = np.abs(wanted[row]).max(axis=1, keepdims=True)
        assert most.max() > 0.0
        assert np.all(np.abs(found[row] - wanted[row]) <= CLOSE * most)


@pytest.mark.parametrize("moving", [False, True])
@pytest.mark.parametrize("columns", COLUMNS)
def test_rates_are_those_by_whole_arrays(mesh, columns, moving):
    model, y = lit(mesh, columns, moving)
    for t in (0.01, 0.013, 0.02):
        found = model.rates(t, y, np.empty_like(y))
        wanted = model.plain.rates(t, y, model.law, model.source, np.empty_like(y))
        alike(model, found, wanted)


@pytest.mark.parametrize("columns", COLUMNS)
@pytest.mark.parametrize("more", [0, 1])
def test_a_step_is_that_by_whole_arrays(mesh, columns, more):
    """With an even and an odd number of stages: state and rates at its end."""
    model, y = lit(mesh, columns, moving=True)
    f, stages = model.rates(0.01, y, np.empty_like(y)), stages_for(0.01, model.rate) + more
    found = model.step(0.01, y, f, 0.01, stages)
    model.fused = None
    wanted = model.step(0.01, y, f, 0.01, stages)
    assert np.abs(wanted[0] - y).max() > 1e-4 * np.abs(y).max()
    alike(model, found[0], wanted[0])
    for row in (slice(0, mesh.cells), slice(mesh.cells, -2), slice(-2, None)):  # stiff: f answers
        np.testing.assert_allclose(
            found[1][row], wanted[1][row], rtol=0.0, atol=CLOSE * np.abs(f[row]).max()
        )


def test_all_that_flows_tells(mesh):
    """Source, sinks, coat, gap and loads each change the rates by what no rounding would."""
    model, y = lit(mesh, WIDTH, moving=True)
    rates = model.rates(0.013, y, np.empty_like(y)).copy()
    laws = model.law.coefficients
    for rows in np.array_split(np.arange(laws.shape[1]), 8):
        kept = laws[:, rows].copy()
        laws[:, rows] = -kept
        change = np.abs(model.rates(0.013, y, np.empty_like(y)) - rates)
        assert np.any(change > 1e-3 * np.abs(rates).max(axis=1, keepdims=True))
        laws[:, rows] = kept
    model.source = None
    assert np.abs(model.rates(0.013, y, np.empty_like(y)) - rates).max() > 1e8


def test_columns_do_not_know_of_each_other(mesh):
    """A column comes to the same, to the last bit, wherever it stands."""
    model, y = lit(mesh, WIDTH + 3)
    f = model.rates(0.01, y, np.empty_like(y))
    once = model.step(0.01, y, f, 0.01, 20)
    again = model.step(0.01, y, f, 0.01, 20)
    other = y.copy()
    other[:-2, 4] = np.nan
    beside = model.step(0.01, other, model.rates(0.01, other, np.empty_like(y)), 0.01, 20)
    for a, b, c in zip(once, again, beside, strict=True):
        np.testing.assert_array_equal(a, b)
        np.testing.assert_array_equal(np.delete(a, 4, axis=1), np.delete(c, 4, axis=1))
        assert np.isnan(c[: mesh.cells, 4]).all()


def test_what_leaves_the_tables_is_read_as_by_whole_arrays(mesh):
    """Far below and far above them, and near their first and last place."""
    model, y = lit(mesh, FUSED_FROM)
    y[: mesh.cells] *= [-30.0, -1.0, 20.0, 300.0]
    wanted = model.plain.rates(0.01, y, model.law, model.source, np.empty_like(y))
    alike(model, model.rates(0.01, y, np.empty_like(y)), wanted)
    y[: mesh.cells] = ((2.5 - model.plain.shift) / model.plain.scale)[: mesh.cells]
    top = len(model.plain.T) - 3.5
    y[mesh.cells : -2] = ((top - model.plain.shift) / model.plain.scale)[mesh.cells :]
    wanted = model.plain.rates(0.01, y, model.law, model.source, np.empty_like(y))
    alike(model, model.rates(0.01, y, np.empty_like(y)), wanted)
    y[: mesh.cells] = [np.inf, -np.inf, 1e300, np.nan]
    with np.errstate(all="ignore"):
        assert model.rates(0.01, y, np.empty_like(y)).shape == y.shape


def test_a_march_is_that_by_whole_arrays(mesh):
    ends = []
    for fused in (True, False):
        model, y = lit(mesh, FUSED_FROM, moving=True)
        model.source = None
        model.discontinuity()
        if not fused:
            model.fused = None
        run = March(model, y, tolerance_K=0.1)
        while run.t < 2.0:
            run.step(until=2.0)
        ends.append((run.steps, model.temperatures(run.y)))
    assert ends[0][0] == ends[1][0] > 10
    np.testing.assert_allclose(ends[0][1], ends[1][1], rtol=1e-9)


def test_few_columns_do_without(mesh):
    model, y = lit(mesh, FUSED_FROM - 1)
    assert model.fused is None
    assert model.rates(0.01, y, np.empty_like(y)).any()


def test_a_model_with_rates_of_its_own_keeps_them(mesh):
    class Still(HeatModel):
        def rates(self, t, y, out):
            out[:] = 0.0
            return out

    metal = get_solid("brass")
    model = Still(mesh, {"ball": metal, "rod": metal}, 1e3, [], columns=FUSED_FROM)
    y = model.start(np.linspace(20.0, 300.0, FUSED_FROM))
    model.refresh(0.0, y, 0.1)
    y1, f1 = model.step(0.0, y, np.zeros_like(y), 0.1, 5)
    np.testing.assert_allclose(y1, y, rtol=1e-12)
    assert not f1.any()


def test_without_numba_it_goes_on_by_whole_arrays(mesh, monkeypatch):
    monkeypatch.setitem(sys.modules, "thermo.heat.batch", None)
    model, y = lit(mesh, FUSED_FROM)
    assert model.fused is None
    assert model.rates(0.01, y, np.empty_like(y)).any()


def test_where_nothing_can_be_written_it_is_compiled_all_the_same():
    """As of a function without a file: numba finds no folder for what it compiles."""
    found: dict[str, Any] = {}
    exec(compile("def double(x):\n    return 2.0 * x", "<nowhere>", "exec"), found)
    with pytest.raises(RuntimeError, match="cannot cache"):
        njit(cache=True)(found["double"])
    assert compiled(found["double"], kept=True)(3.0) == 6.0


MARCH = """
import sys, warnings
warnings.simplefilter("error")
import numpy as np
from thermo.heat import ConstantSolid, CosineLobeFlux, march
from thermo.shape import Joint, build_mesh
steel = ConstantSolid(30.0, 5e6)
mesh = build_mesh(Joint(6e-3, "blind", 2.5e-3, 4e-3, 2.4e-3, 36e-3), "quick", mirrored=True)
flux = np.linspace(1e5, 2e5, int(sys.argv[1]))
found = march(mesh, solids={"ball": steel, "rod": steel}, gap_conductance=1e3,
              loads=[CosineLobeFlux(flux, (1, 0, 0))], start_C=20.0, times=[1.0])
if "numba" in sys.modules:
    from thermo.heat.fused import lead
    print(sum(lead.stats.cache_hits.values()), sum(lead.stats.cache_misses.values()))
else:
    print("none")
"""


def told(columns: int, folder: Path) -> str:
    """What a process of its own says of how it marched so many columns."""
    settings = os.environ | {"NUMBA_CACHE_DIR": str(folder)}
    command = [sys.executable, "-c", MARCH, str(columns)]
    where = Path(__file__).parents[2]
    answer = subprocess.run(command, env=settings, cwd=where, capture_output=True, text=True)
    assert answer.returncode == 0, answer.stderr
    return answer.stdout.strip()


def test_a_single_column_brings_no_numba(tmp_path):
    assert told(1, tmp_path) == "none"
    assert told(FUSED_FROM - 1, tmp_path) == "none"


def test_a_second_process_finds_it_compiled(tmp_path):
    assert told(FUSED_FROM, tmp_path) == "0 1"
    assert told(FUSED_FROM, tmp_path) == "1 0"
