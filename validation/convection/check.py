"""Our correlations."""

from __future__ import annotations

import numpy as np

from thermo.constants import SIGMA, ZERO_C_K
from thermo.flame import (
    churchill_bernstein_cylinder,
    churchill_sphere_free,
    radiative_coefficient,
    sibulkin_sphere_front,
)
from thermo.heat import GreyLoss
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
    patches = build_grid([0.0, 1.0], sides=[(0, 1)]).patches
    a, _, e = (float(term[0, 0]) for term in GreyLoss(0.8, 20.0).terms(0.0, patches))
    loss = e * SIGMA * (row.along + ZERO_C_K) ** 4 - a
    return {"coefficient": radiative_coefficient(0.8, row.along, 20.0), "loss": loss / 1e3}


def front(row: Row) -> Computed:
    """H08."""
    return {"Nu": np.asarray(sibulkin_sphere_front(row.along, 0.72))}


def cylinder_by_library(row: Row) -> Computed:
    """H04 by the library."""
    from ht.conv_external import Nu_cylinder_Churchill_Bernstein

    return {"Nu": [Nu_cylinder_Churchill_Bernstein(Re=Re, Pr=0.72) for Re in row.along]}


def still_sphere_by_library(row: Row) -> Computed:
    """H06 by the library."""
    from ht.conv_free_immersed import Nu_sphere_Churchill

    return {"Nu": [Nu_sphere_Churchill(Pr=0.7, Gr=Gr) for Gr in row.along]}


ROWS = {"H04": cylinder, "H06": still_sphere, "H07": radiation, "H08": front}
LIBRARIES = {"H04": ("ht", cylinder_by_library), "H06": ("ht", still_sphere_by_library)}
