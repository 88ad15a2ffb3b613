"""The right-hand side of the march by whole arrays, one operation after the other."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray
from scipy import sparse

from thermo.heat.conditions import StepPolynomial
from thermo.heat.layer import Layer, Sink
from thermo.heat.solids import Tables
from thermo.shape import Mesh

Floats = NDArray[np.float64]


class PlainPass:
    """Look-ups, laws of the boundaries, one sparse product, source and sinks.

    Parameters
    ----------
    mesh : Mesh
    tables : Tables
    layer : Layer, optional
    operator : sparse array
        From [Θ | flux across gap and cover | flux into and gain of pieces] to dy/dt.
    cell : (P,) int array
        Cell under each piece, covered pieces first.
    covered : int
        Number of pieces under the layer.
    sinks : sequence of Sink
    columns : int

    Attributes
    ----------
    scale, shift : (R, m) arrays
        Place in the table of T of each cell and covered piece: scale · y + shift.
    T, dT : (K,) arrays
        Table of T of cells and layer, and its steps [°C].
    edge : (E,) int array
        Row of y at which each boundary takes its temperature.
    gap, links : int
        Number of links across the gap, and of those and the ones under the layer.
    """

    def __init__(
        self,
        mesh: Mesh,
        tables: Tables,
        layer: Layer | None,
        operator: sparse.csr_array,
        cell: NDArray[np.int64],
        covered: int,
        sinks: Sequence[Sink],
        columns: int,
    ) -> None:
        self.tables, self.operator, self.sinks, self.columns = tables, operator, sinks, columns
        self.volume, self.gap = mesh.volume, len(mesh.gap.area)
        self.links = self.gap + covered
        self._look_up(layer, covered)
        self._edges(mesh, cell, covered)
        self._lay_out(mesh.cells, len(cell))

    def _look_up(self, layer: Layer | None, covered: int) -> None:
        """One table of T for cells and layer."""
        tables = self.tables
        self.scale, self.shift, self.T, self.dT = (
            tables.per_step,
            tables.offset,
            tables.T,
            tables.dT,
        )
        if layer is not None:
            ones = np.ones((covered, self.columns))
            own = len(self.T) - layer.first
            self.scale = np.concatenate([self.scale, layer.per_step * ones])
            self.shift = np.concatenate([self.shift, own * ones])
            self.T = np.concatenate([self.T, layer.temperature])
            self.dT = np.concatenate([self.dT, layer.steps])

    def _edges(self, mesh: Mesh, cell: NDArray[np.int64], covered: int) -> None:
        """Where each boundary takes its temperature from.

        First the ball's side of the gap, twice the outside of every piece (layer, or cell where
        bare), the rod's side of the gap, then the cell under each covered piece: what flows across
        gap and layer is the difference of two slices, and what flows in and is gained outside
        depends on one. Places are those in the flat array of all columns, which are quicker to
        take than rows.
        """
        gap, n = mesh.gap, mesh.cells
        outside = np.concatenate([n + np.arange(covered), cell[covered:]])
        self.edge = np.concatenate([gap.ball, outside, outside, gap.rod, cell[:covered]])
        self._places = self.edge[:, None] * self.columns + np.arange(self.columns)

    def _lay_out(self, n: int, s: int) -> None:
        """Working arrays of a stage, and views of their parts.

        What the operator acts on, temperatures of the boundaries, and the laws of what flows:
        Θ of cells, flux across gap and cover, flux into pieces and gain of pieces.
        """
        m, g, links = self.columns, self.gap, self.links
        self._stack = np.empty((n + links + 2 * s, m))
        self._theta, self._across = self._stack[:n], self._stack[n : n + links]
        self._outer = self._stack[n + links :]
        self._column = self._stack[:, 0] if m == 1 else self._stack
        self._boundary = np.empty((len(self.edge), m))
        self._from, self._to = self._boundary[:links], self._boundary[g + 2 * s :]
        self._outside = self._boundary[g : g + 2 * s]
        self._now = np.empty((links + 4 * s, m))
        self._links, self._push = self._now[:links], self._now[links : links + 2 * s]
        self._pull = self._now[links + 2 * s :]

    def rates(
        self, t: float, y: Floats, law: StepPolynomial, source: Floats | None, out: Floats
    ) -> Floats:
        """Time derivative of the state, written into out, (N, m).

        Parameters
        ----------
        t : float
            [s]
        y : (N, m) array
        law : StepPolynomial
            Of [links | push of flux and gain | pull of flux and gain].
        source : (n, m) array, optional
            Heat into the cells [W/m³].
        out : (N, m) array
        """
        n, tables = len(self.volume), self.tables
        place = y[:-2] * self.scale
        place += self.shift
        whole = np.trunc(place)
        place -= whole
        index = whole.astype(np.intp)
        tables.read(tables.theta, tables.dtheta, index[:n], place[:n], out=self._theta)
        every = tables.read(self.T, self.dT, index, place)
        every.take(self._places, out=self._boundary, mode="clip")
        law.read(t, self._now)
        np.subtract(self._from, self._to, out=self._across)
        self._across *= self._links
        np.multiply(self._outside, self._pull, out=self._outer)
        np.subtract(self._push, self._outer, out=self._outer)
        out[:] = (self.operator @ self._column).reshape(out.shape)
        if source is not None:
            out[:n] += source
        for sink in self.sinks:
            lost = sink.conductance * (every[sink.cell] - sink.T_C)
            out[sink.cell] -= lost / self.volume[sink.cell]
            out[-1] += lost
        return out
