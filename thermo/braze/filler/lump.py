"""A body of one temperature that melts, as it nears a temperature that moves: exact.

    m dh/dt = G (T_e(t) - T(h))

T(h) is a line through points, so that within a piece of it T nears T_e as an exponential does.
However little the body holds, it never leaves what lies between its own temperature and those that
it nears.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from thermo.braze.filler.body import Points
from thermo.braze.filler.lead import enthalpy, near, temperature


class Line:
    """Temperature against enthalpy as a line through points, the first and last piece drawn out.

    Parameters
    ----------
    h, T : list of float
        Increasing [J/kg], [°C].

    Attributes
    ----------
    capacity : list of float
        Of each piece [J/kgK].
    points : Points
        The same, and where each piece ends.
    """

    def __init__(self, h: list[float], T: list[float]) -> None:
        self.h, self.T, last = h, T, len(h) - 1
        self.capacity = [(h[k + 1] - h[k]) / (T[k + 1] - T[k]) for k in range(last)]
        ends = (-math.inf, *h[1:-1]), (*h[1:-1], math.inf)
        self.points = Points(tuple(h), tuple(T), tuple(self.capacity), *ends)

    def temperature(self, h: float) -> float:
        """At an enthalpy [°C]."""
        return temperature(self.points, h)

    def enthalpy(self, T: float) -> float:
        """At a temperature [J/kg]."""
        return enthalpy(self.points, T)


@dataclass
class Lump:
    """A mass [kg] on its line."""

    line: Line
    mass: float

    def near(
        self, h: float, pull: float, begin: float, end: float, time: float
    ) -> tuple[float, list[tuple[float, float]]]:
        """Enthalpy at the end, and when points of the line were passed: (time [s], [J/kg]).

        Parameters
        ----------
        h : float
            At the beginning [J/kg].
        pull : float
            G, above 0 [W/K].
        begin, end : float
            T_e at the beginning and the end, straight in between [°C].
        time : float
            [s]
        """
        return near(self.line.points, self.mass, h, pull, begin, end, time)
