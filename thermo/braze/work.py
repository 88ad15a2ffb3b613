r"""How much there is to compute in a braze, reckoned before it begins.

The flame is taken to stay as long as its phases allow. A phase of t seconds, its steps no longer
than h, takes about t / h steps, and every run `FIRST` short ones besides. A step of mean length h
takes :math:`s = 1 + \sqrt{1 + 1.54 \, h \, rate}` stages, `MOST_STAGES` at most: cells that are
thin and conduct well make many. Tests hold this to evaluations counted, within a factor of three.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from thermo.braze.simulation import LEEWAY_LOOK_S, LONGEST_STEP_S, STEPS_PER_TURN, Simulation
from thermo.flame import Phase
from thermo.heat.march import MOST_STAGES
from thermo.heat.rkc import stages_for

FIRST = 80
"""Steps that are short for accuracy's sake, most of them at the beginning (trial runs)."""
STEP_S, EVALUATION_S, CELL_S = 6e-4, 2e-5, 1.8e-8
"""Time that a step, an evaluation, and a cell of one take on a processor of 2020 (trial runs)."""
COARSE, SOONER = 0.45, 0.35
"""Cells of the coarse mesh over those of the usual one; how long members stay under the flame over
the longest that it may: it is taken away once the gap is full (trial runs)."""
SECOND_OPINION = 50.0
"""How many times longer FiPy takes (trial runs)."""


@dataclass(frozen=True)
class Work:
    """What a run has to do at most.

    Attributes
    ----------
    simulated_s : float
        Longest that the flame may stay, and what is looked at beyond [s].
    steps, evaluations : float
        Of the march, and of the heat model.
    cells : int
        Of all columns.
    slower : float
        Times longer than by our own march.
    """

    simulated_s: float
    steps: float
    evaluations: float
    cells: int
    slower: float = 1.0

    @property
    def seconds(self) -> float:
        """Time to compute it on one core, to a factor of three or so [s]."""
        each = EVALUATION_S + CELL_S * self.cells
        return self.slower * (self.steps * STEP_S + self.evaluations * each)

    def drawn(self, members: int) -> Work:
        """The same for so many members of each column, on the coarse mesh."""
        return replace(
            self,
            steps=SOONER * self.steps,
            evaluations=SOONER * self.evaluations,
            cells=round(COARSE * members * self.cells),
        )


def work_of(simulation: Simulation, slower: float = 1.0) -> Work:
    """What a course that has not begun has to do at most, cooling left out.

    Parameters
    ----------
    simulation : Simulation
    slower : float
        Times longer than by our own march.
    """
    phases = simulation.braze_model.phases
    longest = max(sum(phase.latest for phase in each) for each in phases) + LEEWAY_LOOK_S
    rate = simulation.march.model.rate
    fewest = 1.54 * rate * longest / MOST_STAGES**2
    steps = max(FIRST + max(_steps(each) for each in phases), fewest)
    stages = min(stages_for(longest / steps, rate), MOST_STAGES)
    braze_model = simulation.braze_model
    return Work(
        longest, steps, steps * (stages + 1), braze_model.mesh.cells * braze_model.columns, slower
    )


def _steps(phases: Sequence[Phase]) -> float:
    """Steps of the longest that these phases and the look beyond them allow."""
    times = [phase.latest for phase in phases]
    times[-1] += LEEWAY_LOOK_S
    return sum(t / _longest_step(phase) for t, phase in zip(times, phases, strict=True))


def _longest_step(phase: Phase) -> float:
    moves = phase.motion != "hold"
    return min(LONGEST_STEP_S, phase.period / STEPS_PER_TURN) if moves else LONGEST_STEP_S
