"""The heat model: enthalpies of cells and layer, and how fast they change.

The state of one column is [cells | layer | gain, loss]: enthalpy per volume of each cell [J/m³],
enthalpy per area of the layer on each covered piece [J/m²], and the two sums of the ledger [J].
Columns march side by side. Conductances, loads and emissivities are taken as they stand at the
beginning of a step (`refresh`) and carried on through it (`extrapolate`).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property, partial
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import ArrayLike, NDArray

from thermo.constants import SIGMA, ZERO_C_K
from thermo.heat.assembly import assemble
from thermo.heat.conditions import Conditions, Contact, Law, StepPolynomial
from thermo.heat.layer import Layer, Sink
from thermo.heat.loads import NOTHING, Load
from thermo.heat.plain import PlainPass
from thermo.heat.rkc import take_step
from thermo.heat.solids import HIGHEST_C, LOWEST_C, SolidLike, Tables
from thermo.shape import Mesh

if TYPE_CHECKING:
    from thermo.heat.batch import FusedPass

Floats = NDArray[np.float64]

FUSED_FROM = 4
"""Columns from which on they are led through a step by compiled code."""
WALLS, GAP, COAT, HALF, OUTSIDE, TERMS = range(6)
"""Parts of what is carried on: half cells at the gap's walls, the states that gap and layer follow,
half cells under the pieces, temperatures at which radiation is linearised, terms of the loads."""
LAWS = (
    Law(WALLS, WALLS + 1, (WALLS,)),
    Law(HALF, HALF + 1, (HALF,)),
    Law(TERMS, TERMS + 5, (TERMS + 1, TERMS + 2, TERMS + 4)),
)


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
    span : tuple of float
        Temperatures that no surface can leave, the coldest and hottest of start and surroundings:
        radiation is linearised within them [°C].

    Attributes
    ----------
    gap : Contact
        Conductance of the links and what it follows; may be replaced between steps.
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
        span: tuple[float, float] = (LOWEST_C, HIGHEST_C),
    ) -> None:
        self.mesh, self.columns, self.layer, self.sinks = mesh, columns, layer, tuple(sinks)
        self.loads = list(loads)
        self.tables = Tables([solids["ball"], solids["rod"]], mesh.metal, columns)
        self._span, fixed = span, np.asarray(gap_conductance, dtype=float)
        self.gap = Contact.fixed(fixed, len(mesh.gap.area), columns)
        patches, n = mesh.patches, mesh.cells
        covered = np.array([], dtype=np.int64) if layer is None else layer.pieces
        bare = np.setdiff1d(np.arange(patches.count), covered)
        self.order = np.concatenate([covered, bare])  # pieces, covered ones first
        self.covered = len(covered)
        self._area = patches.area[self.order]
        self.depth = patches.depth[self.order][:, None]
        self.cell = patches.cell[self.order]
        self.size = n + self.covered + 2
        self._operator, self._reach = assemble(mesh, self.cell, self._area, self.covered)
        self.plain = PlainPass(
            mesh, self.tables, layer, self._operator, self.cell, self.covered, self.sinks, columns
        )
        if layer is not None:
            self._quickest = 1.0 / (layer.mass * layer.least_capacity)
        self._conditions = Conditions(LAWS)
        self.law, self._raw = StepPolynomial(0.0, 0.0, np.zeros((1, 0, columns))), list[Floats]()
        self._moves, self._foreseen = False, (math.nan, 0.0)
        self.layer_dT_dE = np.zeros((self.covered, columns))  # dT/dE of the layer [m²K/J]
        self._drain = np.zeros((self.covered, columns))  # of the layer, at most [W/m²K]
        self._seen: tuple[Floats, tuple[NDArray[np.intp], Floats, Floats]] | None = None
        self.source: Floats | None = None  # heat into the cells, kept through a step [W/m³]
        self.rate = 0.0
        self.dT_dH = np.zeros((n, columns))  # dT/dH of the cells [m³K/J]

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

    def refresh(self, t: float, y: Floats, h: float = 0.0) -> None:
        """Take over conductances and loads as they stand at the beginning of a step of h."""
        c, layer = self.covered, self.layer
        index, T, k = self._look_at(y)
        self._seen = None
        outside = T.take(self.cell, axis=0)
        coat = np.zeros((0, self.columns))
        if layer is not None:
            E = y[self.mesh.cells : -2]
            outside[:c], coat = layer.read(E), layer.furthest
            self.layer_dT_dE = layer.slope(E)
        ball, rod = self._wall_resistances(k)
        parts = [ball + rod, self.gap.state, coat]
        terms = [term[0] for term in self._terms((t,), moving=False)]
        self._conditions.take(t, [*parts, self.depth / k[self.cell], outside, *terms])
        self._moves = any(load.moving for load in self.loads)
        self._foreseen = math.nan, 0.0
        self.extrapolate(t, h)
        self._set_rate(index)

    def extrapolate(self, t: float, h: float) -> None:
        """Take over conductances and loads as they will be from t on for h seconds.

        Radiation is linearised at the temperatures that the surface will have at its last pace.
        """
        if (t, h) == self._foreseen:
            return
        self._foreseen = t, h
        moving = partial(self._terms, moving=True) if self._moves else None
        parts = self._conditions.parts(self._conditions.extrapolate(t, h, moving))
        half, T, a, b, e, gain_a, gain_b = parts[HALF:]
        links, cover = self._contacts(parts)
        if self.covered:
            half[:, : self.covered] = 0.0
        np.maximum(T, self._span[0], out=T)
        np.minimum(T, self._span[1], out=T)
        a, b = a + gain_a, b + gain_b
        self._raw = [links, half, cover, a, b, e, gain_a, gain_b]
        push, pull = in_series(T, half, a, b, e)
        self._drain = (2.0 * cover + pull[:, : self.covered]).max(axis=0)
        shaded = gain_b * half
        law = [links, cover, push, gain_a - shaded * push, pull, gain_b - shaded * pull]
        self.law = StepPolynomial(t, h, np.concatenate(law, axis=1))

    def _contacts(self, parts: list[Floats]) -> tuple[Floats, Floats]:
        """Conductances of links and of layer with half cell, by the states carried on.

        Between a step's ends each goes straight, (k, G, m), (k, C, m).
        """
        count = len(parts[WALLS])
        walls, gap, coat, half = (part[:: max(count - 1, 1)] for part in parts[: HALF + 1])
        links, cover = 1.0 / (walls + 1.0 / self.gap.law(gap)), coat
        if self.layer is not None:
            cover = 1.0 / (1.0 / self.layer.conducts(coat) + half[:, : self.covered])
        return _between(links, count), _between(cover, count)

    def discontinuity(self) -> None:
        """Loads or conductances are about to change at once: no pace is carried over."""
        self._conditions.forget()

    def rates(self, t: float, y: Floats, out: Floats) -> Floats:
        """Time derivative of the state, written into out, (N, m)."""
        way = self.fused or self.plain
        return way.rates(t, y, self.law, self.source, out)

    def step(self, t: float, y: Floats, f: Floats, h: float, s: int) -> tuple[Floats, Floats]:
        """One step of s stages from t, where f = rates(t, y): state and rates at its end."""
        if self.fused is not None:
            return self.fused.step(t, y, f, h, s, self.law, self.source)
        y1 = take_step(self.rates, t, y, f, h, s)
        return y1, self.rates(t + h, y1, np.empty_like(y1))

    @cached_property
    def fused(self) -> FusedPass | None:
        """The compiled way, for so many columns that it is worth while; None without numba.

        A numba that does not go with this numpy is as good as none: the plain way gives the same.
        None, too, for a model that has its own way to its rates.
        """
        if self.columns < FUSED_FROM or type(self).rates is not HeatModel.rates:
            return None
        try:
            from thermo.heat.batch import FusedPass  # brings numba: a single column does without
        except ImportError:
            return None
        return FusedPass(self.plain)

    def readings(self, t: float, y: Floats) -> Readings:
        """Temperatures of cells, walls, surface and layer at a time of the step."""
        n, c, gap = self.mesh.cells, self.covered, self.mesh.gap
        _, T, k = self._look_at(y)
        links, s = len(gap.area), len(self.cell)
        law = self.law.at(t)
        between, push, pull = law[: links + c], law[links + c :], law[links + c + 2 * s :]
        flux = between[:links] * (T[gap.ball] - T[gap.rod])
        ball, rod = self._wall_resistances(k)
        under, layer = T.take(self.cell, axis=0), np.zeros((0, self.columns))
        into = push[:s] - pull[:s] * under
        if self.layer is not None:
            layer = self.layer.read(y[n:-2])
            into[:c] = between[links:] * (layer - under[:c])
        surface = np.empty_like(under)
        surface[self.order] = under + into * self.depth / k.take(self.cell, axis=0)
        return Readings(T, T[gap.ball] - flux * ball, T[gap.rod] + flux * rod, surface, layer, flux)

    def _look_at(self, y: Floats) -> tuple[NDArray[np.intp], Floats, Floats]:
        """Places in the tables, temperatures and conductivities of the cells, (n, m) each.

        Kept from a step's end, where they are read, to the next step's beginning.
        """
        if self._seen is None or self._seen[0] is not y:
            tables = self.tables
            index, part = tables.locate(y[: self.mesh.cells])
            T = tables.read(tables.T, tables.dT, index, part)
            k = tables.read(tables.k, tables.dk, index, part)
            self._seen = y, (index, T, k)
        return self._seen[1]

    def _wall_resistances(self, k: Floats) -> tuple[Floats, Floats]:
        """Half-cell resistances of hole wall and rod wall at each link, (G, m) [m²K/W]."""
        gap = self.mesh.gap
        return gap.ball_depth[:, None] / k[gap.ball], gap.rod_depth[:, None] / k[gap.rod]

    def now(self, t: float) -> list[Floats]:
        """Link conductances, half cells, cover conductances and the loads' terms at a time.

        The terms are a, b and e·σ of all loads, and a, b of the gains among them.
        """
        return [StepPolynomial(*self._foreseen, part).at(t) for part in self._raw]

    def _terms(self, times: Sequence[float], *, moving: bool) -> list[Floats]:
        """Terms a, b of losses, e·σ of all, and a, b of gains, loads of one kind, (k, s, m)."""
        total = [NOTHING] * 5
        for load in self.loads:
            if load.moving == moving:
                each = [load.terms(t, self.mesh.patches) for t in times]
                terms = [self._placed(term) for term in zip(*each, strict=True)]
                if load.gain:
                    terms = [NOTHING, NOTHING, terms[2], *terms[:2]]
                for i, term in enumerate(terms):
                    if term is not NOTHING:
                        total[i] = term if total[i] is NOTHING else total[i] + term
        total[2] = total[2] * SIGMA
        shape = len(times), len(self.cell), self.columns
        return [x if x.shape == shape else np.broadcast_to(x, shape) for x in total]

    def _placed(self, term: Sequence[Floats]) -> Floats:
        """A load's term at some times in the model's order of pieces."""
        if term[0] is NOTHING:
            return NOTHING
        found = np.stack(term) if len(term) > 1 else term[0][None]
        return found if found.shape[1] == 1 else found.take(self.order, axis=1)

    def _set_rate(self, index: NDArray[np.intp]) -> None:
        """Kelvin per enthalpy, and a bound on the fastest decay [1/s]; by places in the tables."""
        tables = self.tables
        self.dT_dH = tables.dT.take(index, mode="clip") * tables.per_step
        fastest = tables.dtheta.take(index, mode="clip")
        fastest *= tables.per_step
        fastest *= self._reach
        for sink in self.sinks:
            drawn = sink.conductance / self.mesh.volume[sink.cell]
            fastest[sink.cell] += drawn * self.dT_dH[sink.cell]
        rate = float(fastest.max())
        if self.layer is not None:
            rate = max(rate, float((self._drain * self._quickest).max()))
        self.rate = rate


def _between(ends: Floats, count: int) -> Floats:
    """Arrays at a step's nodes, (count, k, m), straight between its ends."""
    if count == len(ends):
        return ends
    shares = np.linspace(0.0, 1.0, count)[:, None, None]
    return np.asarray(ends[0] + shares * (ends[1] - ends[0]))


def in_series(T: Floats, half: Floats, a: Floats, b: Floats, e: Floats) -> tuple[Floats, Floats]:
    """Flux s - p T through the half cell into what lies under the outside, linearised at T.

    Returns s and p; e is e·σ. With no half cell in between (a layer) T is the outside's own.
    """
    kelvin = T + ZERO_C_K
    cube = e * kelvin * kelvin * kelvin
    slope = b + 4.0 * cube
    series = 1.0 / (1.0 + half * slope)
    return (a + cube * (4.0 * T - kelvin)) * series, slope * series
