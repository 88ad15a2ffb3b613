"""Two bodies across the gap; a snip of filler under constant power."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from thermo.heat import ConstantSolid, HeatModel, March
from thermo.shape import Joint, build_mesh
from validation.checks import Computed, Floats, Row
from validation.grids import Given, Run, build_grid


def two_bodies(row: Row) -> Computed:
    """C03."""
    joint = Joint(6e-3, "blind", 2.5e-3, 4e-3, 2.4e-3, 0.5e-3)
    mesh = build_mesh(joint, cell=1e-3)
    solids = {
        "ball": ConstantSolid(1e5, 0.4706 / joint.ball_volume),
        "rod": ConstantSolid(1e5, 0.9048 / joint.rod_volume),
    }
    model = HeatModel(mesh, solids, 0.3 / mesh.gap.area.sum(), [])
    start = model.start(np.where(mesh.body == 0, 700.0, 20.0)[:, None])
    run, found = March(model, start, tolerance_K=0.02), []
    for t in row.along:
        while run.t < t:
            run.step(until=float(t))
        T = model.temperatures(run.y)[:, 0]
        found.append(
            [np.average(T[mesh.body == b], weights=mesh.volume[mesh.body == b]) for b in (0, 1)]
        )
    return dict(zip(("ball", "rod"), np.array(found).T, strict=True))


class Snip:
    """Filler of 9000 kg/m³ with a melting range; only its product with the volume counts."""

    density, solid, liquid, latent, solidus_C, liquidus_C = 9000.0, 230.0, 300.0, 1.05e5, 605, 651

    def conductivity(self, T_C: ArrayLike) -> Floats:
        """Thermal conductivity [W/mK]."""
        return np.full_like(np.asarray(T_C, dtype=float), 100.0)

    def conductivity_integral(self, T_C: ArrayLike) -> Floats:
        """∫ k dT from 0 °C [W/m]."""
        return 100.0 * np.asarray(T_C, dtype=float)

    def enthalpy(self, T_C: ArrayLike) -> Floats:
        """Enthalpy per volume [J/m³]; in the range the mean of both specific heats."""
        T, low, high = np.asarray(T_C, dtype=float), self.solidus_C, self.liquidus_C
        between = (self.solid + self.liquid) / 2 + self.latent / (high - low)
        return self.density * (
            self.solid * np.minimum(T, low)
            + between * (np.clip(T, low, high) - low)
            + self.liquid * np.maximum(T - high, 0.0)
        )


def melting_snip(row: Row) -> Computed:
    """S05; two halves alike, their enthalpy at the times their temperature passes the marks."""
    snip, edge = Snip(), (5e-5 / 9000.0) ** (1 / 3)
    side = [0.0, edge]
    grid = build_grid(side, [0.0, edge / 2, edge], side, sides=[(0, 1)])
    run = Run(grid, snip, [Given(lambda t: (5.0 / edge**2, 0.0, 0.0))], 20.0)
    marks = [run.passes(level) for level in (snip.solidus_C, snip.liquidus_C, 700.0)]
    taken = (marks[1][1] - marks[0][1]) * edge**3
    return {
        "solidus": marks[0][0],
        "liquidus": marks[1][0],
        "700 °C": marks[2][0],
        "heat of melting": taken - 5e-5 * 265.0 * (snip.liquidus_C - snip.solidus_C),
    }


ROWS = {"C03": two_bodies, "S05": melting_snip}
