"""The walls that filler lies on: which of them gives what it draws, and how they cool by it."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from thermo.braze.setup import Setup
from thermo.heat import Readings

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

ALIKE_WALLS_K = 1e-9  # walls so near the filler are alike: rounding


class Walls:
    """Ball and rod where filler draws heat from both, by their means at its liquidus.

    Parameters
    ----------
    setup : Setup
    """

    def __init__(self, setup: Setup) -> None:
        at_C = setup.filler.liquidus_C
        solids = setup.ball, setup.rod
        self._k = sum(float(solid.conductivity(at_C)) for solid in solids) / 2
        heat = sum(float(solid.enthalpy(at_C)) for solid in solids) / 2
        self._diffusivity = self._k * (at_C - 20.0) / heat
        self._section = math.pi * setup.joint.rod_radius**2
        self._ball_heat = setup.joint.ball_volume * heat / (at_C - 20.0)

    def answer(self, area: float, time: float) -> float:
        """What walls cool by under filler for a heat drawn from them for a time [K/W].

        That of a disc of radius a, evenly heated: 2 √(α t / π) / (π a² k) at first, 8 / (3 π² k a)
        in the end (Yovanovich, Handbook of Heat Transfer, ch. 3); it nears the latter as an
        exponential does (assumed), with the time at which the two are equal. With it the rod cools
        as a thin bar drawn from at one place, √(α t / π) / (k A) both ways (Carslaw & Jaeger,
        Conduction of Heat in Solids, 2.9), and the ball as a whole, t / C. Each gives half the
        heat, and the mean of both walls counts: a quarter of either. Too much only slows what
        filler takes within a step; too little makes heavy filler on a thin rod swing.
        """
        radius = math.sqrt(area / math.pi)
        lag = 16.0 * radius**2 / (9.0 * math.pi * self._diffusivity)
        disc = 8.0 / (3.0 * math.pi**2 * self._k * radius) * -math.expm1(-time / lag)
        rod = math.sqrt(self._diffusivity * time / math.pi) / (self._k * self._section)
        return disc + (rod + time / self._ball_heat) / 4.0


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
