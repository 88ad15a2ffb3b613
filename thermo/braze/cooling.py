"""Cooling down: how fast the ball passes the range that hardens, where the rod may be held, when
the part can be touched.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from thermo.braze.model import BrazeModel
from thermo.braze.monitors import Trace
from thermo.matter import constant

Floats = NDArray[np.float64]

HARDENING_C = (700.0, 500.0)  # range over which the cooling rate is told
STEP = 0.06  # of what is left to cool, in one step
LOWEST_C, HIGHEST_C, GRID = -50.0, 900.0, 400
SHORTEST_S, LONGEST_STEP_S, LONGEST_S = 1.0, 60.0, 7200.0


@dataclass(frozen=True)
class Cooling:
    """What the part does after the flame is taken away, and the rod from the start.

    Attributes
    ----------
    rate_K_s : float or None
        Mean pace of the ball from 700 to 500 °C; None where it never was so hot [K/s].
    touch_s : float or None
        When the whole part has come down to what a hand bears; None where it was not cooled [s].
    from_mouth : (A,) array
        Places on the rod's axis, from the mouth of the hole [m].
    time_s : (T,) array
        Times [s].
    axis_C : (T, A) array
        Temperature there, from the start on [°C].
    """

    rate_K_s: float | None
    touch_s: float | None
    from_mouth: Floats
    time_s: Floats
    axis_C: Floats

    def too_hot_s(self, at: float) -> float | None:
        """When the rod gets too hot to hold at a distance from the mouth; None where never [s]."""
        simulation = np.array([np.interp(at, self.from_mouth, row) for row in self.axis_C])
        level = constant("hand", "hold").value
        if simulation.max() < level:
            return None
        k = int(np.argmax(simulation >= level))
        if k == 0:
            return float(self.time_s[0])
        both = slice(k - 1, k + 1)
        return float(np.interp(level, simulation[both], self.time_s[both]))

    @property
    def held_from(self) -> float | None:
        """Least distance from the mouth at which a hand bears the rod throughout [m]."""
        hottest = self.axis_C.max(axis=0)
        cool = np.flatnonzero(hottest < constant("hand", "touch").value)
        return float(self.from_mouth[cool[0]]) if len(cool) else None


def cooling(
    braze_model: BrazeModel,
    from_mouth: Floats,
    traces: list[Trace],
    column: int,
    off_s: float,
    y: Floats | None,
) -> Cooling:
    """How one column cools.

    Parameters
    ----------
    braze_model : BrazeModel
    from_mouth : (A,) array
        Places on the rod's axis that the traces tell of [m].
    traces : list of Trace
        Of heating, and of cooling where there was any.
    column : int
    off_s : float
        When the flame was taken away [s].
    y : (N, m) array or None
        State at the end of cooling; None where there was none.
    """
    heating = np.array(traces[0].times) <= off_s + 1e-9
    kept = np.concatenate([heating, *(np.arange(len(t.times)) > 0 for t in traces[1:])])
    times = np.concatenate([trace.times for trace in traces])[kept]
    axis = np.concatenate([np.array(trace.axis)[:, :, column] for trace in traces])[kept]
    rate, touch = None, None
    if y is not None:
        after = traces[-1].until(np.inf, column)
        rate = _rate(after["time_s"], after["ball_max_C"])
        rest, slow = _to_touch(braze_model, y, column, float(times[-1]))
        if slow[-1].max() <= constant("hand", "touch").value:
            touch = float(times[-1] + rest[-1])
        axis = np.concatenate([axis, slow[1:]])
        times = np.concatenate([times, times[-1] + rest[1:]])
    return Cooling(rate, touch, from_mouth, times, axis)


def _rate(t: Floats, T: Floats) -> float | None:
    """Mean pace from 700 to 500 °C [K/s]."""
    high, low = HARDENING_C
    if T[0] < high or T[-1] > low:
        return None
    passed = np.interp([-high, -low], -T, t)
    return (high - low) / float(passed[1] - passed[0])


def _to_touch(braze_model: BrazeModel, y: Floats, column: int, t0: float) -> tuple[Floats, Floats]:
    """Times from a state until a hand bears all of the part, and the rod's axis meanwhile.

    Ball and rod as a chain: ball one body, rod in it one, below it discs; steps in which the
    hottest loses a few per cent of what it has left. Within 3 % of the whole march, for bare parts.
    """
    chain = Chain(braze_model, column, t0)
    T = chain.mean(braze_model.heat.temperatures(y)[:, column])
    level = max(constant("hand", "touch").value, braze_model.setup.ambient_C + 1.0)
    t, times, axis = 0.0, [0.0], [T[chain.rod]]
    while T.max() > level and t < LONGEST_S:
        h, T = chain.step(T)
        t += h
        times.append(t)
        axis.append(T[chain.rod])
    return np.array(times), np.array(axis)


class Chain:
    """Ball, rod in it, rod's discs and a second ball as nodes in a row, for slow cooling.

    Parameters
    ----------
    braze_model : BrazeModel
    column : int
    t : float
        Whose gap conductance, and at what time [s], holds between ball and rod.

    Attributes
    ----------
    rod : (A,) int array
        Nodes of the rod below the mouth, nearest first.
    """

    def __init__(self, braze_model: BrazeModel, column: int, t: float) -> None:
        mesh, joint = braze_model.mesh, braze_model.setup.joint
        self._braze_model, self._volume = braze_model, mesh.volume
        _, first = np.unique(mesh.fold, return_index=True)
        height = np.round(mesh.full_centre[first, 2] / joint.ball_radius, 6)
        below = (mesh.body == 1) & (mesh.full_centre[first, 2] < joint.mouth_z)
        levels, place = np.unique(-height[below], return_inverse=True)
        self.rod = 2 + np.arange(len(levels))
        self._node = np.where(mesh.body == 1, 1, 0)
        self._node[below] = 2 + place
        self._node[mesh.body == 2] = 2 + len(levels)
        self._count = int(self._node.max()) + 1
        self._piece = self._node[mesh.patches.cell]
        z = np.concatenate([[joint.mouth_z], -levels * joint.ball_radius])
        self._per_k = np.pi * joint.rod_radius**2 / -np.diff(z)
        second, links = mesh.gap.second, braze_model.heat.now(t)[0][:, column]
        self._gap = float(mesh.gap.area[~second] @ links[~second])
        if second.any():
            depth = mesh.gap.ball_depth[second] + mesh.gap.rod_depth[second]
            self._per_k = np.append(self._per_k, mesh.gap.area[second] / depth)
        solids, grid = braze_model.heat.tables.solids, np.linspace(LOWEST_C, HIGHEST_C, GRID)
        share = np.array(
            [np.bincount(self._node, self._volume * (mesh.metal == i), self._count) for i in (0, 1)]
        )
        self._grid, self._share = grid, share
        self._heat = [np.gradient(solid.enthalpy(grid), grid) for solid in solids]
        self._k = [solid.conductivity(grid) for solid in solids]

    def mean(self, cells: Floats) -> Floats:
        """Mean of each node over its cells."""
        own = np.bincount(self._node, self._volume, self._count)
        return np.asarray(np.bincount(self._node, self._volume * cells, self._count) / own)

    def step(self, T: Floats) -> tuple[float, Floats]:
        """One step: its length [s] and the temperatures after.

        Linearly implicit Euler, extrapolated from one step and two halves to second order.
        """
        braze_model = self._braze_model
        capacity = self._mixed(self._heat, T)
        k = self._mixed(self._k, T) / self._share.sum(axis=0)
        link = np.append(self._gap, self._per_k * (k[1:-1] + k[2:]) / 2)
        loss, per_K = braze_model.loss(T[self._piece])
        lost, stiff = (np.bincount(self._piece, x, self._count) for x in (loss, per_K))
        for sink in braze_model.heat.sinks:
            node = self._node[sink.cell]
            lost[node] += sink.conductance * (T[node] - sink.T_C)
            stiff[node] += sink.conductance
        drop = np.diff(T)
        matrix = np.diag(stiff + np.append(link, 0.0) + np.append(0.0, link))
        matrix = matrix - np.diag(link, 1) - np.diag(link, -1)
        flow = np.append(link * drop, 0.0) - np.append(0.0, link * drop) - lost
        hottest = int(np.argmax(T))
        falls = float(abs(flow[hottest]) / capacity[hottest])
        h = STEP * (float(T[hottest]) - braze_model.setup.ambient_C) / max(falls, 1e-9)
        h = float(np.clip(h, SHORTEST_S, LONGEST_STEP_S))
        whole, half = (np.diag(capacity / part) + matrix for part in (h, h / 2))
        first = np.linalg.solve(half, flow)
        twice = first + np.linalg.solve(half, flow - matrix @ first)
        return h, T + 2.0 * twice - np.linalg.solve(whole, flow)

    def _mixed(self, tables: list[Floats], T: Floats) -> Floats:
        """A property of both metals over each node, times its volume."""
        first, second = (np.interp(T, self._grid, table) for table in tables)
        return np.asarray(self._share[0] * first + self._share[1] * second)
