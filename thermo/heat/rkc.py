"""Stabilised explicit Runge-Kutta-Chebyshev steps, second order.

Source: B. P. Sommeijer, L. F. Shampine, J. G. Verwer, "RKC: an explicit solver for parabolic PDEs",
J. Comput. Appl. Math. 88 (1998) 315-326: recurrence (2.3), coefficients (2.4)-(2.6), error
estimate (2.7).
"""

from __future__ import annotations

import math
from collections.abc import Callable
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Rates = Callable[[float, Floats, Floats], Floats]


def stages_for(step: float, rate: float) -> int:
    """Number of stages that keeps a step stable.

    Parameters
    ----------
    step : float
        Length of the step [s].
    rate : float
        Bound on the fastest decay [1/s].
    """
    return max(2, 1 + math.ceil(math.sqrt(1.0 + 1.54 * step * rate)))


@lru_cache(maxsize=512)
def coefficients(s: int) -> tuple[float, Floats, list[float]]:
    """Factor of the first stage; weights of every stage j = 2..s; places in the step.

    A row of weights is for y0, h f0, the two states in turns (Y(j-1) first where j is even) and
    h F(j-1); a place is that of stage j - 1.
    """
    w0 = 1.0 + 2.0 / (13.0 * s * s)
    T, dT, d2T = [1.0, w0], [0.0, 1.0], [0.0, 0.0]
    for j in range(2, s + 1):
        T.append(2 * w0 * T[j - 1] - T[j - 2])
        dT.append(2 * w0 * dT[j - 1] - dT[j - 2] + 2 * T[j - 1])
        d2T.append(2 * w0 * d2T[j - 1] - d2T[j - 2] + 4 * dT[j - 1])
    w1 = dT[s] / d2T[s]
    b = [0.0, 0.0] + [d2T[j] / dT[j] ** 2 for j in range(2, s + 1)]
    b[0] = b[1] = b[2]
    c = [0.0, 0.0] + [w1 * d2T[j] / dT[j] for j in range(2, s + 1)]
    c[1] = c[2] / dT[2]
    rows = []
    for j in range(2, s + 1):
        mu, nu = 2 * b[j] * w0 / b[j - 1], -b[j] / b[j - 2]
        slope = 2 * b[j] * w1 / b[j - 1]
        lead = -(1 - b[j - 1] * T[j - 1]) * slope
        states = (mu, nu) if j % 2 == 0 else (nu, mu)
        rows.append((1.0 - mu - nu, lead, *states, slope))
    return b[1] * w1, np.array(rows), c[1:s]


def take_step(rates: Rates, t: float, y: Floats, f: Floats, h: float, s: int) -> Floats:
    """One step of s stages from y, where f = rates(t, y).

    Parameters
    ----------
    rates : callable
        rates(t, y, out) writes the time derivative into out.
    t, h : float
        Start and length of the step [s].
    y, f : (N, m) arrays
    s : int

    Returns
    -------
    (N, m) array
        State at t + h.
    """
    first, rows, places = coefficients(s)
    weights = rows * [1.0, h, 1.0, 1.0, h]
    stack = np.empty((5, y.size))  # y0, f0, two states in turns, slope
    stack[0], stack[1] = y.ravel(), f.ravel()
    stack[2] = stack[0] + (first * h) * stack[1]
    stack[3] = stack[0]
    shaped = [row.reshape(y.shape) for row in stack]
    now, before = 2, 3
    for c, row in zip(places, weights, strict=True):
        rates(t + c * h, shaped[now], shaped[4])
        stack[before] = row @ stack
        now, before = before, now
    return shaped[now].copy()


def local_error(y0: Floats, y1: Floats, f0: Floats, f1: Floats, h: float) -> Floats:
    """Estimate of the step's error, 0.8 (y0 - y1) + 0.4 h (f0 + f1)."""
    return np.asarray((y0 - y1) * 0.8 + (f0 + f1) * (0.4 * h))
