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

from thermo.heat.conditions import Conditions
from thermo.heat.conduction import conduction_operator
from thermo.heat.layer import Layer, Sink
from thermo.heat.loads import KELVIN, NOTHING, STEFAN_BOLTZMANN, Load
from thermo.heat.solids import SolidLike, Tables
from thermo.shape import Mesh

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Readings:
    """Temperatures of one instant [°C].

    Attributes
    ----------
    cells : (n, m) array
    hole, rod : (G, m) arrays
        Walls of hole and rod at each gap link.
    metal : (P, m) array
        The metal's surface at each piece, in the skin's order.
    layer : (C, m) array
        The layer on the pieces it covers.
    gap_flux : (G, m) array
        Heat flux across each link from ball to rod [W/m²].
    """

    cells: Floats
    hole: Floats
    rod: Floats
    metal: Floats
    layer: Floats
    gap_flux: Floats

    @property
    def colder(self) -> Floats:
        """Colder wall of each gap link, (G, m)."""
        return np.minimum(self.hole, self.rod)

    def outside(self, covered: NDArray[np.int64]) -> Floats:
        """Temperature of each piece's outside, the layer where it is covered, (P, m)."""
        if not len(covered):
            return self.metal
        found = self.metal.copy()
        found[covered] = self.layer
        return found


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
        self.tables = Tables([solids["ball"], solids["rod"]], mesh.metal, columns)
        self.gap_conductance = np.asarray(gap_conductance, dtype=float)
        skin, n = mesh.skin, mesh.cells
        covered = np.array([], dtype=np.int64) if layer is None else layer.pieces
        bare = np.setdiff1d(np.arange(skin.pieces), covered)
        self.order = np.concatenate([covered, bare])  # pieces, covered ones first
        self.covered = len(covered)
        self._area = skin.area[self.order]
        self.depth = skin.depth[self.order][:, None]
        self.cell = skin.cell[self.order]
        self.size = n + self.covered + 2
        self._operator, self._reach = _assemble(mesh, self.cell, self._area)
        self._look_up()
        self._stack = np.empty((n + skin.pieces + len(mesh.gap.area), columns))
        self._conditions = Conditions()
        self._moves = False
        self.source: Floats | None = None  # heat into the cells, kept through a step [W/m³]
        self._leapt: NDArray[np.bool_] | None = None
        self.rate = 0.0
        self.warming = np.zeros((n, columns))  # dT/dH of the cells [m³K/J]

    def _look_up(self) -> None:
        """One table of T for cells and layer, and where each boundary takes its temperature from.

        First the ball's side of the gap, the outside of every piece (layer, or cell where bare),
        the rod's side of the gap, then the cell under each covered piece: what flows across gap
        and layer is the difference of two slices. Places are those in the flat array of all
        columns, which are quicker to take than rows.
        """
        tables, n, c, gap = self.tables, self.mesh.cells, self.covered, self.mesh.gap
        self._scale, self._shift, self._T, self._dT = (
            tables.per_step,
            tables.offset,
            tables.T,
            tables.dT,
        )
        if self.layer is not None:
            ones = np.ones((1, self.columns))
            self._scale = np.concatenate([self._scale, self.layer.per_step * ones])
            self._shift = np.concatenate([self._shift, np.full((c, 1), len(self._T)) * ones])
            self._shift[n:] -= self.layer.first
            self._T = np.concatenate([self._T, self.layer.temperature])
            self._dT = np.concatenate([self._dT, self.layer.steps])
            self._quickest = 1.0 / (self.layer.mass * self.layer.least_capacity)
        outside = np.concatenate([n + np.arange(c), self.cell[c:]])
        edge = np.concatenate([gap.ball, outside, gap.rod, self.cell[:c]])
        self._edge = edge[:, None] * self.columns + np.arange(self.columns)

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
        return heat + self._area[: self.covered] @ y[n:-2] if self.covered else heat

    def refresh(self, t: float, y: Floats) -> None:
        """Take over conductances and loads as they stand at the beginning of a step."""
        c, tables = self.covered, self.tables
        index, part = tables.locate(y[: self.mesh.cells])
        k = tables.read(tables.k, tables.dk, index, part)
        half = self.depth / k[self.cell]
        walls = self._wall_resistances(k)
        cover = np.zeros((0, self.columns))
        if self.layer is not None:
            cover = 1.0 / (1.0 / self.layer.conductance + half[:c])
            half[:c] = 0.0
        link = 1.0 / (walls[0] + walls[1] + 1.0 / self.gap_conductance)
        links = np.concatenate([link, cover])
        self._conditions.take(t, [links, half, *self._terms(t, moving=False)], self._leapt)
        self._leapt = None
        self._moves = any(load.moving for load in self.loads)
        self.foresee(t, 0.0)
        self._set_rate(index, cover)

    def foresee(self, t: float, h: float) -> None:
        """Take over the moving loads as they will be from t on for h seconds."""
        if self._moves:
            self._conditions.foresee(t, h, lambda at: self._terms(at, moving=True))

    def jump(self) -> None:
        """Loads or conductances are about to change at once: no pace is carried over."""
        self._conditions.forget()

    def leap(self, links: NDArray[np.bool_]) -> None:
        """Some gap conductances, (G, m), are about to change at once: they carry no pace on."""
        self._leapt = links

    def rates(self, t: float, y: Floats, out: Floats) -> Floats:
        """Time derivative of the state, written into out, (N, m)."""
        n, s, c, g = self.mesh.cells, len(self.cell), self.covered, len(self.mesh.gap.area)
        place = y[:-2] * self._scale
        place += self._shift
        index = place.astype(np.intp)
        place -= index
        stack, tables = self._stack, self.tables
        stack[:n] = tables.read(tables.theta, tables.dtheta, index[:n], place[:n])
        every = tables.read(self._T, self._dT, index, place)
        T = every.take(self._edge)
        links, half, a, b, e, gain_a, gain_b = self._conditions.at(t)
        across = np.subtract(T[: g + c], T[g + s :], out=stack[n : n + g + c])
        across *= links
        into, outside = _balance(T[g : g + s], half, a, b, e)
        stack[n + g + c :] = into[c:]
        np.subtract(into[:c], across[g:], out=out[n:-2])
        outside *= gain_b
        gain = self._area @ (gain_a - outside)
        out[-2], out[-1] = gain, gain - self._area @ into
        column = stack[:, 0] if self.columns == 1 else stack
        out[:n] = (self._operator @ column).reshape(n, -1)
        if self.source is not None:
            out[:n] += self.source
        for sink in self.sinks:
            lost = sink.conductance * (every[sink.cell] - sink.T_C)
            out[sink.cell] -= lost / self.mesh.volume[sink.cell]
            out[-1] += lost
        return out

    def readings(self, t: float, y: Floats) -> Readings:
        """Temperatures of cells, walls, surface and layer at a time of the step."""
        n, c, gap = self.mesh.cells, self.covered, self.mesh.gap
        place = self.tables.locate(y[:n])
        T = self.tables.read(self.tables.T, self.tables.dT, *place)
        k = self.tables.read(self.tables.k, self.tables.dk, *place)
        link, half, cover, a, b, e, _, _ = self.now(t)
        flux = link * (T[gap.ball] - T[gap.rod])
        ball, rod = self._wall_resistances(k)
        under = T[self.cell]
        _, metal = _balance(under, half, a, b, e)
        layer = np.zeros((0, self.columns))
        if self.layer is not None:
            layer = self.layer.read(y[n:-2])
            metal[:c] = under[:c] + cover * (layer - under[:c]) * self.depth[:c] / k[self.cell[:c]]
        surface = np.empty_like(metal)
        surface[self.order] = metal
        return Readings(T, T[gap.ball] - flux * ball, T[gap.rod] + flux * rod, surface, layer, flux)

    def _wall_resistances(self, k: Floats) -> tuple[Floats, Floats]:
        """Half-cell resistances of hole wall and rod wall at each link, (G, m) [m²K/W]."""
        gap = self.mesh.gap
        return gap.ball_depth[:, None] / k[gap.ball], gap.rod_depth[:, None] / k[gap.rod]

    def now(self, t: float) -> list[Floats]:
        """Link, half-cell and cover conductances and the loads' terms at a time.

        The terms are a, b and e·σ of all loads, and a, b of the gains among them.
        """
        links, half, *terms = self._conditions.at(t)
        g = len(self.mesh.gap.area)
        return [links[:g], half, links[g:], *terms]

    def _terms(self, t: float, *, moving: bool) -> list[Floats]:
        """Terms a, b, e·σ of all loads of one kind, and a, b of the gains among them."""
        total = [np.zeros((len(self.cell), self.columns))] * 5
        for load in self.loads:
            if load.moving == moving:
                terms = [self._placed(x) for x in load.terms(t, self.mesh.skin)]
                if load.gain:
                    terms += terms[:2]
                for i, term in enumerate(terms):
                    if term is not NOTHING:
                        total[i] = total[i] + term
        total[2] = total[2] * STEFAN_BOLTZMANN
        return total

    def _placed(self, term: Floats) -> Floats:
        """A load's term in the model's order of pieces."""
        return term if len(term) == 1 else term.take(self.order, axis=0)

    def _set_rate(self, index: NDArray[np.intp], cover: Floats) -> None:
        """Kelvin per enthalpy, and a bound on the fastest decay [1/s]; by places in the tables."""
        tables = self.tables
        self.warming = tables.dT.take(index, mode="clip") * tables.per_step
        fastest = tables.dtheta.take(index, mode="clip")
        fastest *= tables.per_step
        fastest *= self._reach
        for sink in self.sinks:
            drawn = sink.conductance / self.mesh.volume[sink.cell]
            fastest[sink.cell] += drawn * self.warming[sink.cell]
        rate = float(fastest.max())
        if self.layer is not None:
            rate = max(rate, 2.0 * float((cover * self._quickest).max()))
        self.rate = rate


def _balance(base: Floats, half: Floats, a: Floats, b: Floats, e: Floats) -> tuple[Floats, Floats]:
    """Flux and outside temperature in series with the half cell, linearised once; e is e·σ.

    With no half cell in between (a layer) this is the flux at the base's own temperature.
    """
    kelvin = base + KELVIN
    cube = kelvin * kelvin
    cube *= kelvin
    cube *= e
    slope = 4.0 * cube
    slope += b
    slope *= half
    slope += 1.0
    cube *= kelvin
    q = a - b * base
    q -= cube
    q /= slope
    outside = q * half
    outside += base
    return q, outside


def _assemble(mesh: Mesh, cell: NDArray[np.int64], area: Floats) -> tuple[sparse.csr_array, Floats]:
    """Operator from [Θ | flux across gap links | flux into skin pieces] to dH/dt.

    With it, per cell, a bound on decay per diffusivity with perfect contact [1/m²] (Gershgorin, by
    columns).
    """
    n, gap = mesh.cells, mesh.gap
    conduct = conduction_operator(mesh)
    pieces, links = len(cell), len(gap.area)
    skin = sparse.csr_array((area, (cell, np.arange(pieces))), shape=(n, pieces))
    number = np.concatenate([np.arange(links), np.arange(links)])
    both = np.concatenate([gap.area, -gap.area])
    ends = np.concatenate([gap.rod, gap.ball])
    across = sparse.csr_array((both, (ends, number)), shape=(n, links))
    per_volume = sparse.diags_array(1.0 / mesh.volume)
    operator = sparse.csr_array(per_volume @ sparse.hstack([conduct, across, skin], format="csr"))
    operator.indices, operator.indptr = (  # half the memory to read at every stage
        x.astype(np.int32) for x in (operator.indices, operator.indptr)
    )
    contact = 1.0 / (gap.ball_depth + gap.rod_depth)
    drop = sparse.csr_array((np.concatenate([-contact, contact]), (number, ends)), shape=(links, n))
    unit = abs(sparse.csr_array(per_volume @ (conduct + across @ drop)))
    return operator, np.asarray(unit.sum(axis=0)).ravel()[:, None]
