"""The heat model: enthalpies of cells and layer, and how fast they change.

The state of one column is [cells | layer | gain, loss]: enthalpy per volume of each cell [J/m³],
enthalpy per area of the layer on each covered piece [J/m²], and the two sums of the ledger [J].
Columns march side by side. Conductances, loads and emissivities are taken as they stand at the
beginning of a step (`refresh`).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy import sparse

from thermo.heat.conduction import conduction_operator
from thermo.heat.loads import KELVIN, STEFAN_BOLTZMANN, Load
from thermo.heat.solids import SolidLike, Tables
from thermo.shape import Mesh

Floats = NDArray[np.float64]


@dataclass
class Layer:
    """A thin layer on some pieces of the surface, with its own enthalpy.

    Attributes
    ----------
    pieces : (C,) int array
        Covered pieces of the skin.
    mass : (C, 1) array
        Mass per area [kg/m²].
    enthalpy, temperature : (K,) arrays
        Table of T [°C] against specific enthalpy [J/kg], uniform in enthalpy.
    conductance : (C, 1) or (C, m) array
        From the layer to the metal [W/m²K]; may be changed between steps.
    """

    pieces: NDArray[np.int64]
    mass: Floats
    enthalpy: Floats
    temperature: Floats
    conductance: Floats

    def read(self, E: Floats) -> Floats:
        """Temperature of the layer from its enthalpy per area [°C]."""
        step = self.enthalpy[1] - self.enthalpy[0]
        x = (E / self.mass - self.enthalpy[0]) / step
        index = np.clip(x.astype(np.intp), 0, len(self.enthalpy) - 2)
        x -= index
        low = self.temperature[index]
        return low + x * (self.temperature[index + 1] - low)

    def store(self, T_C: float) -> Floats:
        """Enthalpy per area at a temperature, (C, 1) [J/m²]."""
        return self.mass * np.interp(T_C, self.temperature, self.enthalpy)


@dataclass(frozen=True)
class Sink:
    """A conductance from one cell to a body of fixed temperature, such as a clamp.

    Parameters
    ----------
    cell : int
    conductance : float
        [W/K]
    T_C : float
        [°C]
    """

    cell: int
    conductance: float
    T_C: float


class HeatModel:
    """Right-hand side of the march.

    Parameters
    ----------
    mesh : Mesh
    solids : dict
        SolidLike of "ball" and "rod".
    gap_conductance : array_like
        Scalar, (G, 1) or (G, m); infinite for perfect contact [W/m²K].
    loads : sequence of Load
    columns : int
        Runs marched side by side.
    layer : Layer, optional
    sinks : sequence of Sink
    """

    def __init__(
        self,
        mesh: Mesh,
        solids: dict[str, SolidLike],
        gap_conductance: ArrayLike,
        loads: Sequence[Load],
        *,
        columns: int = 1,
        layer: Layer | None = None,
        sinks: Sequence[Sink] = (),
    ) -> None:
        self.mesh, self.columns, self.layer, self.sinks = mesh, columns, layer, tuple(sinks)
        self.loads = list(loads)
        self.tables = Tables([solids["ball"], solids["rod"]], mesh.body)
        self.gap_conductance = np.asarray(gap_conductance, dtype=float)
        skin, n = mesh.skin, mesh.cells
        covered = np.array([], dtype=np.int64) if layer is None else layer.pieces
        bare = np.setdiff1d(np.arange(skin.pieces), covered)
        self.order = np.concatenate([covered, bare])  # pieces, covered ones first
        self.covered = len(covered)
        self.area = skin.area[self.order][:, None]
        self.depth = skin.depth[self.order][:, None]
        self.cell = skin.cell[self.order]
        self.size = n + self.covered + 2
        self._operator, self._unit_rate = _assemble(mesh, self.cell, self.area[:, 0])
        self._stack = np.empty((n + skin.pieces + len(mesh.gap.area), columns))
        self.rate = 0.0

    def start(self, T_C: ArrayLike) -> Floats:
        """State with all cells and the layer at one temperature, ledger at zero."""
        y = np.zeros((self.size, self.columns))
        n = self.mesh.cells
        T = np.broadcast_to(np.asarray(T_C, dtype=float), (n, self.columns))
        y[:n] = self.tables.enthalpy(np.array(T))
        if self.layer is not None:
            y[n:-2] = self.layer.store(float(T[0, 0]))
        return y

    def temperatures(self, y: Floats) -> Floats:
        """Temperature of every cell, (n, m) [°C]."""
        return self.tables.temperature(y[: self.mesh.cells])

    def stored(self, y: Floats) -> Floats:
        """Heat in cells and layer, of arbitrary zero, (m,) [J]."""
        n = self.mesh.cells
        heat = self.mesh.volume @ y[:n]
        return heat + self.area[: self.covered, 0] @ y[n:-2] if self.covered else heat

    def refresh(self, t: float, y: Floats) -> None:
        """Take over conductances and loads as they stand at the beginning of a step."""
        T = self.temperatures(y)
        gap = self.mesh.gap
        k_ball = self.tables.conductivity(T[gap.ball], gap.ball)
        k_rod = self.tables.conductivity(T[gap.rod], gap.rod)
        walls = gap.ball_depth[:, None] / k_ball + gap.rod_depth[:, None] / k_rod
        self._link = 1.0 / (walls + 1.0 / self.gap_conductance)
        self._half = self.depth / self.tables.conductivity(T[self.cell], self.cell)
        if self.layer is not None:
            c = self.covered
            self._cover = 1.0 / (1.0 / self.layer.conductance + self._half[:c])
        self._fixed = self._sum(t, moving=False)
        self._moves = any(load.moving for load in self.loads)
        self._set_rate(y)

    def rates(self, t: float, y: Floats) -> Floats:
        """Time derivative of the state, (N, m)."""
        n, c, s = self.mesh.cells, self.covered, len(self.cell)
        index, part = self.tables.locate(y[:n])
        T = self.tables.read(self.tables.T, self.tables.dT, index, part)
        stack = self._stack
        stack[:n] = self.tables.read(self.tables.theta, self.tables.dtheta, index, part)
        out = np.empty_like(y)
        into, gain = self._surface(t, T, y[n:-2], stack[n : n + s], out[n:-2])
        stack[n + s :] = self._link * (T[self.mesh.gap.ball] - T[self.mesh.gap.rod])
        flow = stack[:, 0] if self.columns == 1 else stack
        out[:n] = (self._operator @ flow).reshape(n, -1)
        loss = gain - into
        for sink in self.sinks:
            lost = sink.conductance * (T[sink.cell] - sink.T_C)
            out[sink.cell] -= lost / self.mesh.volume[sink.cell]
            loss = loss + lost
        out[-2], out[-1] = gain, loss
        return out

    def surface_temperature(self, t: float, y: Floats) -> Floats:
        """Temperature of each piece's outside (layer or metal) in the skin's order, (P, m) [°C]."""
        T = self.temperatures(y)
        a, b, e = self._sum_all(t)
        c = self.covered
        found = np.empty((len(self.cell), self.columns))
        found[c:] = self._bare(T[self.cell[c:]], a[c:], b[c:], e[c:])[1]
        if self.layer is not None:
            found[:c] = self.layer.read(y[self.mesh.cells : -2])
        return self.in_skin_order(found)

    def wall_temperature(self, y: Floats) -> tuple[Floats, Floats]:
        """Temperatures of hole wall and rod wall at each gap link, (G, m) [°C]."""
        T, gap = self.temperatures(y), self.mesh.gap
        flow = self._link * (T[gap.ball] - T[gap.rod])
        k_ball = self.tables.conductivity(T[gap.ball], gap.ball)
        k_rod = self.tables.conductivity(T[gap.rod], gap.rod)
        return (
            T[gap.ball] - flow * gap.ball_depth[:, None] / k_ball,
            T[gap.rod] + flow * gap.rod_depth[:, None] / k_rod,
        )

    def in_skin_order(self, values: Floats) -> Floats:
        """Values per piece in the model's order, given back in the skin's order."""
        out = np.empty_like(values)
        out[self.order] = values
        return out

    def _surface(
        self, t: float, T: Floats, E: Floats, into_metal: Floats, layer_rate: Floats
    ) -> tuple[Floats, Floats]:
        """Flux into the metal and the layer; returns net and gained heat of the whole skin [W]."""
        c = self.covered
        a, b, e, gain_a, gain_b = self._terms(t)
        under = T[self.cell]
        q, outside = self._bare(under[c:], a[c:], b[c:], e[c:])
        into_metal[c:] = q
        net = self.area[c:, 0] @ q
        gain = self.area[c:, 0] @ (gain_a[c:] - gain_b[c:] * outside)
        if self.layer is not None:
            outside = self.layer.read(E)
            kelvin = outside + KELVIN
            q = a[:c] - b[:c] * outside - e[:c] * STEFAN_BOLTZMANN * kelvin**4
            into_metal[:c] = self._cover * (outside - under[:c])
            layer_rate[:] = q - into_metal[:c]
            net = net + self.area[:c, 0] @ q
            gain = gain + self.area[:c, 0] @ (gain_a[:c] - gain_b[:c] * outside)
        return net, gain

    def _bare(self, under: Floats, a: Floats, b: Floats, e: Floats) -> tuple[Floats, Floats]:
        """Flux and surface temperature in series with the half cell, linearised once."""
        half = self._half[self.covered :]
        kelvin = under + KELVIN
        cube = e * STEFAN_BOLTZMANN * kelvin**3
        q = (a - b * under - cube * kelvin) / (1.0 + (b + 4.0 * cube) * half)
        return q, under + q * half

    def _terms(self, t: float) -> tuple[Floats, ...]:
        if not self._moves:
            return self._fixed
        moving = self._sum(t, moving=True)
        return tuple(x + y for x, y in zip(self._fixed, moving, strict=True))

    def _sum_all(self, t: float) -> tuple[Floats, Floats, Floats]:
        a, b, e, _, _ = self._terms(t)
        return a, b, e

    def _sum(self, t: float, *, moving: bool) -> tuple[Floats, ...]:
        """Terms a, b, e of all loads of one kind, and a, b of the gains among them."""
        total = [np.zeros((len(self.cell), self.columns)) for _ in range(5)]
        for load in self.loads:
            if load.moving == moving:
                a, b, e = (x[self.order] for x in load.terms(t, self.mesh.skin))
                for into, term in zip(total, (a, b, e), strict=False):
                    into += term
                if load.gain:
                    total[3] += a
                    total[4] += b
        return tuple(total)

    def _set_rate(self, y: Floats) -> None:
        """Bound on the fastest decay [1/s], for the number of stages."""
        _, diffusivity = self.tables.slopes(y[: self.mesh.cells])
        rate = float(self._unit_rate * diffusivity.max())
        if self.layer is not None:
            heat = np.gradient(self.layer.enthalpy, self.layer.temperature).min()
            cover = float(np.max(self._cover / (self.layer.mass * heat)))
            rate = max(rate, 2.0 * cover)
        self.rate = rate


def _assemble(mesh: Mesh, cell: NDArray[np.int64], area: Floats) -> tuple[sparse.csr_array, float]:
    """Operator from [Θ | flux into skin pieces | flux across gap links] to dH/dt, and the largest
    eigenvalue of its conduction part with perfect contact at unit diffusivity [1/m²]."""
    n, gap = mesh.cells, mesh.gap
    conduct = conduction_operator(mesh)
    pieces, links = len(cell), len(gap.area)
    skin = sparse.csr_array((area, (cell, np.arange(pieces))), shape=(n, pieces))
    ends = np.concatenate([gap.rod, gap.ball])
    both = np.concatenate([gap.area, -gap.area])
    number = np.arange(links)
    across = sparse.csr_array((both, (ends, np.concatenate([number, number]))), shape=(n, links))
    per_volume = sparse.diags_array(1.0 / mesh.volume)
    operator = sparse.csr_array(per_volume @ sparse.hstack([conduct, skin, across], format="csr"))
    pull = np.zeros((links,))
    pull[:] = 1.0 / (gap.ball_depth + gap.rod_depth)
    step = sparse.csr_array(
        (np.concatenate([pull, -pull]), (np.concatenate([number, number]),
         np.concatenate([gap.ball, gap.rod]))), shape=(links, n),
    )  # fmt: skip
    return operator, _largest(sparse.csr_array(per_volume @ (conduct + across @ step)))


def _largest(operator: sparse.csr_array) -> float:
    """Largest eigenvalue in size by power iteration, with a margin of 5 %."""
    x = np.random.default_rng(1).standard_normal(operator.shape[0])
    size = 0.0
    for _ in range(60):
        x = operator @ (x / np.linalg.norm(x))
        size = float(np.linalg.norm(x))
    return 1.05 * size
