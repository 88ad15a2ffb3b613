r"""A second opinion: the same heat model advanced by the finite-volume solver FiPy.

Cells, coat, gap links and loads of a `HeatModel` become one FiPy mesh and one FiPy equation for the
temperature T. Every stage of a step asks for h = base + δ · (heat that flows in, per volume, at h)
and gets it by sweeps of

.. math:: C \frac{T - T^*}{\delta} = \nabla \cdot K \nabla T + s - b T
          - \frac{h^* - h_{base}}{\delta} , \qquad h \leftarrow h^* + C (T - T^*) ,

with h enthalpy per volume, C = dh/dT, and a star for the last sweep's. T* comes from h* by the
tables of metals and coat: no sweep jumps over a latent heat, and h takes up exactly what the linear
system lets flow, settled or not. K is the secant (Θj - Θi) / (Tj - Ti) of the conductivity integral
inside a metal, and the conductance of the link across the gap and under the coat. The surface is
solved with its radiation, which the model linearises once. What FiPy's operator leaves out, the
slanted faces' correction, is part of the source s, from the last sweep.

Two stages to a step, second order and L-stable: R. Alexander, "Diagonally implicit Runge-Kutta
methods for stiff O.D.E.'s", SIAM J. Numer. Anal. 14 (1977) 1006-1021.

To import this module is to import FiPy, which looks at command line and environment as it is
imported; both are held back from it.
"""

from __future__ import annotations

import contextlib
import math
import os
import sys
import warnings
from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from thermo.heat.conduction import slant_operator, two_point_geometry
from thermo.heat.march import TOLERANCE_K, March
from thermo.heat.model import Floats, HeatModel, in_series


@contextlib.contextmanager
def _held_back() -> Iterator[None]:
    """No arguments to read, scipy as the suite of solvers, no warnings of old numpy names."""
    arguments, environment = sys.argv, dict(os.environ)
    sys.argv, os.environ["FIPY_SOLVERS"] = arguments[:1], "scipy"
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore", DeprecationWarning)
            yield
    finally:
        sys.argv = arguments
        os.environ.pop("FIPY_SOLVERS")
        os.environ.update(environment)


with _held_back():
    from fipy import (
        CellVariable,
        DiffusionTerm,
        FaceVariable,
        ImplicitSourceTerm,
        LinearCGSolver,
        TransientTerm,
    )
    from fipy.meshes.mesh import Mesh as FipyMesh

GAMMA = 1.0 - math.sqrt(0.5)  # Alexander's method
SOLVED = 1e-12  # residual of the linear system, of its right-hand side; FiPy's own 1e-5 loses heat
MOST_ITERATIONS = 5000
SETTLED_K = 0.01  # change of the last sweep; finer, no station moves by more than 0.2 K
MOST_SWEEPS = 40
LEVEL_K = 1e-3  # between cells closer than this the secant is taken as the tangent

Ints = NDArray[np.int64]


class LinkMesh(FipyMesh):  # type: ignore[misc]  # FiPy has no types
    """A heat model as FiPy's mesh: cells, and faces of given area and distance between them.

    Cells of the metals come first, then those of the coat, whose volume is their area times 1 m.
    Faces inside the metals come first, then links across the gap, then links under the coat; the
    distance of a link is 1 m, so that its coefficient is a conductance. Nothing lies outside: no
    face is an outer one, and no normal is ever used.

    Parameters
    ----------
    model : HeatModel

    Attributes
    ----------
    left, right : (F,) int arrays
        Cells on either side of each face.
    inside : int
        Number of faces inside the metals.
    """

    def __init__(self, model: HeatModel) -> None:
        mesh, gap, n, c = model.mesh, model.mesh.gap, model.mesh.cells, model.covered
        coat, coats = mesh.patches.area[model.order[:c]], n + np.arange(c)
        left, right = mesh.fold[mesh.left], mesh.fold[mesh.right]
        real = left != right  # not those between a cell and its mirror image
        self.inside = int(np.count_nonzero(real))
        self.left = np.concatenate([left[real], gap.ball, coats])
        self.right = np.concatenate([right[real], gap.rod, model.cell[:c]])
        area, along = two_point_geometry(mesh)
        self._areas = np.concatenate([area[real], gap.area, coat])
        self._distances = np.concatenate([along[real], np.ones(len(gap.area) + c)])
        self._volumes = np.concatenate([mesh.volume, coat])
        super().__init__(
            vertexCoords=np.zeros((1, 1)),
            faceVertexIDs=np.zeros((1, len(self.left)), dtype=np.int64),
            cellFaceIDs=_faces_of_cells(self.left, self.right, n + c),
        )

    def _calcFaceCellIDs(self) -> np.ma.MaskedArray:
        return np.ma.array([self.left, self.right], mask=False)

    def _setGeometry(self, scaleLength: float = 1.0) -> None:
        self._faceAreas, self._internalCellDistances = self._areas, self._distances
        self._cellVolumes = self._scaledCellVolumes = self._volumes
        self._faceToCellDistanceRatio = np.full(len(self._areas), 0.5)
        nowhere = np.zeros((1, len(self._areas)))
        self.faceNormals = self._orientedFaceNormals = nowhere
        self._areaProjections = self._orientedAreaProjections = nowhere
        self._faceTangents1 = self._faceTangents2 = nowhere


def _faces_of_cells(left: Ints, right: Ints, cells: int) -> Ints:
    """Faces of each cell, padded with -1, (most faces of a cell, cells)."""
    cell, face = np.concatenate([left, right]), np.tile(np.arange(len(left)), 2)
    order = np.argsort(cell, kind="stable")
    cell, face = cell[order], face[order]
    count = np.bincount(cell, minlength=cells)
    found = np.full((int(count.max()), cells), -1)
    found[np.arange(len(cell)) - np.repeat(np.cumsum(count) - count, count), cell] = face
    return found


class Equation:
    """FiPy's variables and equation of one heat model.

    Parameters
    ----------
    model : HeatModel
    solved : float
        Residual of the linear systems, as a share of their right-hand side.
    """

    def __init__(self, model: HeatModel, solved: float = SOLVED) -> None:
        self.model, self.mesh, self.sweeps = model, LinkMesh(model), 0
        n, c = model.mesh.cells, model.covered
        self._volume = np.asarray(self.mesh.cellVolumes)
        self._area = model.mesh.patches.area[model.order]
        self._under = np.concatenate([n + np.arange(c), model.cell[c:]])  # cell under each piece
        self._slant = slant_operator(model.mesh)
        self._T, self._capacity, self._source, self._pull = (
            CellVariable(mesh=self.mesh, value=x) for x in (0.0, 1.0, 0.0, 0.0)
        )
        self._K = FaceVariable(mesh=self.mesh, value=1.0)
        self._equation = TransientTerm(coeff=self._capacity) == (
            DiffusionTerm(coeff=self._K) + self._source - ImplicitSourceTerm(coeff=self._pull)
        )
        self._solver = LinearCGSolver(tolerance=solved, criterion="RHS", iterations=MOST_ITERATIONS)

    def temperature(self, h: Floats) -> Floats:
        """Temperature of all cells, metals and coat, from their enthalpies, (N,) [°C]."""
        n, layer = self.model.mesh.cells, self.model.layer
        T = self.model.tables.temperature(h[:n, None])
        return np.concatenate([T] if layer is None else [T, layer.read(h[n:, None])])[:, 0]

    def slope(self, h: Floats) -> Floats:
        """dT/dh of all cells, (N,) [m³K/J]."""
        n, layer = self.model.mesh.cells, self.model.layer
        slope, _ = self.model.tables.slopes(h[:n, None])
        return np.concatenate([slope] if layer is None else [slope, layer.slope(h[n:, None])])[:, 0]

    def advance(
        self, t: float, delta: float, base: Floats, guess: Floats
    ) -> tuple[Floats, float, float] | None:
        """Enthalpies h = base + delta · (inflow per volume at h), with gain and loss at h [W].

        Parameters
        ----------
        t : float
            Time at which loads and conductances are taken [s].
        delta : float
            [s]
        base, guess : (N,) arrays
            Enthalpies, the second to begin the sweeps with [J/m³].

        Returns
        -------
        tuple or None
            None where the sweeps do not settle.
        """
        link, half, cover, a, b, e, gain_a, gain_b = (x[:, 0] for x in self.model.now(t))
        h, outside = guess, self.temperature(guess)[self._under]
        for _ in range(MOST_SWEEPS):
            T, capacity = self.temperature(h), 1.0 / self.slope(h)
            source, pull = in_series(outside, half, a, b, e)
            self._T.setValue(T)
            self._capacity.setValue(capacity)
            self._K.setValue(np.concatenate([self._secants(h, T), link, cover]))
            into, out = self._loads(h, source, pull)
            self._source.setValue(into / self._volume - (h - base) / delta)
            self._pull.setValue(out / self._volume)
            self._equation.sweep(self._T, dt=delta, solver=self._solver)
            self.sweeps += 1
            change = self._T.value - T
            h, T = h + capacity * change, T + change
            flux = source - pull * T[self._under]
            outside = T[self._under] + half * flux
            if np.abs(change).max() < SETTLED_K:
                gain = float(self._area @ (gain_a - gain_b * outside))
                return h, gain, gain - float(self._area @ flux) + self._sunk(T)
        return None

    def _secants(self, h: Floats, T: Floats) -> Floats:
        """Mean conductivity between the cells of each face inside a metal [W/mK]."""
        tables, H = self.model.tables, h[: self.model.mesh.cells, None]
        left, right = self.mesh.left[: self.mesh.inside], self.mesh.right[: self.mesh.inside]
        theta = tables.read(tables.theta, tables.dtheta, *tables.locate(H))[:, 0]
        slope, diffusivity = tables.slopes(H)
        tangent = (diffusivity / slope)[:, 0]
        drop = T[right] - T[left]
        level = np.abs(drop) < LEVEL_K
        secant = (theta[right] - theta[left]) / np.where(level, 1.0, drop)
        return np.asarray(np.where(level, (tangent[left] + tangent[right]) / 2, secant))

    def _loads(self, h: Floats, source: Floats, pull: Floats) -> tuple[Floats, Floats]:
        """Heat into each cell at 0 °C [W], and how much less for each kelvin [W/K]."""
        n, tables = self.model.mesh.cells, self.model.tables
        into, out = np.zeros((2, len(h)))
        np.add.at(into, self._under, self._area * source)
        np.add.at(out, self._under, self._area * pull)
        theta = tables.read(tables.theta, tables.dtheta, *tables.locate(h[:n, None]))
        into[:n] += self._slant @ theta[:, 0]
        if self.model.source is not None:
            into[:n] += self.model.source[:, 0] * self.model.mesh.volume
        for sink in self.model.sinks:
            into[sink.cell] += sink.conductance * sink.T_C
            out[sink.cell] += sink.conductance
        return into, out

    def _sunk(self, T: Floats) -> float:
        """Heat into all sinks [W]."""
        return float(sum(s.conductance * (T[s.cell] - s.T_C) for s in self.model.sinks))


class ReferenceMarch(March):
    """Adaptive march of one column whose steps are taken by FiPy.

    Parameters
    ----------
    model : HeatModel
    y : (N, 1) array
        State at the start.
    t : float
        [s]
    tolerance_K : float
        Local error allowed per step, root mean square over the cells of metals and coat [K].
    solved : float
        Residual of the linear systems, as a share of their right-hand side.

    Raises
    ------
    ValueError
        If the model carries more than one column.
    """

    def __init__(
        self,
        model: HeatModel,
        y: Floats,
        t: float = 0.0,
        tolerance_K: float = TOLERANCE_K,
        solved: float = SOLVED,
    ) -> None:
        if model.columns != 1:
            raise ValueError(f"{model.columns} columns: FiPy marches one at a time")
        super().__init__(model, y, t, tolerance_K)
        self._equation = Equation(model, solved)
        self._pace = np.zeros(len(y) - 2)  # of the enthalpies at the end of the last step

    def rewind(self, t: float, y: Floats) -> None:
        """Go on from another state; nothing of the last step's pace is kept."""
        super().rewind(t, y)
        self._pace = np.zeros(len(y) - 2)

    def _longest_stable(self) -> float:
        return math.inf

    def _try(self, t: float, y: Floats, f: Floats, h: float) -> tuple[Floats, Floats]:
        """Both stages; not a number where the sweeps do not settle, so that the step is refused."""
        begun, delta, start = self._equation.sweeps, GAMMA * h, y[:-2, 0]
        y1, f1 = np.full((2, *y.shape), np.nan)
        first = self._equation.advance(t + delta, delta, start, start + delta * self._pace)
        if first is not None:
            rate = (first[0] - start) / delta
            base = start + (h - delta) * rate
            last = self._equation.advance(t + h, delta, base, base + delta * rate)
            if last is not None:
                self._pace = (last[0] - base) / delta
                f1[:-2, 0], f1[-2:, 0] = self._pace, last[1:]
                ledger = y[-2:, 0] + (h - delta) * np.array(first[1:]) + delta * np.array(last[1:])
                y1[:-2, 0], y1[-2:, 0] = last[0], ledger
        self.evaluations += self._equation.sweeps - begun
        return y1, f1

    def _kelvin(self, change: Floats) -> Floats:
        return np.asarray(self._equation.slope(self.y[:-2, 0])[:, None] * change[:-2])
