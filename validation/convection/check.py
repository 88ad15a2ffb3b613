"""Our correlations."""

from __future__ import annotations

import numpy as np

from thermo.flame import (
    churchill_bernstein_cylinder,
    churchill_sphere_free,
    radiative_coefficient,
    sibulkin_sphere_front,
)
from thermo.heat import GreyLoss
from thermo.heat.loads import KELVIN, STEFAN_BOLTZMANN
from validation.checks import Computed, Row
from validation.grids import build_grid


def cylinder(row: Row) -> Computed:
    """H04."""
    return {"Nu": churchill_bernstein_cylinder(row.along, 0.72)}


def still_sphere(row: Row) -> Computed:
    """H06."""
    return {"Nu": churchill_sphere_free(0.7 * row.along, 0.7)}


def radiation(row: Row) -> Computed:
    """H07."""
    skin = build_grid([0.0, 1.0], sides=[(0, 1)]).skin
    a, _, e = (float(term[0, 0]) for term in GreyLoss(0.8, 20.0).terms(0.0, skin))
    loss = e * STEFAN_BOLTZMANN * (row.along + KELVIN) ** 4 - a
    return {"coefficient": radiative_coefficient(0.8, row.along, 20.0), "loss": loss / 1e3}


def front(row: Row) -> Computed:
    """H08."""
    return {"Nu": np.asarray(sibulkin_sphere_front(row.along, 0.72))}


ROWS = {"H04": cylinder, "H06": still_sphere, "H07": radiation, "H08": front}
