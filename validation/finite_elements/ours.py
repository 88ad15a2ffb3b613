"""The same braze by our own mesh and march: flame held, room grey, gap of one conductance."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from thermo.braze.gap import edge_weights
from thermo.braze.surroundings import Flames
from thermo.flame import Phase
from thermo.heat import GreyLoss, HeatModel, History, March
from thermo.shape import build_mesh
from validation.finite_elements.case import Case

Floats = NDArray[np.float64]
LONGEST_S = 300.0


class Braze:
    """The braze of a case at one accuracy."""

    def __init__(self, case: Case, accuracy: str) -> None:
        self.case, self.accuracy = case, accuracy
        self.mesh = build_mesh(case.joint, accuracy, mirrored=True)
        flames = Flames([case.jet.torch], case.joint, self.mesh.patches, case.ambient_C)
        flames.hold(0, Phase("ball"), 0.0)
        self.model = HeatModel(
            self.mesh,
            {"ball": case.ball, "rod": case.rod},
            case.gap_conductance,
            [flames.held, GreyLoss(case.emissivity, case.ambient_C)],
        )
        self.annulus = np.flatnonzero(~self.mesh.gap.floor)

    @property
    def lowest(self) -> float:
        """Depth of the lowest links' middle below the mouth's edge, into the gap [m]."""
        return float(self.mesh.gap.z[self.annulus].min() - self.case.joint.mouth_z)

    def coldest(self, t: float, y: Floats) -> float:
        """Coldest wall of all links of the annulus [°C]."""
        return float(self.model.readings(t, y).colder[self.annulus].min())

    def at_the_edge(self, t: float, y: Floats) -> float:
        """Coldest wall, links and edge of the mouth, as a braze reads it [°C]."""
        found, mouth = self.model.readings(t, y), self.case.joint.mouth_z
        walls = [
            edge_weights(self.mesh, self.annulus, body, mouth) @ wall[self.annulus, 0]
            for body, wall in enumerate((found.hole, found.rod))
        ]
        return min(self.coldest(t, y), *(float(wall.min()) for wall in walls))

    def run(self, times: Floats, coldest: Callable[..., float]) -> tuple[Floats, History]:
        """Times at which the coldest wall passes the marks, and the states at given times."""
        march = March(self.model, self.model.start(self.case.ambient_C), tolerance_K=0.02)
        start, passed, states = march.y, [], []
        marks, wanted = list(self.case.marks_C), list(times)
        while marks or wanted:
            step = march.step(until=LONGEST_S)
            while wanted and wanted[0] <= step.t1:
                states.append(step.at(wanted.pop(0)))
            while marks and coldest(step.t1, step.y1) >= marks[0]:
                passed.append(step.crossing(lambda t, s=step: coldest(t, s.at(t)), marks.pop(0)))
            if march.t >= LONGEST_S:
                raise RuntimeError(f"after {LONGEST_S:g} s still waiting for {marks}")
        return np.array(passed), History(self.model, times, np.stack(states), start)

    def read(self, history: History, column: str) -> Floats:
        """The reading that a column of temperatures stands for [°C]."""
        R, below = self.case.joint.ball_radius, self.case.joint.mouth_z - self.case.below_mouth
        place, body = {
            "front_C": ((R, 0, 0), "ball"),
            "back_C": ((-R, 0, 0), "ball"),
            "top_C": ((0, 0, R), "ball"),
            "rod_10mm_C": ((0, 0, below), "rod"),
        }[column]
        return history.at(point=place, body=body)
