"""The standard fire of ISO 834 as a load, and lumped bodies in it."""

from __future__ import annotations

import math

from thermo.constants import SIGMA, ZERO_C_K
from thermo.heat import HeatModel, March, SolidLike
from thermo.shape import Joint, build_mesh
from validation.checks import Floats
from validation.grids import Given
from validation.parts import mean_C


def fire_load(film: float, emissivity: float, start_C: float = 20.0) -> Given:
    """Convection and radiation from gas at start + 345 log10(8 t + 1), t in minutes.

    Source: EN 1991-1-2:2002 eq. (3.4), ISO 834.
    """

    def terms(t: float) -> tuple[float, float, float]:
        gas = start_C + 345.0 * math.log10(8.0 * t / 60.0 + 1.0)
        radiated = emissivity * SIGMA * (gas + ZERO_C_K) ** 4
        return film * gas + radiated, film, emissivity

    return Given(terms)


def in_the_fire(
    joint: Joint, metal: SolidLike, film: float, emissivity: float, times: Floats
) -> list[float]:
    """Mean temperature of a body of one piece after given times [°C]."""
    mesh = build_mesh(joint, cell=joint.ball_diameter / 6, mirrored=True)
    solids = {"ball": metal, "rod": metal}
    model = HeatModel(mesh, solids, math.inf, [fire_load(film, emissivity)])
    run, found = March(model, model.start(20.0), tolerance_K=0.5), []
    for t in times:
        while run.t < t:
            run.step(until=float(t))
        found.append(mean_C(model, run.y))
    return found
