"""The walls that filler lies on: which of them gives what it draws, and how they cool by it."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from thermo.braze.filler.body import Part
from thermo.braze.setup import Setup
from thermo.heat import Readings

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

ALIKE_WALLS_K = 1e-9  # walls so near the filler are alike: rounding


def part_of(setup: Setup) -> Part:
    """Ball and rod where filler draws heat from both, by their means at its liquidus.

    Parameters
    ----------
    setup : Setup
    """
    at_C = setup.filler.liquidus_C
    solids = setup.ball, setup.rod
    k = sum(float(solid.conductivity(at_C)) for solid in solids) / 2
    per_K = sum(float(solid.enthalpy(at_C)) for solid in solids) / 2 / (at_C - 20.0)
    return Part(
        k,
        k / per_K,
        math.pi * setup.joint.rod_radius**2,
        setup.joint.ball_volume * per_K,
        setup.ambient_C,
    )


def under(seats: Floats, readings: Readings) -> list[float]:
    """Mean temperature of the walls by the shares of filler's seats, (m, G), each column's [°C]."""
    walls = readings.hole + readings.rod
    found: list[float] = (np.einsum("mg,gm->m", seats, walls) / 2).tolist()
    return found


def giving(seats: Floats, readings: Readings, T: Floats, drawn: Floats, wet: Bools) -> Floats:
    """Share of each place on hole and rod, (2 G, m), in the heat that each column's filler draws.

    As it is hotter than the filler: none gives heat to what is hotter. Of heat that the filler
    gives, as it is colder. Filler that wets both walls is their bridge, and takes by halves.
    """
    lying = np.concatenate([seats.T, seats.T]) / 2
    hotter = np.concatenate([readings.hole, readings.rod]) - T
    given = lying * np.maximum(np.where(drawn > 0.0, hotter, -hotter), 0.0)
    total = given.sum(axis=0)
    alike = wet | (total <= ALIKE_WALLS_K)
    return np.where(alike, lying, given / np.where(alike, 1.0, total))
