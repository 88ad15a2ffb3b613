"""Marching a heat model in time: adaptive steps with a dense output, and whole histories."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from thermo.heat.history import History
from thermo.heat.loads import Load
from thermo.heat.model import Floats, HeatModel
from thermo.heat.rkc import local_error, stages_for
from thermo.heat.solids import HIGHEST_C, LOWEST_C, SolidLike
from thermo.shape import Mesh

TOLERANCE_K = 0.1  # local error of a step, root mean square over the cells
LAYER_ERRS = 4.0  # times as much as the cells a thin layer may err, which answers at once (judged)
MOST_STAGES = 400
RESOLUTION_S = 1e-4  # of the time at which a value is reached


class MarchError(RuntimeError):
    """A run that cannot go on."""


@dataclass(frozen=True)
class Step:
    """One accepted step; state and slope at both ends.

    Attributes
    ----------
    t0, t1 : float
        [s]
    y0, y1, f0, f1 : (N, m) arrays
    """

    t0: float
    t1: float
    y0: Floats
    y1: Floats
    f0: Floats
    f1: Floats

    def at(self, t: float) -> Floats:
        """State inside the step by cubic Hermite interpolation."""
        h = self.t1 - self.t0
        s = (t - self.t0) / h
        return np.asarray(
            (1 + 2 * s) * (1 - s) ** 2 * self.y0
            + s * s * (3 - 2 * s) * self.y1
            + h * s * (1 - s) * ((1 - s) * self.f0 - s * self.f1)
        )

    def crossing(
        self,
        value: Callable[[float], float],
        level: float,
        within: tuple[float, float] | None = None,
    ) -> float:
        """Time in the step, or in a part of it, at which a value that was below a level reaches it.

        False position with the Illinois weight (Dowell & Jarratt, BIT 11 (1971) 168), to 0.1 ms.
        """
        low, high = within or (self.t0, self.t1)
        below, above = (value(t) - level for t in (low, high))
        if below >= 0.0:
            return low
        while high - low > RESOLUTION_S:
            t = high - above * (high - low) / (above - below)
            t = min(max(t, low + RESOLUTION_S / 2), high - RESOLUTION_S / 2)
            here = value(t) - level
            if here >= 0.0:
                high, above, below = t, here, below / 2
            else:
                low, below, above = t, here, above / 2
        return high


class March:
    """Adaptive stabilised explicit march of a model.

    Parameters
    ----------
    model : HeatModel
    y : (N, m) array
        State at the start.
    t : float
        [s]
    tolerance_K : float
        Local error allowed per step [K].
    """

    def __init__(
        self, model: HeatModel, y: Floats, t: float = 0.0, tolerance_K: float = TOLERANCE_K
    ) -> None:
        self.model, self.y, self.t, self.tolerance_K = model, y, t, tolerance_K
        self.h = 0.0
        self.steps = self.evaluations = self.refused = 0

    def step(self, until: float, longest: float = np.inf) -> Step:
        """Advance by one accepted step, not beyond `until` and not longer than `longest`.

        Raises
        ------
        MarchError
            If the state leaves the range of the tables or the step vanishes.
        """
        model, t0, y0 = self.model, self.t, self.y
        model.refresh(t0, y0, self._length(min(self.h, longest), until))
        f0 = model.rates(t0, y0, np.empty_like(y0))
        self.evaluations += 1
        h = self.h or self._first_step(f0)
        while True:
            h = min(h, longest, self._longest_stable())
            taken = self._length(h, until)
            last = t0 + taken >= until
            model.extrapolate(t0, taken)
            y1, f1 = self._try(t0, y0, f0, taken)
            error = self._error(y0, y1, f0, f1, taken)
            if error <= 1.0:
                break
            self.refused += 1
            h = taken * max(0.1, 0.8 * error ** (-1 / 3)) if np.isfinite(error) else taken / 10
            if h < 1e-9:
                raise MarchError(f"the step vanished at t = {t0:.3f} s")
        grown = taken * min(1.5, 0.9 * max(error, 1e-9) ** (-1 / 3))
        self.h = max(grown, h) if last else grown
        self.t, self.y = until if last else t0 + taken, y1
        self.steps += 1
        return Step(t0, self.t, y0, y1, f0, f1)

    def rewind(self, t: float, y: Floats) -> None:
        """Go on from another state; nothing of the last step's pace is kept."""
        self.model.discontinuity()
        self.t, self.y = t, y

    def _length(self, h: float, until: float) -> float:
        """Length of a step of h, not beyond `until` and leaving no sliver before it [s]."""
        return until - self.t if self.t + 1.01 * h >= until else h

    def _longest_stable(self) -> float:
        return (MOST_STAGES**2 - 1) / (1.54 * self.model.rate)

    def _try(self, t: float, y: Floats, f: Floats, h: float) -> tuple[Floats, Floats]:
        """State and slope at the end of a step."""
        stages = stages_for(h, self.model.rate)
        self.evaluations += stages
        return self.model.step(t, y, f, h, stages)

    def _first_step(self, f0: Floats) -> float:
        speed = float(np.max(np.abs(self._kelvin(f0)), initial=1e-6))
        return min(0.5, 2.0 / speed)

    def _kelvin(self, change: Floats) -> Floats:
        return np.asarray(self.model.dT_dH * change[: len(self.model.dT_dH)])

    def _coat(self, change: Floats) -> Floats:
        """Change of the layer, (C, m) [K]."""
        model = self.model
        return np.asarray(model.layer_dT_dE * change[model.mesh.cells : -2])

    def _error(self, y0: Floats, y1: Floats, f0: Floats, f1: Floats, h: float) -> float:
        with np.errstate(over="ignore", invalid="ignore"):
            error = local_error(y0, y1, f0, f1, h)
            coat = mean_square(self._coat(error)) / LAYER_ERRS**2
            worst = math.sqrt(max(mean_square(self._kelvin(error)), coat)) / self.tolerance_K
        if worst <= 1.0 and not self.model.tables.contain(y1[: self.model.mesh.cells]):
            raise MarchError(self._beyond(y1, self.t + h))
        return worst

    def _beyond(self, y: Floats, t: float) -> str:
        """Which metal leaves the tables, where and how far, and what to do."""
        mesh = self.model.mesh
        cell, T = self.model.tables.farthest(y[: mesh.cells])
        body = ("ball", "rod", "second ball")[mesh.body[cell]]
        height = mesh.full_centre[np.argmax(mesh.fold == cell), 2] - mesh.joint.mouth_z
        side = "above" if height >= 0.0 else "below"
        return (
            f"the {body} comes to {T:.0f} °C {1e3 * abs(height):.1f} mm {side} the mouth at "
            f"t = {t:.2f} s; metal is known from {LOWEST_C:.0f} to {HIGHEST_C:.0f} °C. "
            "Heat more gently: a smaller or cooler flame, or more distance"
        )


def mean_square(kelvin: Floats) -> float:
    """Mean square of the worst column of (k, m), 0 of nothing."""
    return float(np.einsum("nm,nm->m", kelvin, kelvin).max()) / max(len(kelvin), 1)


def march(
    mesh: Mesh,
    *,
    solids: dict[str, SolidLike],
    gap_conductance: ArrayLike,
    loads: Sequence[Load],
    start_C: float,
    times: Sequence[float],
    tolerance_K: float = 0.02,
) -> History:
    """March a joint under given loads and keep its state at given times.

    Parameters
    ----------
    mesh : Mesh
    solids : dict
        "ball" and "rod".
    gap_conductance : array_like
        Scalar, one per gap link (G, 1), or (G, m) with a last axis of columns;
        math.inf for perfect contact [W/m²K].
    loads : sequence of Load
        Their values may carry a last axis of columns.
    start_C : float
        [°C]
    times : sequence of float
        Increasing [s].
    tolerance_K : float
        Local error allowed per step [K].

    Returns
    -------
    History

    Raises
    ------
    ValueError
        If times do not increase from 0, or an input has the wrong range or shape.
    MarchError
        If the run cannot go on.

    References
    ----------
    B. P. Sommeijer, L. F. Shampine, J. G. Verwer, "RKC: an explicit solver for parabolic PDEs",
    J. Comput. Appl. Math. 88 (1998) 315-326: how time is stepped.

    Examples
    --------
    A brass ball on a steel rod under a lamp of 200 kW/m² from the side, the mesh one half of it:

    >>> from thermo import CosineLobeFlux, GreyLoss, Joint, build_mesh, get_solid, march
    >>> joint = Joint(3e-3, "blind", 1.3e-3, 1.8e-3, 1.2e-3, 30e-3)
    >>> history = march(
    ...     build_mesh(joint, "quick", mirrored=True),
    ...     solids={"ball": get_solid("brass"), "rod": get_solid("carbon-steel")},
    ...     gap_conductance=2000.0,
    ...     loads=[CosineLobeFlux(2e5, (1.0, 0.0, 0.0)), GreyLoss(0.8, 20.0)],
    ...     start_C=20.0,
    ...     times=[1.0, 5.0],
    ... )
    >>> front = history.at(point=(1.5e-3, 0.0, 0.0), body="ball")
    >>> bool(front[1] > front[0] > 20.0)
    True
    >>> bool(abs(history.residual[-1]) < 1e-9)
    True
    """
    wanted = np.asarray(times, dtype=float)
    if wanted.ndim != 1 or len(wanted) == 0 or not np.all(np.diff(wanted, prepend=0.0) >= 0):
        raise ValueError("times must be a list of increasing times from 0 on, in seconds")
    _check(mesh, solids, gap_conductance, start_C, tolerance_K)
    columns = _columns(mesh, gap_conductance, loads)
    model = HeatModel(mesh, solids, gap_conductance, loads, columns=columns)
    y = model.start(start_C)
    run = March(model, y, tolerance_K=tolerance_K)
    states = []
    for t in wanted:
        while run.t < t:
            run.step(until=float(t))
        states.append(run.y)
    return History(model, wanted, np.stack(states), y)


def _check(
    mesh: Mesh,
    solids: dict[str, SolidLike],
    gap_conductance: ArrayLike,
    start_C: float,
    tolerance_K: float,
) -> None:
    """ValueError for what cannot be marched."""
    if set(solids) != {"ball", "rod"}:
        raise ValueError(f"solids = {sorted(solids)}: give one for 'ball' and one for 'rod'")
    gap = np.asarray(gap_conductance, dtype=float)
    if not np.all(gap > 0):
        raise ValueError("gap_conductance must be above 0 everywhere, in W/m²K")
    if gap.ndim and (gap.ndim != 2 or gap.shape[0] not in (1, len(mesh.gap.area))):
        shape = f"({len(mesh.gap.area)}, 1) or ({len(mesh.gap.area)}, columns)"
        raise ValueError(f"gap_conductance has shape {gap.shape}: give a number or {shape}")
    if not LOWEST_C < start_C < HIGHEST_C:
        raise ValueError(f"start_C = {start_C}: must lie between {LOWEST_C} and {HIGHEST_C} °C")
    if not tolerance_K > 0:
        raise ValueError(f"tolerance_K = {tolerance_K}: must be above 0")


def _columns(mesh: Mesh, gap_conductance: ArrayLike, loads: Sequence[Load]) -> int:
    """Number of columns, from the last axes of conductance and loads."""
    gap = np.asarray(gap_conductance)
    sizes = {gap.shape[1] if gap.ndim == 2 else 1}
    sizes |= {load.terms(0.0, mesh.patches)[0].shape[1] for load in loads}
    sizes -= {1}
    if len(sizes) > 1:
        raise ValueError(f"loads and gap_conductance carry different columns: {sorted(sizes)}")
    return sizes.pop() if sizes else 1
