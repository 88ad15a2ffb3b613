"""Run the braze on two meshes, with two steps and two numbers of modes, and store the numbers.

`python -m validation.finite_elements` writes `temperatures.csv`, `coldest_wall.csv` and
`convergence.csv` next to this file.
"""

from __future__ import annotations

import csv
import time
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from .case import FOLDER, Case, load_case
from .march import READINGS, March, Simulation
from .model import Model

BEYOND_C = 1.0  # marched past the last mark
TIMES = np.array([1.0, 2.0, 5.0, 10.0, 15.0, 20.0, 25.0, 30.0, 35.0, 40.0, 45.0])


@dataclass(frozen=True)
class Run:
    """How finely one run is made; see `build_section`, `Azimuth` and `March`."""

    name: str
    n: int
    modes: int
    step: float


REFERENCE = Run("reference", 8, 8, 0.1)
COARSER = (
    Run("coarse mesh", 4, 8, 0.1),
    Run("coarse mesh, long steps", 4, 8, 0.2),
    Run("coarse mesh, long steps, more modes", 4, 12, 0.2),
)


def main() -> None:
    """March every run and write what it gives."""
    case = load_case()
    courses = {run: _march(case, run) for run in (*COARSER, REFERENCE)}
    best = courses[REFERENCE]
    heads = ["time_s", *READINGS, "coldest_wall_C", "stored_J"]
    _write(FOLDER / "temperatures.csv", heads, _table(best))
    depths = [f"from_{depth * 1e3:g}_mm_s" for depth in case.from_mouth]
    passed = zip(case.marks_C, best.crossings(case.marks_C), strict=True)
    rows = ([f"{mark:g}", *_text(line, 4)] for mark, line in passed)
    _write(FOLDER / "coldest_wall.csv", ["coldest_wall_C", *depths], rows)
    heads = [f"at_{mark:g}_C_s" for mark in case.marks_C]
    heads += ["largest_difference_K", "ledger_J", "sweeps"]
    lines = [_line(case, run, simulation, best) for run, simulation in courses.items()]
    _write(FOLDER / "convergence.csv", ["run", "n", "modes", "step_s", *heads], lines)


def _march(case: Case, run: Run) -> Simulation:
    begin = time.perf_counter()
    simulation = March(Model(case, run.n, run.modes), run.step).run(case.marks_C[-1] + BEYOND_C)
    print(
        f"{run.name}: {simulation.times[-1]:.1f} s marched in {time.perf_counter() - begin:.0f} s"
    )
    return simulation


def _table(simulation: Simulation) -> Iterable[list[str]]:
    coldest = np.interp(TIMES, simulation.times, [c[0] for c in simulation.coldest])
    stored = np.interp(TIMES, simulation.times, simulation.stored_J)
    for t, readings, cold, heat in zip(TIMES, simulation.at(TIMES), coldest, stored, strict=True):
        yield [f"{t:g}", *_text(readings, 3), f"{cold:.3f}", f"{heat:.4f}"]


def _line(case: Case, run: Run, simulation: Simulation, best: Simulation) -> list[str]:
    """One row: times at the mouth, largest difference of a reading, and how the ledger closes."""
    passed = simulation.crossings(case.marks_C)[:, 0]
    apart = float(np.abs(simulation.at(TIMES) - best.at(TIMES)).max())
    ledger = simulation.stored_J[-1] - simulation.taken_J[-1]
    numbers = [*_text(passed, 4), f"{apart:.4f}", f"{ledger:.1e}", str(simulation.sweeps)]
    return [run.name, str(run.n), str(run.modes), f"{run.step:g}", *numbers]


def _text(values: Iterable[float], digits: int) -> list[str]:
    return [f"{value:.{digits}f}" for value in values]


def _write(path: Path, heads: Sequence[str], rows: Iterable[Sequence[str]]) -> None:
    with path.open("w", encoding="utf-8", newline="") as file:
        csv.writer(file, lineterminator="\n").writerows([heads, *rows])


if __name__ == "__main__":
    main()
