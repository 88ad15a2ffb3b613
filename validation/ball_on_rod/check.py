"""The same joint by our own mesh and march."""

from __future__ import annotations

import math
from functools import lru_cache
from pathlib import Path

import numpy as np

from thermo.heat import ConstantSolid, CosineLobeFlux, History, LinearLoss, march
from thermo.shape import Joint, build_mesh
from validation.checks import Computed, Floats, Row, read_columns

FOLDER = Path(__file__).parent
CASES = {"perfect_contact": math.inf, "zero_thickness_gap": 1e4}
R, ROD, FLOOR, FAR = 3e-3, 1.2e-3, 1e-3, 39e-3


def reference(case: str) -> dict[str, Floats]:
    """Columns of one reference solution."""
    return read_columns(FOLDER / f"ball_on_rod_{case}.csv")


def joint(hole_diameter: float = 2 * ROD) -> Joint:
    """The joint of the case, or one with a wider hole."""
    below = math.sqrt(R**2 - ROD**2)
    return Joint(2 * R, "blind", hole_diameter, 4e-3, 2 * ROD, FAR - below)


@lru_cache(maxsize=8)
def history(case: str, accuracy: str, mirrored: bool) -> History:
    """Our own run of one case at the times of its reference."""
    steel = ConstantSolid(30.0, 5e6)
    return march(
        build_mesh(joint(), accuracy, mirrored=mirrored),
        solids={"ball": steel, "rod": steel},
        gap_conductance=CASES[case],
        loads=[CosineLobeFlux(2.5e5, (1, 0, 0)), LinearLoss(60.0, 20.0)],
        start_C=20.0,
        times=list(reference(case)["time_s"]),
    )


def read(run: History, name: str) -> Floats:
    """The reading that a column stands for."""
    poles = {"front": (R, 0, 0), "back": (-R, 0, 0), "side": (0, R, 0), "top": (0, 0, R)}
    if name in poles:
        return run.at(point=poles[name], body="ball")
    if name == "rod10":
        return run.at(point=(0, 0, -13e-3), body="rod")
    place, where, body = name.split("_")
    if place == "gap":
        return run.gap(body=body, side=1 if where == "px" else -1)
    x = {"axis": 0.0, "px": ROD, "mx": -ROD}[where]
    return run.at(point=(x, 0, FLOOR), body=body)


def one_piece(row: Row) -> Computed:
    """R01."""
    run = history("perfect_contact", "normal", mirrored=True)
    return {name: read(run, name) for name in row.expected}


def with_a_gap(row: Row) -> Computed:
    """R03."""
    run = history("zero_thickness_gap", "normal", mirrored=True)
    return {name: read(run, name) for name in row.expected}


def ledger(row: Row) -> Computed:
    """R04."""
    run = history("perfect_contact", "normal", mirrored=True)
    return {
        "stored_J": run.stored_J,
        "loss_W": run.loss_W,
        "in_W": run.in_W,
        "absorbed_J": run.gained_J,
        "residual": run.residual,
    }


def differences(row: Row) -> Computed:
    """R06."""
    run = history("perfect_contact", "fine", mirrored=True)
    at = np.isin(run.times, row.along)
    return {
        "front minus back": (read(run, "front") - read(run, "back"))[at],
        "top minus floor": (read(run, "top") - read(run, "holebot_axis_ball"))[at],
    }


ROWS = {"R01": one_piece, "R03": with_a_gap, "R04": ledger, "R06": differences}
