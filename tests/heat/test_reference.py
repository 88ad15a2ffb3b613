"""FiPy as a second opinion: its operator, its rates, its ledger, and three joints brazed by it."""

from __future__ import annotations

import json
import math
import os
import subprocess
import sys
from dataclasses import replace
from functools import partial
from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner

import thermo
from thermo.braze import braze, simulation
from thermo.braze.model import BrazeModel
from thermo.braze.monitors import STATIONS
from thermo.braze.setup import Clamp
from thermo.cli import brazeclock
from thermo.files import case_from_options, read_case, to_setup
from thermo.heat import (
    ConstantSolid,
    CosineLobeFlux,
    GreyLoss,
    HeatModel,
    LinearLoss,
    March,
    reference,
)
from thermo.heat.conduction import conduction_operator, slant_operator
from thermo.heat.reference import (
    CellVariable,
    DiffusionTerm,
    FaceVariable,
    ImplicitSourceTerm,
    LinkMesh,
    ReferenceMarch,
    _held_back,
)
from thermo.shape import build_mesh

CASES = Path(__file__).parents[2] / "cases"


def case(name):
    return to_setup(read_case(CASES / f"{name}.toml"))


@pytest.fixture(scope="module")
def mercury():
    return case("mercury-3mm")


def scene_at(setup, t):
    """A scene, and its state when the march has come to a time."""
    braze_model = BrazeModel(setup, [setup.strategy], "quick")
    braze_model.hold(0, braze_model.phases[0][0], 0.0)
    run = March(braze_model.heat, braze_model.start())
    braze_model.heat.refresh(0.0, run.y)
    while run.t < t:
        step = run.step(t, 0.5)
        readings = braze_model.readings(step.t1, step.y1)
        braze_model.age(step, readings)
        braze_model.update(step, readings, 0.5)
    return braze_model, run.y


def ledger(model, start, y):
    """(gained - lost - stored) over the heat turned over."""
    stored = model.stored(y) - model.stored(start)
    return ((y[-2] - y[-1] - stored) / (np.abs(y[-2]) + np.abs(y[-1])))[0]


# -- operator and rates


@pytest.mark.parametrize("mirrored", [False, True])
def test_matrix_of_conduction_is_the_direct_operator(mercury, mirrored):
    """FiPy's diffusion matrix with unit coefficients in the metals and none on the links."""
    mesh = build_mesh(mercury.joint, "normal", mirrored=mirrored)
    model = HeatModel(mesh, {"ball": mercury.ball, "rod": mercury.rod}, 1.0, [])
    links = LinkMesh(model)
    coefficient = np.where(np.arange(len(links.left)) < links.inside, 1.0, 0.0)
    field = CellVariable(mesh=links, value=0.0)
    equation = DiffusionTerm(coeff=FaceVariable(mesh=links, value=coefficient)) == (
        ImplicitSourceTerm(coeff=0.0)
    )
    equation.cacheMatrix()
    equation.justResidualVector(field)
    direct = conduction_operator(mesh) - slant_operator(mesh)
    size = np.abs(direct).max()
    assert size > 0
    assert np.abs(equation.matrix.matrix - direct).max() <= 1e-12 * size
    assert np.abs(slant_operator(mesh)).max() > 0.01 * size


def clamped():
    return replace(case("earth-6mm"), clamp=Clamp(at=20e-3, conductance=0.05))


def bare_before_a_brick():
    setup = case("earth-6mm")
    return replace(setup, support="brick-behind", coat=replace(setup.coat, thickness=0.0))


JOINTS = {
    "wet coat": (partial(case, "mercury-3mm"), 0.7),
    "coat drying, clamp": (clamped, 4.0),
    "two metals, hot": (partial(case, "moon-3mm-through-hole"), 9.0),
    "brick behind, bare": (bare_before_a_brick, 20.0),
}


@pytest.mark.parametrize("name", list(JOINTS))
def test_heat_flows_as_in_the_model(monkeypatch, name):
    """Rates at the end of a step of FiPy's against the model's own at that state and time.

    The model linearises the surface's balance once, FiPy's sweeps solve it: 1e-4 is left for that.
    """
    monkeypatch.setattr(reference, "SETTLED_K", 1e-8)
    make, t = JOINTS[name]
    braze_model, y = scene_at(make(), t)
    run = ReferenceMarch(braze_model.heat, y, t, tolerance_K=math.inf)
    step = run.step(t + 0.02, 0.02)
    wanted = braze_model.heat.rates(step.t1, step.y1, np.empty_like(y))
    n = braze_model.mesh.cells
    for part in (slice(0, n), slice(n, -2), slice(-2, -1), slice(-1, None)):
        if wanted[part].size:
            size = np.abs(wanted[part]).max()
            assert np.abs(step.f1[part] - wanted[part]).max() <= 1e-4 * size
    assert np.array_equal(step.f0, braze_model.heat.rates(t, y, np.empty_like(y)))


def test_evaluations_are_the_sweeps_made_and_a_slope_a_step(mercury, monkeypatch):
    braze_model, y = scene_at(mercury, 0.0)
    run = ReferenceMarch(braze_model.heat, y)
    made, sweep = [], run._equation._equation.sweep
    monkeypatch.setattr(
        run._equation._equation,
        "sweep",
        lambda *args, **named: made.append(args) or sweep(*args, **named),
    )
    for steps in (1, 2):
        run.step(0.2 * steps)
        assert run.evaluations == len(made) + steps > steps


def test_slanted_faces_matter():
    """Without their correction the test above would fail: flows differ by a percent and more."""
    braze_model, y = scene_at(case("mercury-3mm"), 3.0)
    run = ReferenceMarch(braze_model.heat, y, 3.0, tolerance_K=math.inf)
    run._equation._slant = 0.0 * run._equation._slant
    step = run.step(3.02, 0.02)
    wanted = braze_model.heat.rates(step.t1, step.y1, np.empty_like(y))[: braze_model.mesh.cells]
    off = np.abs(step.f1[: braze_model.mesh.cells] - wanted).max()
    assert off > 0.01 * np.abs(wanted).max()


# -- steps


@pytest.fixture(scope="module")
def lamp(drilled):
    """A ball under a lamp, losing heat to the room: constant properties, no coat."""
    mesh = build_mesh(drilled, "quick", mirrored=True)
    solids = {"ball": ConstantSolid(30.0, 5e6), "rod": ConstantSolid(20.0, 4e6)}
    loads = [
        CosineLobeFlux(2e5, (1.0, 0.0, 0.0)),
        LinearLoss(60.0, 20.0),
        GreyLoss(0.8, 20.0),
    ]
    return HeatModel(mesh, solids, 2e3, loads)


def test_steps_are_of_second_order(monkeypatch, lamp):
    """Steps of one length against the explicit march at a tight tolerance, after 2 s."""
    monkeypatch.setattr(reference, "SETTLED_K", 1e-8)
    start = lamp.start(300.0)
    fine = March(lamp, start, tolerance_K=1e-4)
    while fine.t < 2.0:
        fine.step(2.0)
    lengths, errors = (0.5, 0.25, 0.125), []
    for length in lengths:
        run = ReferenceMarch(lamp, start, tolerance_K=math.inf)
        run.h = length
        while run.t < 2.0:
            run.step(2.0, length)
        errors.append(np.abs(lamp.temperatures(run.y) - lamp.temperatures(fine.y)).max())
    order = np.polyfit(np.log(lengths), np.log(errors), 1)[0]
    assert order >= 1.8, errors
    assert errors[-1] <= 0.05


def test_sweeps_that_do_not_settle_refuse_the_step(monkeypatch, mercury):
    """Two sweeps at most: steps are shortened until two are enough, and nothing is lost."""
    monkeypatch.setattr(reference, "MOST_SWEEPS", 2)
    braze_model, start = scene_at(mercury, 0.0)
    run = ReferenceMarch(braze_model.heat, start)
    while run.t < 0.5:
        run.step(0.5)
    assert run.refused > 0
    assert abs(ledger(braze_model.heat, start, run.y)) <= 1e-9


# -- ledger


def heated(setup, seconds, **other):
    """The ledger's residual after some seconds in the flame."""
    braze_model, start = scene_at(setup, 0.0)
    run = ReferenceMarch(braze_model.heat, start, **other)
    while run.t < seconds:
        run.step(seconds, 0.1)
    return ledger(braze_model.heat, start, run.y)


def test_ledger_closes(mercury):
    assert abs(heated(mercury, 1.0)) <= 1e-9


def test_ledger_tells_of_the_heat_that_a_loose_solver_loses(mercury):
    """FiPy's own tolerance, 1e-5 of the right-hand side, loses a thousand times what is allowed."""
    assert abs(heated(mercury, 1.0, solved=1e-5)) > 1e-6


# -- whole joints

EVERY_S = 0.25
DRYING_S, WHILE_DRYING_S, LATER_S = 12.0, 0.05, 0.5


class Stepped(simulation.Simulation):
    """A course in short steps, the same for both engines: 0.05 s for 12 s, then 0.5 s at most.

    Conductances and emissivities are taken over step by step, so that the length of the steps is
    part of the answer. Stations and ledger are read every quarter of a second from the dense
    output.
    """

    def __init__(self, braze_model, engine):
        super().__init__(braze_model, engine)
        self.read = {}
        self._inner, self.march.step = self.march.step, self._stepped

    def _stepped(self, until, longest):
        step = self._inner(until, longest)
        first, last = (math.floor(t / EVERY_S) for t in (step.t0, step.t1))
        for t in EVERY_S * np.arange(first + 1, last + 1):
            y = step.at(t)
            values = self._read(t, y)[: len(STATIONS), 0]
            self.read[float(t)] = np.concatenate([values, y[-2:, 0]])
        return step

    def _longest(self):
        short = WHILE_DRYING_S if self.march.t < DRYING_S else LATER_S
        return min(short, super()._longest())


THREE = {
    "3 mm": partial(case, "mercury-3mm"),
    "6 mm": partial(case, "earth-6mm"),
    "10 mm": lambda: to_setup(case_from_options(10.0, 3.0, "hand")),
}


def by_both(setup):
    """Courses of one joint by both engines at 0.1 K per step, up to the end of the flame."""
    found = []
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(simulation, "LEEWAY_LOOK_S", 0.0)
        for engine in (March, ReferenceMarch):
            braze_model = BrazeModel(setup, [setup.strategy], "quick")
            run = Stepped(braze_model, partial(engine, tolerance_K=0.1))
            run.heat()
            found.append(run)
    return found


@pytest.mark.parametrize("name", list(THREE))
def test_engines_agree_on_a_whole_heating(name):
    """Stations within 0.5 K or 0.1 %; marks, and the filling of every place of the gap, within
    0.1 s or 0.5 % of their time; heat gained and lost within 0.02 %, that of the filler, whose
    temperature is one step behind the walls', within 0.1 %.

    While filler enters, half a second, the gap's conductance leaps place by place and walls with
    it: then the times of filling are compared, not the stations.
    """
    ours, theirs = by_both(THREE[name]())
    marks, others = (run.columns[0].reached for run in (ours, theirs))
    assert {"entry", "filled", "flowed"} <= set(marks)
    assert set(marks) == set(others)
    for mark, t in marks.items():
        assert abs(others[mark] - t) <= max(0.1, 0.005 * t), mark
    since, other = (run.braze_model.history.filling.since[:, 0] for run in (ours, theirs))
    full = np.isfinite(since)
    assert full.any()
    np.testing.assert_array_equal(np.isfinite(other), full)
    assert np.all(np.abs(other - since)[full] <= np.maximum(0.1, 0.005 * since[full]))

    times = np.intersect1d(list(ours.read), list(theirs.read))
    assert len(times) >= ours.columns[0].off_s / EVERY_S - 2
    a, b = (np.array([run.read[t] for t in times.tolist()]) for run in (ours, theirs))
    np.testing.assert_allclose(b[-1, -2:], a[-1, -2:], rtol=2e-4)
    flowing = (times > marks["entry"] - 0.1) & (times < marks["flowed"] + 0.25)
    assert 0 < np.count_nonzero(flowing) < 8
    a, b = a[~flowing, :-2], b[~flowing, :-2]
    off = np.abs(a - b) / np.maximum(0.5, 1e-3 * np.abs(a))
    worst = np.unravel_index(np.argmax(off), off.shape)
    assert off[worst] <= 1.0, (STATIONS[worst[1]], times[~flowing][worst[0]], off.max(axis=0))
    assert np.any(a != b)
    heats = [
        run.braze_model.filler_heat.stored(run.braze_model.history.filler_states[0])
        for run in (ours, theirs)
    ]
    assert heats[0] > 0.0
    assert heats[1] == pytest.approx(heats[0], rel=1e-3)


def test_one_whole_braze_by_command(mercury):
    """From cold to wash by FiPy, each engine at its own tolerance."""
    path = str(CASES / "mercury-3mm.toml")
    done = CliRunner().invoke(
        brazeclock,
        ["heat", path, "--way", "near side", "--engine", "fipy", "--accuracy", "quick", "--json"],
    )
    assert done.exit_code == 0, done.stderr
    theirs, ours = json.loads(done.stdout), braze(mercury, "quick")
    assert (ours.engine, theirs["engine"]) == ("march", "fipy")
    assert abs(theirs["energy"]["residual"]) <= 1e-9
    for mine, other in zip(ours.stages, theirs["stages"], strict=True):
        assert mine.name == other["name"]
        for a, b in ((mine.time_s, other["time_s"]), (mine.seen_s, other["seen_s"])):
            assert (a is None) == (b is None)
            assert a is None or abs(b - a) <= max(0.1, 0.005 * a), mine.name
    assert theirs["stages"][-1]["time_s"] is not None


# -- manners


def test_one_column_only(mercury):
    strategies = [mercury.strategy, mercury.strategy]
    braze_model = BrazeModel(mercury, strategies, "quick")
    with pytest.raises(ValueError, match="2 columns: FiPy marches one at a time"):
        ReferenceMarch(braze_model.heat, braze_model.heat.start(20.0))


def test_unknown_engine_is_named_with_the_known_ones(mercury):
    with pytest.raises(ValueError, match="engine = 'other': must be one of march, fipy"):
        braze(mercury, "quick", engine="other")


def fresh(code, *arguments, **environment):
    """What a new interpreter prints."""
    done = subprocess.run(
        [sys.executable, "-W", "error", "-c", code, *arguments],
        capture_output=True,
        text=True,
        env=os.environ | environment,
    )
    assert done.returncode == 0, done.stderr
    return done.stdout.split()


def test_fipy_is_imported_where_it_is_asked_for():
    rooms = "thermo.heat, thermo.braze, thermo.study, thermo.files, thermo.show.card, thermo.cli"
    assert fresh(f"import sys, {rooms}; print('fipy' in sys.modules)") == ["False"]
    code = "import sys, thermo.heat.reference; print('fipy' in sys.modules)"
    assert fresh(code) == ["True"]


def test_fipy_is_imported_in_one_place():
    root = Path(thermo.__file__).parent
    lines = {
        str(path.relative_to(root))
        for path in root.rglob("*.py")
        for line in path.read_text(encoding="utf-8").splitlines()
        if line.strip().startswith(("import fipy", "from fipy"))
    }
    assert lines == {str(Path("heat", "reference.py"))}


def test_fipy_reads_neither_arguments_nor_environment():
    """Options of ours that it would take for its own, and another suite of solvers."""
    code = (
        "import os, sys, thermo.heat.reference, fipy;"
        "print(fipy.solvers.solver_suite, os.environ['FIPY_SOLVERS'], *sys.argv[1:])"
    )
    arguments = ["--cache-dir=x", "--petsc"]
    found = fresh(code, *arguments, FIPY_SOLVERS="petsc")
    assert found == ["scipy", "petsc", *arguments]


def test_the_command_line_is_given_back(monkeypatch):
    """The library reads it; what is left of it after is what was there."""
    given = ["brazeclock", "heat", "x.toml", "--engine", "fipy"]
    monkeypatch.setattr(sys, "argv", given)
    with _held_back():
        assert sys.argv == given[:1]
    assert sys.argv is given
