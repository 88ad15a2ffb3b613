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


@dataclass(frozen=True)
class Line:
    """Temperature against enthalpy as a line through points, the first and last piece drawn out.

    Attributes
    ----------
    h, T : list of float
        Increasing [J/kg], [°C].
    """

    h: list[float]
    T: list[float]

    def temperature(self, h: float) -> float:
        """At an enthalpy [°C]."""
        return between(h, self.h, self.T)

    def enthalpy(self, T: float) -> float:
        """At a temperature [J/kg]."""
        return between(T, self.T, self.h)


@dataclass(frozen=True)
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
        points, values = self.line.h, self.line.T
        rate, gone = (end - begin) / time, 0.0
        passed: list[tuple[float, float]] = []
        for _ in range(MOST_PASSAGES):
            off = begin + rate * gone - self.line.temperature(h)
            k = _piece(h, points, falling=(off or rate) < 0.0)
            slope = (points[k + 1] - points[k]) / (values[k + 1] - values[k])
            lag, left = self.mass * slope / pull, time - gone
            if off * rate < 0.0 and abs(off) >= NOTHING_K:  # it may meet what it nears, and turn
                left = min(left, lag * math.log1p(-off / (rate * lag)))
            rise = slope * _neared(left, lag, off, rate)
            low, high = _ends(k, points)
            if low <= h + rise <= high:
                gone, h = gone + left, h + rise
                if gone >= time:
                    break
                continue
            edge = low if rise < 0.0 else high
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


def between(x: float, points: list[float], values: list[float]) -> float:
    """The line's value at x."""
    k = _piece(x, points)
    rise = (values[k + 1] - values[k]) / (points[k + 1] - points[k])
    return values[k] + (x - points[k]) * rise


def _piece(x: float, points: list[float], *, falling: bool = False) -> int:
    """Which piece of a line through increasing points holds x; at a point, the one it goes to."""
    k = bisect_right(points, x) - 1
    if falling and k >= 0 and points[k] == x:
        k -= 1
    return min(max(k, 0), len(points) - 2)


def _ends(k: int, points: list[float]) -> tuple[float, float]:
    """Where a piece ends; the first and the last do on one side only."""
    low = -math.inf if k == 0 else points[k]
    return low, math.inf if k == len(points) - 2 else points[k + 1]
