"""The course of a braze: marching, watching, and noting when marks and limits are passed."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from thermo.braze.limits import bounds
from thermo.braze.scene import Past, Scene
from thermo.braze.stages import marks
from thermo.braze.surroundings import Brick
from thermo.braze.watch import Floats, Trace, Watch
from thermo.flame import Phase
from thermo.heat import March, Step

LONGEST_STEP_S = 2.0
COOLING_STEP_S = 4.0
STEPS_PER_TURN = 10


@dataclass(frozen=True)
class Memory:
    """Everything needed to go on from one moment."""

    t: float
    y: Floats
    past: tuple[Past, Brick | None]
    reached: dict[str, float]
    instants: int


class Course:
    """Marches a scene and notes the time each mark and limit is first passed.

    Parameters
    ----------
    scene : Scene
    tolerance_K : float
        Local error allowed per step [K].

    Attributes
    ----------
    reached : dict
        Time at which each mark or limit was first passed [s].
    section : tuple or None
        Time and temperature of all cells when the gap was first ready to fill.
    """

    def __init__(self, scene: Scene, tolerance_K: float) -> None:
        self.scene = scene
        self.watch = Watch(scene)
        self.march = March(scene.model, scene.start(), tolerance_K=tolerance_K)
        scene.model.refresh(0.0, self.march.y)
        self.rising = {
            item.name: (self.watch.names.index(item.watched), item.level)
            for item in (*marks(scene.setup), *bounds(scene.setup))
        }
        self.reached: dict[str, float] = {}
        self.section: tuple[float, Floats] | None = None
        self.trace = Trace()
        self.trace.add(0.0, self._read(0.0, self.march.y))

    @property
    def temperatures(self) -> Floats:
        """Temperature of every cell now, column 0 [°C]."""
        return np.asarray(self.scene.model.temperatures(self.march.y)[:, 0])

    def heat(self, phase: Phase, until: Sequence[str], longest: float) -> None:
        """March under a phase until one of some marks is passed, or for the longest time [s]."""
        self.scene.hold(phase, self.march.t)
        end = self.march.t + longest
        step = LONGEST_STEP_S
        if phase.motion != "hold":
            step = min(step, phase.period / STEPS_PER_TURN)
        while self.march.t < end and not any(name in self.reached for name in until):
            self._advance(end, step, until)

    def cool(self, watched: str, level: float, longest: float) -> float | None:
        """March without flame until a watched temperature falls to a level; its time, or None."""
        self.scene.hold(None, self.march.t)
        column, end = self.watch.names.index(watched), self.march.t + longest
        if self.trace.values[-1][column] <= level:
            return self.march.t
        while self.march.t < end:
            step = self._advance(end, COOLING_STEP_S, ())
            if self.trace.values[-1][column] <= level:
                return step.crossing(lambda t, y: -float(self._read(t, y)[column]), -level)
        return None

    def remember(self) -> Memory:
        """Mark this moment, to come back to it."""
        return Memory(
            self.march.t,
            self.march.y,
            self.scene.remember(),
            dict(self.reached),
            len(self.trace.times),
        )

    def recall(self, memory: Memory) -> None:
        """Come back to a marked moment."""
        self.march.rewind(memory.t, memory.y)
        self.scene.recall(memory.past)
        self.reached = dict(memory.reached)
        self.trace.cut(memory.instants)

    def _advance(self, end: float, longest: float, until: Sequence[str]) -> Step:
        """One step, cut short where one of the marks `until` is passed inside it."""
        step = self.march.step(end, longest)
        look = self.scene.look(step.t1, step.y1)
        passed = self._passed(step, self.watch.read(look))
        stop = min((passed[name] for name in until if name in passed), default=step.t1)
        if stop < step.t1:
            step = step.until(stop)
            self.march.rewind(step.t1, step.y1)
            look = self.scene.look(step.t1, step.y1)
        self.reached |= {name: t for name, t in passed.items() if t <= stop}
        if self.section is None and "filled" in self.reached:
            at = step.at(min(self.reached["filled"], step.t1))
            self.section = self.reached["filled"], self.scene.model.temperatures(at)[:, 0]
        self.scene.update(step, look)
        self.trace.add(step.t1, self.watch.read(look))
        return step

    def _read(self, t: float, y: Floats) -> Floats:
        return self.watch.read(self.scene.look(t, y))

    def _passed(self, step: Step, values: Floats) -> dict[str, float]:
        """Marks and limits first passed in a step, and when."""
        found = {}
        for name, (column, level) in self.rising.items():
            if name not in self.reached and values[column] >= level:

                def value(t: float, y: Floats, column: int = column) -> float:
                    return float(self._read(t, y)[column])

                found[name] = step.crossing(value, level)
        return found
