"""How fast the march is: beside its rivals, above its floor, with cells and with columns.

    python -m validation.speed

All figures of one table come from one run on one core, side by side; quote their ratios, not their
seconds. Rivals march one mesh and model to the same mark (filler enters the gap) and are compared
at the same error in that time, each at its own best step; the error is measured against a march of
a hundredth of the usual tolerance.
"""

from __future__ import annotations

import os

os.environ.setdefault("OMP_NUM_THREADS", "1")

import time
from collections.abc import Callable, Mapping
from dataclasses import replace
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from thermo.braze import Setup
from thermo.braze.model import BrazeModel
from thermo.braze.simulation import Simulation
from thermo.braze.stages import ENTRY, READY
from thermo.files import read_case, to_setup
from thermo.flame import Phase, Strategy, default_strategies
from thermo.heat import HeatModel, March, Readings, Step
from thermo.heat.fused import WIDTH, Plan, compiled, go_on, look_up, operate, room
from validation.implicit import ImplicitMarch

Floats = NDArray[np.float64]

CASE = Path(__file__).parents[1] / "cases" / "earth-6mm.toml"
EQUAL_S = 0.05  # error in the time of the filler's entry at which marches are compared
TOLERANCES_K = (0.2, 0.4, 0.6, 0.8, 1.2, 1.6, 2.4, 3.2, 4.8, 6.4, 9.6)


def main() -> None:
    """Print all tables."""
    setup = to_setup(read_case(CASE))
    strategies = default_strategies()
    print(f"case {CASE.name}; simulated seconds per second of one core, best of its runs\n")
    for name in ("near side", "round"):
        _rivals(replace(setup, strategy=strategies[name]))
    _filling(setup, strategies)
    _floor(setup)
    _cells(setup)
    for accuracy in ("normal", "quick"):
        _columns(setup, accuracy)
        _batch_floor(setup, accuracy)


def ready(
    setup: Setup, engine: Callable[..., March], tolerance_K: float, runs: int = 1
) -> tuple[float, float, March]:
    """Time at which filler can enter the gap, least wall time to get there, and the march."""
    strategy = setup.strategy
    best, found = np.inf, 0.0
    for _ in range(runs):
        braze_model = BrazeModel(setup, [strategy], "normal")
        simulation = Simulation(
            braze_model, lambda model, y: engine(model, y, tolerance_K=tolerance_K)
        )
        column = simulation.columns[0]
        began = time.perf_counter()
        while ENTRY not in column.reached:
            simulation.advance()
        best = min(best, time.perf_counter() - began)
        found = column.reached[ENTRY]
    return found, best, simulation.march


def _rivals(setup: Setup) -> None:
    """Marches at equal error, each at its own best tolerance."""
    exact, _, _ = ready(setup, March, 0.008)
    engines: dict[str, Callable[..., March]] = {"ours": March, "implicit": ImplicitMarch}
    try:
        from thermo.heat.reference import ReferenceMarch

        engines["FiPy"] = ReferenceMarch
    except ImportError:
        print("FiPy is not installed: left out")
    print(f"{setup.strategy.name}: filler enters at {exact:.3f} s; error allowed {EQUAL_S} s")
    heads = ("tolerance", "error", "steps", "evals", "sim s/s", "ours is")
    print(f"{'march':10}" + "".join(f"{head:>10}" for head in heads))
    ours = 0.0
    for name, engine in engines.items():
        tolerance, error, wall, march = _best(setup, engine, exact, runs=1 if name == "FiPy" else 3)
        pace = exact / wall
        ours = ours or pace
        print(
            f"{name:10}{tolerance:8.1f} K{error:9.3f}s{march.steps:10d}{march.evaluations:10d}"
            f"{pace:10.1f}{ours / pace:9.1f}x"
        )
    print()


def _best(
    setup: Setup, engine: Callable[..., March], exact: float, runs: int
) -> tuple[float, float, float, March]:
    """Loosest tolerance whose error is still within the bar."""
    best = None
    for tolerance in TOLERANCES_K:
        found, wall, march = ready(setup, engine, tolerance, runs)
        error = abs(found - exact)
        if best is None or (error <= EQUAL_S and wall < best[2]):
            best = tolerance, error, wall, march
        if error > 4 * EQUAL_S:
            break
    assert best is not None
    return best


class Dry(BrazeModel):
    """A scene whose filler neither warms nor flows."""

    def _feed(self, step: Step, look: Readings, ahead: float) -> None:
        """Leave the filler out."""


def _filling(setup: Setup, strategies: Mapping[str, Strategy]) -> None:
    """What the filler costs: until the gap is ready, with it and without."""
    print("until the gap is ready, with filler and without")
    for name in ("near side", "round"):
        walls = {}
        for kind in (BrazeModel, Dry):
            walls[kind] = min(
                _to_ready(kind(setup, [strategies[name]], "normal")) for _ in range(5)
            )
        print(f"{name:10} filler costs {walls[BrazeModel] / walls[Dry]:.2f} times")
    print()


def _to_ready(braze_model: BrazeModel) -> float:
    """Wall time until the whole gap can take filler [s]."""
    simulation = Simulation(braze_model, lambda model, y: March(model, y, tolerance_K=0.8))
    began = time.perf_counter()
    while READY not in simulation.columns[0].reached:
        simulation.advance()
    return time.perf_counter() - began


def _floor(setup: Setup) -> None:
    """Time of the bare stages: sparse product, table look-ups and vector updates alone."""
    _, wall, march = ready(setup, March, 0.8, runs=3)
    model, y = march.model, march.y
    n = model.mesh.cells
    flow = np.ones(model._operator.shape[1])
    stack, weights = np.ones((5, y.size)), np.ones(5)

    def stage() -> None:
        place = model.tables.locate(y[:n])
        model.tables.read(model.tables.T, model.tables.dT, *place)
        model.tables.read(model.tables.theta, model.tables.dtheta, *place)
        model._operator @ flow
        weights @ stack

    least = _least(stage, 2000)
    floor = least * march.evaluations
    print(f"floor: {march.evaluations} stages of {1e6 * least:.1f} us, {floor:.3f} s in all")
    print(f"ours: {wall:.3f} s, {wall / floor:.2f} times the floor\n")


def _cells(setup: Setup) -> None:
    """Wall time of ten simulated seconds against the number of cells."""
    print("ten seconds under the flame against cells (half mesh)")
    D, rows = setup.joint.ball_diameter, []
    for across in (17, 24, 32, 44, 60):
        braze_model = BrazeModel(setup, [setup.strategy], "normal", cell=D / across)
        braze_model.hold(0, braze_model.phases[0][0], 0.0)
        march = March(braze_model.heat, braze_model.start(), tolerance_K=0.8)
        began = time.perf_counter()
        while march.t < 10.0:
            step = march.step(10.0, 2.0)
            braze_model.update(step, braze_model.readings(step.t1, step.y1), 2.0)
        rows.append((braze_model.mesh.cells, time.perf_counter() - began))
        print(f"{rows[-1][0]:7d} cells {rows[-1][1]:8.3f} s")
    slope = np.polyfit(*np.log(np.array(rows)).T, 1)[0]
    print(f"grows as cells^{slope:.2f}\n")


def _columns(setup: Setup, accuracy: str) -> None:
    """Column-seconds per second against the width of the batch, flame held."""
    print(f"batch, {accuracy}, flame held 40 s")
    for width in (1, 2, 4, 8, 16, 32):
        wall, march = _held(setup, accuracy, width)
        print(f"{width:4d} columns {march.t * width / wall:8.0f} column-seconds per second")
    print()


def _held(setup: Setup, accuracy: str, width: int) -> tuple[float, March]:
    """Wall time of columns under a flame that is held, and their march, a second time [s]."""
    strategy = Strategy("forty seconds", [Phase("ball", until=40.0, longest=40.0)])
    for _ in range(2):
        braze_model = BrazeModel(setup, [strategy] * width, accuracy)
        simulation = Simulation(braze_model, lambda model, y: March(model, y, tolerance_K=0.8))
        began = time.perf_counter()
        simulation.heat()
        wall = time.perf_counter() - began
    return wall, simulation.march


def _batch_floor(setup: Setup, accuracy: str, width: int = 32) -> None:
    """A batch beside its bare stages, compiled: look-ups, sparse product and update alone."""
    wall, march = _held(setup, accuracy, width)
    model, y = march.model, march.y
    per = 1e6 / width
    assert model.fused is not None
    arrays = np.ones((4, len(model.fused.plan.scale), len(y) * WIDTH))
    floor = per * _least(lambda: bare_stage(model.fused.plan, arrays, np.ones(5)), 100)
    f = model.rates(march.t, y, np.empty_like(y))
    stages = [per * _stage(model, march.t, y, f)]
    model.fused = None
    stages.append(per * _stage(model, march.t, y, f))
    all_in = per * wall / march.evaluations
    print(f"{width} columns, {accuracy}, {model.mesh.cells} cells, in us a column and evaluation:")
    print(f"floor {floor:.2f}; all {all_in:.2f}, {all_in / floor:.2f} times the floor")
    print(f"a stage {stages[0]:.2f} compiled, {stages[1]:.2f} by whole arrays\n")


def _stage(model: HeatModel, t: float, y: Floats, f: Floats) -> float:
    """Time of a stage: what a step of more stages takes beyond one of few [s]."""
    few, many = (
        _least(lambda count=count: model.step(t, y, f, 1e-3, count), 20) for count in (10, 30)
    )
    return (many - few) / 20


@compiled
def bare_stage(plan: Plan, arrays: Floats, weights: Floats) -> None:
    """Look-ups of T and Θ, sparse product and update of all columns."""
    work, slope = room(plan, 2, 1), np.empty(arrays.shape[2])
    for block in range(len(plan.scale)):
        look_up(plan, block, arrays[0, block], work)
        operate(plan, work, slope)
        y, f, now, to = arrays[0, block], arrays[1, block], arrays[2, block], arrays[3, block]
        go_on(weights, y, f, now, to, slope)


def _least(work: Callable[[], object], times: int) -> float:
    """Least time of one call [s]."""
    best = np.inf
    for _ in range(5):
        began = time.perf_counter()
        for _ in range(times):
            work()
        best = min(best, (time.perf_counter() - began) / times)
    return best


if __name__ == "__main__":
    main()
