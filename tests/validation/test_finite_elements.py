"""One whole braze, nonlinear, against stored numbers of a finite-element run.

The problem, its solution and what came out are told in validation/finite_elements/README.md.
"""

from __future__ import annotations

import csv
import importlib
from types import ModuleType

import numpy as np
import pytest

from thermo.constants import SIGMA, ZERO_C_K
from validation.checks import read_columns
from validation.finite_elements.ours import Braze

ACCURACIES = ("quick", "normal")
BAR = 0.01


def finite_elements() -> list[ModuleType]:
    """Its march and its model, where scikit-fem is there."""
    pytest.importorskip("skfem", reason="needs the extra `validation`")
    return [importlib.import_module(f"validation.finite_elements.{m}") for m in ("march", "model")]


@pytest.fixture(scope="module")
def temperatures(folder):
    return read_columns(folder / "temperatures.csv")


@pytest.fixture(scope="module", params=ACCURACIES)
def braze(request, case):
    return Braze(case, request.param)


@pytest.fixture(scope="module")
def outcome(braze, temperatures):
    return braze.run(temperatures["time_s"], braze.coldest)


@pytest.fixture(scope="module")
def edge_times(braze):
    return braze.run(np.array([0.0]), braze.at_the_edge)[0]


def reference_times(case, folder, depth: float) -> np.ndarray:
    """When the coldest wall from a depth on passes each mark, straight between stored depths."""
    table = read_columns(folder / "coldest_wall.csv")
    assert tuple(table.pop("coldest_wall_C")) == case.marks_C
    assert len(table) == len(case.from_mouth) and depth <= case.from_mouth[-1]
    lines = np.stack(list(table.values()), axis=1)
    return np.array([np.interp(depth, case.from_mouth, line) for line in lines])


def test_stage_times(braze, outcome, case, folder):
    """Within 1 %, the gap being looked at from the same depth on: our lowest links' middle."""
    wanted = reference_times(case, folder, braze.lowest)
    np.testing.assert_allclose(outcome[0], wanted, rtol=BAR)


def test_stage_times_at_the_edge_of_the_mouth(edge_times, braze, case, folder):
    """The coldest place there is: within 1 % at normal, 1.5 % at quick."""
    bar = {"quick": 0.015, "normal": BAR}[braze.accuracy]
    np.testing.assert_allclose(edge_times, reference_times(case, folder, 0.0), rtol=bar)


@pytest.mark.parametrize("column", ["front_C", "back_C", "top_C", "rod_10mm_C"])
def test_temperatures_through_time(braze, outcome, temperatures, case, column):
    """Within 1 % of the rise above the room."""
    found = braze.read(outcome[1], column)
    rise = temperatures[column] - case.ambient_C
    np.testing.assert_allclose(found - case.ambient_C, rise, rtol=BAR)


def test_stored_heat(outcome, temperatures):
    """Within 0.5 %, and a ledger that closes."""
    np.testing.assert_allclose(outcome[1].stored_J, temperatures["stored_J"], rtol=0.005)
    assert np.abs(outcome[1].residual).max() < 1e-9


def test_coarser_finite_elements_say_the_same(folder):
    """Other mesh, steps and modes: 0.02 % in stage times; the reference closes its ledger."""
    with (folder / "convergence.csv").open(encoding="utf-8") as file:
        runs = list(csv.DictReader(file))
    marks = [key for key in runs[0] if key.startswith("at_")]
    times = np.array([[float(run[key]) for key in marks] for run in runs])
    assert len(runs) == 4 and len({(r["n"], r["modes"], r["step_s"]) for r in runs}) == 4
    np.testing.assert_allclose(times, np.broadcast_to(times[-1], times.shape), rtol=2e-4)
    assert abs(float(runs[-1]["ledger_J"])) < 1e-4


def test_finite_elements_as_stored(case, folder):
    """A coarse run to 100 °C gives the stored time within 0.1 %, and closes its ledger."""
    march, model = finite_elements()
    simulation = march.March(model.Model(case, n=3, modes=6), step=0.2).run(case.marks_C[0])
    wanted = reference_times(case, folder, 0.0)[0]
    assert simulation.crossings(case.marks_C[:1])[0, 0] == pytest.approx(wanted, rel=1e-3)
    assert simulation.taken_J[-1] == pytest.approx(simulation.stored_J[-1], rel=1e-5)


@pytest.mark.parametrize("surface_C", [20.0, 700.0])
def test_both_let_in_the_same_heat(braze, case, surface_C):
    """Power through the surface within 1e-4 of the 26.5 W that the cold part takes in."""
    model = finite_elements()[1].Model(case, n=3, modes=6)
    theirs = model.power(model.start() * (surface_C / case.ambient_C))
    patches, kelvin = braze.mesh.patches, surface_C + ZERO_C_K
    terms = [load.terms(0.0, patches) for load in braze.model.loads]
    flux = sum(a - b * surface_C - e * SIGMA * kelvin**4 for a, b, e in terms)
    assert theirs == pytest.approx(float(patches.area @ flux[:, 0]), abs=1e-4 * 26.5)
