"""A body of one temperature that melts, as it nears a temperature that moves: exact.

    m dh/dt = G (T_e(t) - T(h))

T(h) is a line through points, so that within a piece of it T nears T_e as an exponential does.
However little the body holds, it never leaves what lies between its own temperature and those that
it nears.
"""

from __future__ import annotations

import math
from bisect import bisect_right
from dataclasses import dataclass

HALVINGS = 50  # to find when a point of the line is passed
MOST_PASSAGES = 100  # of points, or turns, in one go
NOTHING_K = 1e-9


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
    low, high : list of float
        Where each piece ends; the first and the last do on one side only [J/kg].
    """

    def __init__(self, h: list[float], T: list[float]) -> None:
        self.h, self.T, self._last = h, T, len(h) - 1
        self.capacity = [(h[k + 1] - h[k]) / (T[k + 1] - T[k]) for k in range(self._last)]
        self.low, self.high = [-math.inf, *h[1:-1]], [*h[1:-1], math.inf]

    def temperature(self, h: float) -> float:
        """At an enthalpy [°C]."""
        k = self.piece(h)
        return self.T[k] + (h - self.h[k]) / self.capacity[k]

    def enthalpy(self, T: float) -> float:
        """At a temperature [J/kg]."""
        k = bisect_right(self.T, T, 1, self._last) - 1
        return self.h[k] + (T - self.T[k]) * self.capacity[k]

    def piece(self, h: float) -> int:
        """Which piece holds an enthalpy; at a point, the one above."""
        return bisect_right(self.h, h, 1, self._last) - 1


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
        line, rate, gone = self.line, (end - begin) / time, 0.0
        passed: list[tuple[float, float]] = []
        for _ in range(MOST_PASSAGES):
            k = line.piece(h)
            off = begin + rate * gone - line.T[k] - (h - line.h[k]) / line.capacity[k]
            if k > 0 and h == line.h[k] and (off or rate) < 0.0:
                k -= 1  # at a point, the piece it goes to
            slope = line.capacity[k]
            lag, left = self.mass * slope / pull, time - gone
            if off * rate < 0.0 and abs(off) >= NOTHING_K:  # it may meet what it nears, and turn
                left = min(left, lag * math.log1p(-off / (rate * lag)))
            rise = slope * _neared(left, lag, off, rate)
            if line.low[k] <= h + rise <= line.high[k]:
                gone, h = gone + left, h + rise
                if gone >= time:
                    break
                continue
            edge = line.low[k] if rise < 0.0 else line.high[k]
            gone += _when((edge - h) / slope, left, lag, off, rate)
            h = edge
            passed.append((gone, edge))
        return h, passed


def _neared(t: float, lag: float, off: float, rate: float) -> float:
    """What a lump with a lag has risen by after a time, for what was so far off and moves [K]."""
    share = -math.expm1(-t / lag)
    return off * share + rate * (t - lag * share)


def _when(rise: float, latest: float, lag: float, off: float, rate: float) -> float:
    """When it has come to a rise that it will have passed at the latest [s]."""
    low, high = 0.0, latest
    for _ in range(HALVINGS):
        t = (low + high) / 2
        low, high = (low, t) if abs(_neared(t, lag, off, rate)) >= abs(rise) else (t, high)
    return high
