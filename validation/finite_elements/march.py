r"""The march: two-stage, second-order, diagonally implicit steps in the stored heat.

With :math:`\gamma = 1 - 1/\sqrt 2` (R. Alexander, SIAM J. Numer. Anal. 14 (1977) 1006: L-stable),

.. math:: S(U_1) + \gamma h L(U_1) = S(U_0), \qquad
          S(U_2) + \gamma h L(U_2) = S(U_0) - (1 - \gamma) h L(U_1).

Heat is stepped, not temperature: no latent heat can be jumped, and what a step stores is what
it lets in. Each stage is swept until no mode of any node changes by more than `SETTLED_K`.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import CubicSpline
from scipy.sparse.linalg import SuperLU

from .model import Model

Floats = NDArray[np.float64]

GAMMA = 1.0 - 1.0 / math.sqrt(2.0)
SETTLED_K = 1e-6
MOST_SWEEPS = 60
MANY_SWEEPS = 8  # then the factors are renewed
EARLY_S, EARLY_STEPS = 1.0, 10  # in the first second, steps are a tenth as long
READINGS = ("front_C", "back_C", "top_C", "rod_10mm_C")


@dataclass
class Simulation:
    """What is read at the end of every step.

    Attributes
    ----------
    times : list of float
        [s]
    readings : list of (4,) arrays
        In the order of `READINGS`.
    coldest : list of arrays
        Coldest wall of the gap from each depth of the case on [°C].
    stored_J, taken_J : lists of float
        Heat stored, and heat let in through the surface, since the start.
    sweeps : int
    """

    times: list[float] = field(default_factory=list)
    readings: list[Floats] = field(default_factory=list)
    coldest: list[Floats] = field(default_factory=list)
    stored_J: list[float] = field(default_factory=list)
    taken_J: list[float] = field(default_factory=list)
    sweeps: int = 0

    def crossings(self, marks_C: tuple[float, ...]) -> Floats:
        """Times at which the coldest wall passes each mark, (marks, depths) [s]."""
        T, t = np.array(self.coldest), np.array(self.times)
        return np.array([[np.interp(mark, column, t) for column in T.T] for mark in marks_C])

    def at(self, times: Floats) -> Floats:
        """Readings at given times by a cubic spline, (K, 4) [°C]."""
        return np.asarray(CubicSpline(self.times, np.array(self.readings))(times))


class Probe:
    """Readings of a model, each a weighting of nodes and modes."""

    def __init__(self, model: Model) -> None:
        self.model, joint = model, model.case.joint
        r, z = model.place
        latitude = np.arctan2(z, r)
        on_sphere = np.abs(np.hypot(r, z) - joint.ball_radius) < 1e-9
        outside = np.flatnonzero(on_sphere & ~model.in_rod)
        axis = np.flatnonzero((np.abs(r) < 1e-12) & model.in_rod)
        self._equator = _spline_weights(outside, latitude, 0.0, model.nodes)
        self._rod = _spline_weights(axis, z, joint.mouth_z - model.case.below_mouth, model.nodes)
        self._top = int(outside[np.argmax(latitude[outside])])
        self._opposite = (-1.0) ** model.azimuth.m
        self._round = np.cos(np.outer(model.azimuth.m, np.linspace(0.0, np.pi, 25)))
        self._deeper = [
            [
                _spline_weights(wall, z, joint.mouth_z + depth, model.nodes)
                for wall in (model.hole_wall, model.rod_wall)
            ]
            for depth in model.case.from_mouth
        ]
        self._above = [
            np.concatenate([w[z[w] > joint.mouth_z + d] for w in (model.hole_wall, model.rod_wall)])
            for d in model.case.from_mouth
        ]

    def read(self, U: Floats) -> tuple[Floats, Floats]:
        """Readings, and the coldest wall from each depth on [°C]."""
        front = self._equator @ U
        readings = np.array(
            [front.sum(), front @ self._opposite, U[self._top, 0], self._rod @ U[:, 0]]
        )
        coldest = [
            min(
                float((U[above] @ self._round).min()),
                *(float((weights @ U @ self._round).min()) for weights in edges),
            )
            for above, edges in zip(self._above, self._deeper, strict=True)
        ]
        return readings, np.array(coldest)


def _spline_weights(nodes: NDArray[np.int64], by: Floats, at: float, size: int) -> Floats:
    """Weights of nodes along a line that give the value of their cubic spline at a place."""
    order = nodes[np.argsort(by[nodes])]
    weights = np.zeros(size)
    weights[order] = CubicSpline(by[order], np.eye(len(order)))(at)
    return weights


class March:
    """Steps of one model.

    Parameters
    ----------
    model : Model
    step : float
        Length of a step [s].
    """

    def __init__(self, model: Model, step: float) -> None:
        self.model, self.step = model, step
        self._factors: list[SuperLU] = []
        self._for = 0.0

    def run(self, until_C: float, longest: float = 300.0) -> Simulation:
        """March from the start until the coldest wall at the mouth has passed a temperature."""
        model, probe, simulation = self.model, Probe(self.model), Simulation()
        U, t, taken = model.start(), 0.0, 0.0
        stored = model.evaluate(U)[0]
        zero = stored[:, 0].sum()
        while True:
            self._note(simulation, probe, t, U, 2 * np.pi * (stored[:, 0].sum() - zero), taken)
            if simulation.coldest[-1][0] > until_C:
                return simulation
            if t > longest:
                raise RuntimeError(f"the gap's coldest wall has not reached {until_C} °C in {t} s")
            h = self.step / EARLY_STEPS if t < EARLY_S - 1e-9 else self.step
            U, stored, let_in = self._advance(U, stored, h, simulation)
            t, taken = t + h, taken + let_in

    def _note(
        self, simulation: Simulation, probe: Probe, t: float, U: Floats, stored: float, taken: float
    ) -> None:
        readings, coldest = probe.read(U)
        simulation.times.append(t)
        simulation.readings.append(readings)
        simulation.coldest.append(coldest)
        simulation.stored_J.append(stored)
        simulation.taken_J.append(taken)

    def _advance(
        self, U: Floats, stored: Floats, h: float, simulation: Simulation
    ) -> tuple[Floats, Floats, float]:
        """State, heat stored and heat let in after one step."""
        middle, S, L = self._stage(U, stored, GAMMA * h, simulation)
        let_in = (1 - GAMMA) * h * self.model.power(middle)
        guess = U + (middle - U) / GAMMA
        end, S, _ = self._stage(guess, stored - (1 - GAMMA) * h * L, GAMMA * h, simulation)
        return end, S, let_in + GAMMA * h * self.model.power(end)

    def _stage(
        self, guess: Floats, wanted: Floats, delta: float, simulation: Simulation
    ) -> tuple[Floats, Floats, Floats]:
        """Solve S(U) + delta L(U) = wanted; returns U, S and L."""
        model, U = self.model, guess
        if delta != self._for:
            self._renew(U, delta)
        for sweep in range(MOST_SWEEPS):
            S, L = model.evaluate(U)
            simulation.sweeps += 1
            change = model.solve(self._factors, wanted - S - delta * L)
            if np.abs(change).max() < SETTLED_K:
                return U, S, L
            U = U + change
            if sweep % MANY_SWEEPS == MANY_SWEEPS - 1:
                self._renew(U, delta)
        raise RuntimeError(f"not settled after {MOST_SWEEPS} sweeps: {np.abs(change).max():.1e} K")

    def _renew(self, U: Floats, delta: float) -> None:
        self._factors, self._for = self.model.factors(U, delta), delta
