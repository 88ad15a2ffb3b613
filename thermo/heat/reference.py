r"""A second opinion: the same heat model advanced by the finite-volume solver FiPy.

Cells, coat, gap links and loads of a `HeatModel` become one FiPy mesh and one FiPy equation for the
temperature T. A step solves, in two stages of the kind h = base + δ · (flow at h per volume),

.. math:: C\,\frac{T - T^*}{\delta} + \frac{h^* - h_{base}}{\delta}
          = \nabla \cdot K \nabla T + s - b T ,

where h is enthalpy per volume, C = dh/dT, and a star marks the last sweep. T* follows from h* by
the metals' tables, so no sweep can jump over a latent heat, and h takes up exactly the heat that the
linear system moves. On a face inside a metal K is the secant (Θj - Θi) / (Tj - Ti) of the
conductivity integral; on links across the gap and under the coat it is their conductance. What
FiPy's operator leaves out, the slanted faces' correction, is a source from the last sweep.

Stages: R. Alexander, "Diagonally implicit Runge-Kutta methods for stiff O.D.E.'s", SIAM J. Numer.
Anal. 14 (1977) 1006-1021: two stages, second order, L-stable.

Importing this module imports FiPy, which reads the command line and the environment at that moment:
both are held back from it.
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
from thermo.heat.loads import KELVIN, STEFAN_BOLTZMANN
from thermo.heat.march import MarchError, Step
from thermo.heat.model import Floats, HeatModel
from thermo.heat.solids import HIGHEST_C


@contextlib.contextmanager
def _held_back() -> Iterator[None]:
    """No arguments for FiPy to read, scipy as its suite, none of its warnings about numpy's names."""
    argv, suite = sys.argv, os.environ.get("FIPY_SOLVERS")
    sys.argv, os.environ["FIPY_SOLVERS"] = argv[:1], "scipy"
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore", DeprecationWarning)
            yield
    finally:
        sys.argv = argv
        if suite is None:
            del os.environ["FIPY_SOLVERS"]
        else:
            os.environ["FIPY_SOLVERS"] = suite


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

STEP_S = 0.1
TOLERANCE = 1e-10  # of the linear system's right-hand side; FiPy's own, 1e-5, loses heat
MOST_ITERATIONS = 5000
SETTLED_K = 1e-4  # largest change of a sweep that is the last one
MOST_SWEEPS = 40
LEVEL_K = 1e-3  # between cells closer than this the secant conductivity is the tangent
GAMMA = 1.0 - math.sqrt(0.5)

Ints = NDArray[np.int64]


class LinkMesh(FipyMesh):  # type: ignore[misc]  # FiPy has no types
    """FiPy's mesh of a heat model: cells joined by faces of given area and distance.

    Cells of the metal come first, then those of the coat, whose volume is their area times 1 m.
    Faces inside the metal come first, then gap links, then coat links, whose distance is 1 m: their
    coefficient is a conductance.

    Parameters
    ----------
    model : HeatModel
    """

    def __init__(self, model: HeatModel) -> None:
        mesh, gap, n, c = model.mesh, model.mesh.gap, model.mesh.cells, model.covered
        area, along = two_point_geometry(mesh)
        left, right = mesh.fold[mesh.left], mesh.fold[mesh.right]
        inside = left != right  # none between a cell and its mirror image
        skin = mesh.skin.area[model.order[:c]]
        self.inside = int(np.count_nonzero(inside))
        self.links = len(gap.area)
        self._ends = (
            np.concatenate([left[inside], gap.ball, n + np.arange(c)]),
            np.concatenate([right[inside], gap.rod, model.cell[:c]]),
        )
        ones = np.ones(self.links + c)
        self._given = (
            np.concatenate([area[inside], gap.area, skin]),
            np.concatenate([along[inside], ones]),
            np.concatenate([mesh.volume, skin]),
        )
        super().__init__(
            vertexCoords=np.zeros((3, 1)),
            faceVertexIDs=np.zeros((1, len(self._ends[0])), dtype=np.int64),
            cellFaceIDs=_faces_of_cells(*self._ends, n + c),
        )

    def _calcFaceCellIDs(self) -> np.ma.MaskedArray:
        return np.ma.array(self._ends, mask=False)

    def _setGeometry(self, scaleLength: float = 1.0) -> None:
        self._faceAreas, self._internalCellDistances, self._cellVolumes = self._given
        self._scaledCellVolumes = self._cellVolumes
        self._orientedAreaProjections = self._orientedFaceNormals = np.zeros((3, len(self._faceAreas)))  # no outer faces: not used


def _faces_of_cells(left: Ints, right: Ints, cells: int) -> Ints:
    """Faces of each cell, padded with -1, (most faces of a cell, cells)."""
    cell = np.concatenate([left, right])
    face = np.tile(np.arange(len(left)), 2)
    order = np.argsort(cell, kind="stable")
    cell, face = cell[order], face[order]
    count = np.bincount(cell, minlength=cells)
    place = np.arange(len(cell)) - np.repeat(np.cumsum(count) - count, count)
    found = np.full((int(count.max()), cells), -1)
    found[place, cell] = face
    return found


class _Equation:
    """FiPy's variables, equation and solver for one heat model."""

    def __init__(self, model: HeatModel, tolerance) -> None:
        self.model, self.mesh = model, LinkMesh(model)
        mesh, n, c = model.mesh, model.mesh.cells, model.covered
        self.volume = np.asarray(self.mesh.cellVolumes)
        self.area = mesh.skin.area[model.order]
        self.base = np.concatenate([n + np.arange(c), model.cell[c:]])
        self.slant = slant_operator(mesh)
        self.T = CellVariable(mesh=self.mesh, value=0.0)
        self.capacity = CellVariable(mesh=self.mesh, value=1.0)
        self.source = CellVariable(mesh=self.mesh, value=0.0)
        self.pull = CellVariable(mesh=self.mesh, value=0.0)
        self.K = FaceVariable(mesh=self.mesh, value=1.0)
        self.equation = TransientTerm(coeff=self.capacity) == (
            DiffusionTerm(coeff=self.K) + self.source - ImplicitSourceTerm(coeff=self.pull)
        )
        self.solver = LinearCGSolver(tolerance=tolerance, criterion="RHS", iterations=MOST_ITERATIONS)
        self.sweeps = 0
        self.sl=True

    def solve(self, t, delta, base, guess):
        model, n, c = self.model, self.model.mesh.cells, self.model.covered
        link, half, cover, a, b, e, gain_a, gain_b = (x[:, 0] for x in model.now(t))
        h = guess
        outside = None
        for k in range(MOST_SWEEPS):
            H = h[:n, None]
            i, part = model.tables.locate(H)
            T = model.tables.read(model.tables.T, model.tables.dT, i, part)[:, 0]
            theta = model.tables.read(model.tables.theta, model.tables.dtheta, i, part)[:, 0]
            dT, dtheta = (x[:, 0] for x in model.tables.slopes(H))
            if c:
                E = h[n:, None]
                dT = np.concatenate([dT, model.layer.slope(E)[:, 0]])
                T = np.concatenate([T, model.layer.read(E)[:, 0]])
            C = 1.0 / dT
            l, r = self.mesh._ends
            l, r = l[: self.mesh.inside], r[: self.mesh.inside]
            drop = T[r] - T[l]
            level = np.abs(drop) < LEVEL_K
            tang = 0.5 * (dtheta[l] / dT[l] + dtheta[r] / dT[r])
            K = np.where(level, tang, (theta[r] - theta[l]) / np.where(level, 1.0, drop))
            if outside is None:
                outside = T[self.base]
            kelvin = outside + KELVIN
            cube = e * STEFAN_BOLTZMANN * kelvin**3
            b1 = b + 4 * cube
            a1 = a - cube * kelvin + 4 * cube * outside
            series = 1.0 + half * b1
            src = np.bincount(self.base, self.area * a1 / series, minlength=len(T))
            pull = np.bincount(self.base, self.area * b1 / series, minlength=len(T))
            if self.sl:
                src[:n] += self.slant @ theta
            for s in model.sinks:
                src[s.cell] += s.conductance * s.T_C
                pull[s.cell] += s.conductance
            self.T.setValue(T)
            self.capacity.setValue(C)
            self.K.setValue(np.concatenate([K, link, cover]))
            self.source.setValue(src / self.volume - (h - base) / delta)
            self.pull.setValue(pull / self.volume)
            self.equation.sweep(self.T, dt=delta, solver=self.solver)
            new = np.array(self.T.value)
            self.sweeps += 1
            change = new - T
            h = h + C * change
            q = (a1 - b1 * new[self.base]) / series
            outside = new[self.base] + half * q
            if np.abs(change).max() < SETTLED_K:
                break
        else:
            print("NOT SETTLED", t, np.abs(change).max(), np.argmax(np.abs(change)), n)
        gain = self.area @ (gain_a - gain_b * outside)
        loss = gain - self.area @ q + sum(s.conductance * (new[s.cell] - s.T_C) for s in model.sinks)
        return h, gain, loss


class ReferenceMarch:
    def __init__(self, model, y, t=0.0, step_s=STEP_S, tolerance=TOLERANCE):
        self.model, self.y, self.t, self.step_s = model, y, t, step_s
        self.steps = self.evaluations = 0
        self._equation = _Equation(model, tolerance)
        self._slope = np.zeros(len(y) - 2)

    def step(self, until, longest=np.inf):
        model, t0, y0 = self.model, self.t, self.y
        model.refresh(t0, y0)
        f0 = model.rates(t0, y0, np.empty_like(y0))
        h = min(self.step_s, longest)
        last = t0 + 1.01 * h >= until
        t1 = until if last else t0 + h
        h = t1 - t0
        d = GAMMA * h
        before = self._equation.sweeps
        h0 = y0[:-2, 0]
        h1, g1, l1 = self._equation.solve(t0 + d, d, h0, h0 + d * self._slope)
        k1 = (h1 - h0) / d
        base = h0 + (h - d) * k1
        h2, g2, l2 = self._equation.solve(t1, d, base, base + d * k1)
        k2 = (h2 - base) / d
        self._slope = k2
        ledger = y0[-2:, 0] + (h - d) * np.array([g1, l1]) + d * np.array([g2, l2])
        y1 = np.concatenate([h2, ledger])[:, None]
        f1 = np.concatenate([k2, [g2, l2]])[:, None]
        self.t, self.y = t1, y1
        self.steps += 1
        self.evaluations += self._equation.sweeps - before
        return Step(t0, t1, y0, y1, f0, f1)

    def rewind(self, t, y):
        self.model.jump()
        self.t, self.y = t, y
        self._slope = np.zeros(len(y) - 2)
