"""Ball on a rod in a one-sided flux against two reference solutions.

The case, its provenance and the meaning of the columns are told in
validation/ball_on_rod/README.md.
"""

from __future__ import annotations

import csv
import math
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pytest

from thermo.heat import CosineLobeFlux, LinearLoss
from thermo.shape import Joint, build_mesh

FOLDER = Path(__file__).parents[2] / "validation" / "ball_on_rod"
CASES = {"perfect_contact": math.inf, "zero_thickness_gap": 1e4}
POLES = ("front", "back", "side", "top")
FLOOR = ("holebot_axis_ball", "holebot_axis_rod")
GAP = ("gap_px_ball", "gap_mx_ball", "gap_px_rod", "gap_mx_rod")
CORNERS = ("corner_px_ball", "corner_px_rod", "corner_mx_ball", "corner_mx_rod")
SMOOTH = (*POLES, *FLOOR, *GAP)


@dataclass(frozen=True)
class Level:
    """One accuracy: whether half the mesh is kept, most cells, and what it may be wrong by."""

    mirrored: bool
    cells: int
    percent: float
    kelvin: float

    def bound(self, reference: np.ndarray) -> np.ndarray:
        return np.maximum(self.percent / 100 * (reference - 20.0), self.kelvin)


LEVELS = {
    "quick": Level(False, 1000, 1.0, 0.4),
    "normal": Level(False, 4000, 0.4, 0.3),
    "fine": Level(True, 20000, 0.15, 0.15),
}


def reference(case: str) -> dict[str, np.ndarray]:
    """Columns of one reference solution."""
    with (FOLDER / f"ball_on_rod_{case}.csv").open(encoding="utf-8") as file:
        rows = list(csv.DictReader(file))
    return {name: np.array([float(row[name]) for row in rows]) for name in rows[0]}


@pytest.fixture(scope="module", params=[(a, c) for a in LEVELS for c in CASES])
def run(request, heated):
    """Level, reference and our own history of each accuracy and case."""
    accuracy, case = request.param
    level, wanted = LEVELS[accuracy], reference(case)
    below = math.sqrt(3e-3**2 - 1.2e-3**2)
    joint = Joint(6e-3, "blind", 2.4e-3, 4e-3, 2.4e-3, 39e-3 - below)
    mesh = build_mesh(joint, accuracy, mirrored=level.mirrored)
    loads = [CosineLobeFlux(2.5e5, (1, 0, 0)), LinearLoss(60.0, 20.0)]
    history = heated(mesh, loads, list(wanted["time_s"]), gap_conductance=CASES[case])
    return accuracy, level, wanted, history


def read(history, name: str) -> np.ndarray:
    """The reading that a column stands for."""
    R, r, floor = 3e-3, 1.2e-3, 1e-3
    poles = {"front": (R, 0, 0), "back": (-R, 0, 0), "side": (0, R, 0), "top": (0, 0, R)}
    if name in poles:
        return history.at(point=poles[name], body="ball")
    if name == "rod10":
        return history.at(point=(0, 0, -13e-3), body="rod")
    place, where, body = name.split("_")
    if place == "gap":
        return history.gap(body=body, side=1 if where == "px" else -1)
    x = {"axis": 0.0, "px": r, "mx": -r}[where]
    return history.at(point=(x, 0, floor), body=body)


@pytest.mark.parametrize("column", SMOOTH)
def test_temperatures(run, column):
    """quick 1 % of the rise or 0.4 K, normal 0.4 % or 0.3 K, fine 0.15 % or 0.15 K."""
    _, level, wanted, history = run
    error = np.abs(read(history, column) - wanted[column])
    assert np.all(error <= level.bound(wanted[column])), error


def test_temperature_of_the_rod(run):
    """On the rod's axis, 10 mm below the ball's pole."""
    _, level, wanted, history = run
    error = np.abs(read(history, "rod10") - wanted["rod10"])
    assert np.all(error <= level.bound(wanted["rod10"])), error


@pytest.mark.parametrize("column", CORNERS)
def test_corners(run, column):
    """The floor's rim is a re-entrant corner, where the field is not smooth: three times the
    bound of the smooth places."""
    _, level, wanted, history = run
    error = np.abs(read(history, column) - wanted[column])
    assert np.all(error <= 3.0 * level.bound(wanted[column])), error


def test_ledger(run):
    """Stored heat within 0.15 %, absorbed power within 0.01 %; loss within 0.2 % of the power."""
    _, _, wanted, history = run
    np.testing.assert_allclose(history.stored_J, wanted["stored_J"], rtol=1.5e-3)
    np.testing.assert_allclose(history.in_W, wanted["in_W"], rtol=1e-4)
    np.testing.assert_allclose(history.loss_W, wanted["loss_W"], atol=0.002 * 6.96753)
    assert np.abs(history.residual).max() <= 1e-9


def test_differences_that_cancel_the_mean_level(run):
    """Front minus back within 1 %; top minus the floor on the axis within 0.4 K."""
    _, level, wanted, history = run
    across = read(history, "front") - read(history, "back")
    np.testing.assert_allclose(across, wanted["front"] - wanted["back"], rtol=0.01)
    along = read(history, "top") - read(history, "holebot_axis_ball")
    expected = wanted["top"] - wanted["holebot_axis_ball"]
    np.testing.assert_allclose(along, expected, atol=level.kelvin)


def test_cells(run):
    _, level, _, history = run
    assert history.mesh.cells <= level.cells


def test_a_true_annulus_is_another_case(heated):
    """Which geometry is solved matters more than the numerical error: a hole 0.1 mm wider than
    the rod stores less heat (the gap holds none) and warms faster than one of no thickness."""
    below = math.sqrt(3e-3**2 - 1.2e-3**2)
    loads = [CosineLobeFlux(2.5e5, (1, 0, 0)), LinearLoss(60.0, 20.0)]
    front = []
    for hole in (2.4e-3, 2.5e-3):
        joint = Joint(6e-3, "blind", hole, 4e-3, 2.4e-3, 39e-3 - below)
        mesh = build_mesh(joint, "quick", mirrored=True)
        front.append(read(heated(mesh, loads, [40.0], gap_conductance=1e4), "front")[0])
    assert 1.0 < front[1] - front[0] < 9.0
